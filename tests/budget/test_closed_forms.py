"""Closed forms against the plant on random aircraft: each within its stated bound, and the safe side always safe."""

from dataclasses import replace
from math import exp

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from host_sim.air.gas import CV_J_KG_K, R_J_KG_K
from host_sim.air.sizing import (
    end_pressure_pa_gauge,
    extend_side,
    governing_point,
    leg_end_pressure_pa_gauge,
    lock_minimum_pa,
    retract_side,
)
from host_sim.air.spec import AirSystem, Hose, Leg
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.budget.extension import SEA_K, extend, simulated_lock_minimum_bar
from host_sim.budget.strokes import (
    SEA_BAR,
    SETTLE_S,
    applications_left,
    brake_side,
    cold_after,
    cold_before,
    settled_after,
    stroke_table,
)

from .drawn import air_systems, fills_bar

# What is left of a difference after the wait: lines count as settled within 5 mbar of 0.1 L.
SETTLED_BAR = 0.002
LOCK_WITHIN_BAR = 0.01
# Moving parts coast a little: the plant may lock with so much less than a stroke that keeps its heat would need.
COAST_BAR = 0.05
CREEP_S = 60.0
QUIET = {"deadline": None, "derandomize": True, "suppress_health_check": list(HealthCheck), "database": None}
# The plant costs too much for shrinking: a failing aircraft is shown as it was drawn.
FLOWN = {**QUIET, "phases": [Phase.generate]}


def cold_share_after_wait(air, fill_bar):
    """What is left of a stroke's cold after SETTLE_S: exp(-t G / (m cv)) of a tank with walls of G watts a kelvin."""
    air_kg = (fill_bar + SEA_BAR) * 1e5 * air.tank_m3 / (R_J_KG_K * SEA_K)
    return exp(-SETTLE_S * air.wall_w_k / (air_kg * CV_J_KG_K))


def agree_on_strokes(air, fill_bar):
    """The table's first two cycles: settled within SETTLED_BAR and the cold that is left; cold ones between the forms."""
    rows = stroke_table(air, fill_bar, fill_bar - 1.0)[:4]
    share = cold_share_after_wait(air, fill_bar)
    for row in rows:
        if row.settled_plant_bar is None:
            break
        below_bar = SETTLED_BAR + share * (row.settled_bar - row.cold_bar)
        assert row.settled_bar - below_bar <= row.settled_plant_bar <= row.settled_bar + SETTLED_BAR
        if row.cold_plant_bar is not None:
            assert row.cold_bar - SETTLED_BAR <= row.cold_plant_bar <= row.settled_bar + SETTLED_BAR
    return rows


def agree_on_lock(air):
    """simulated <= closed, and simulated >= what the worst leg alone needs as it is hardest to move, all heat kept.

    Other legs may still be filling when the worst one locks, so that their air counts for nothing there. Close to the
    least pressure a leg creeps: a stroke is given a minute.
    """
    q_pa = air.design_q_pa
    closed_bar = lock_minimum_pa(air, q_pa, SEA_BAR * 1e5) / 1e5 - SEA_BAR
    assert extend(air, closed_bar + LOCK_WITHIN_BAR, q_pa, longest_s=CREEP_S).time_s is not None
    end_bar = end_pressure_pa_gauge(air, q_pa) / 1e5
    worst = max(air.legs, key=lambda leg: leg_end_pressure_pa_gauge(leg, 1.0))
    side = extend_side(replace(air, legs=(worst,)))
    filled_m3 = side.dead_m3 + side.swept_m3 * governing_point(worst, 1.0)[0]
    kept_bar = end_bar + ((end_bar + SEA_BAR) * filled_m3 - SEA_BAR * side.dead_m3) / air.tank_m3
    assert extend(air, kept_bar - COAST_BAR, q_pa, longest_s=CREEP_S).time_s is None


@settings(max_examples=4, **FLOWN)
@given(air_systems(), fills_bar)
def test_strokes_agree(air, fill_bar):
    agree_on_strokes(air, fill_bar)


@settings(max_examples=6, **FLOWN)
@given(air_systems())
def test_lock_minimum_is_safe(air):
    agree_on_lock(air)


@pytest.mark.deep
@settings(max_examples=60, **FLOWN)
@given(air_systems(), fills_bar)
def test_strokes_agree_on_many_aircraft(air, fill_bar):
    agree_on_strokes(air, fill_bar)


@pytest.mark.deep
@settings(max_examples=100, **FLOWN)
@given(air_systems())
def test_lock_minimum_is_safe_on_many_aircraft(air):
    agree_on_lock(air)


@pytest.mark.deep
@pytest.mark.parametrize("name", ["curlew24", "tern30"])
def test_simulated_lock_minimum_is_the_least(name):
    """Found by halving, it locks, and 2 % less does not; the closed form is above it by less than 0.15 bar."""
    air = load_aircraft(AIRCRAFT_DIR / f"{name}.yaml").air
    flown_bar = simulated_lock_minimum_bar(air, air.design_q_pa)
    assert extend(air, flown_bar, air.design_q_pa).time_s is not None
    assert extend(air, 0.98 * flown_bar, air.design_q_pa).time_s is None
    closed_bar = lock_minimum_pa(air, air.design_q_pa, SEA_BAR * 1e5) / 1e5 - SEA_BAR
    assert flown_bar <= closed_bar <= flown_bar + 0.15


def test_gamma_on_the_swept_volume_only_is_caught():
    """The smaller bound, which forgets that hoses fill, fails the comparison that the right one passes."""
    leg = Leg(16e-3, 6e-3, 70e-3, air_load_n=60.0, lock_n=40.0, hose_extend=Hose(4.0e-3, 5.0))
    air = AirSystem(tank_m3=0.3e-3, legs=(leg,) * 3, wall_w_k=0.0)
    side, end_bar = extend_side(air), end_pressure_pa_gauge(air, air.design_q_pa) / 1e5 + SEA_BAR
    mild_bar = end_bar + (end_bar * (side.dead_m3 + 1.4 * side.swept_m3) - SEA_BAR * side.dead_m3) / air.tank_m3
    assert extend(air, mild_bar - SEA_BAR, air.design_q_pa).time_s is None
    agree_on_lock(air)


@given(st.floats(0.5, 12.0), air_systems())
@settings(max_examples=60, **QUIET)
def test_cold_there_and_back(bar, air):
    for side in (extend_side(air), retract_side(air), brake_side(air)):
        assert cold_before(cold_after(bar, air.tank_m3, side), air.tank_m3, side) == pytest.approx(bar, abs=1e-9)
        settled_bar = settled_after(bar, air.tank_m3, side)
        assert cold_after(bar, air.tank_m3, side) <= settled_bar + 1e-12
        assert settled_bar <= bar + 1e-12


@given(air_systems())
@settings(max_examples=20, **QUIET)
def test_brake_applications_are_boyle_over_and_over(air):
    """n applications leave p (Vt/(Vt + Vb))^n of the absolute pressure once vented air is replaced by none."""
    n = applications_left(air, 5.0, 2.0)
    if air.brake is None:
        assert n is None
        return
    bar = 5.0
    for _ in range(n - 1):
        bar = (bar + SEA_BAR) * air.tank_m3 / (air.tank_m3 + air.brake.volume_m3) - SEA_BAR
    assert bar >= 2.0 > (bar + SEA_BAR) * air.tank_m3 / (air.tank_m3 + air.brake.volume_m3) - SEA_BAR
    assert applications_left(air, 5.0, 2.0, cold=True) <= n
