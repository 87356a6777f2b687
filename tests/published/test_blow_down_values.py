"""Emptying and filling of a tank: published closed forms against the plant's own transfer code."""

import pytest

from host_sim.air.flow import Path, circle_m2, hole_conductance, vent
from host_sim.air.gas import CV_J_KG_K, GAMMA, Volume
from host_sim.air.sizing import blow_down_adiabatic, blow_down_isothermal, blow_down_time_s
from host_sim.air.tank import charge

HOLE = Path(1.0e-9)
TANK_M3 = 0.75e-3
START_PA = 20.0e5  # high enough to stay choked for two time constants
OUTSIDE_PA = 1.0e5


def empty_for(times_tau, wall_w_k):
    """p/p0 of a tank at 293.15 K that has blown down for `times_tau` time constants m0/mdot0."""
    tank = Volume(TANK_M3, START_PA, 293.15, wall_w_k)
    tau_s = tank.mass_kg / HOLE.rate_kg_s(START_PA, 293.15, OUTSIDE_PA)
    assert blow_down_time_s(TANK_M3, HOLE.conductance, 293.15) == pytest.approx(tau_s, rel=1e-12)
    for _ in range(4000):
        vent(HOLE, tank, OUTSIDE_PA, 293.15, times_tau * tau_s / 4000)
        tank.take_wall_heat(times_tau * tau_s / 4000, 293.15)
    return tank.pa_abs / START_PA


# Perry's Chemical Engineers' Handbook, blow-down of a vessel, with its misprint of the sign in k - 1 put right.
@pytest.mark.parametrize("times_tau", [0.1, 0.5, 1.0, 1.5])
def test_adiabatic_blow_down(times_tau):
    closed = (1.0 + 0.2 * times_tau) ** (2.8 / -0.4)
    assert blow_down_adiabatic(times_tau) == pytest.approx(closed, rel=1e-12)
    assert empty_for(times_tau, 0.0) == pytest.approx(closed, rel=1e-3)


@pytest.mark.parametrize("times_tau", [0.1, 0.5, 1.0, 2.0])
def test_isothermal_blow_down(times_tau):
    assert blow_down_isothermal(1.0) == pytest.approx(0.367879, abs=1e-6)
    assert empty_for(times_tau, 1.0e6) == pytest.approx(blow_down_isothermal(times_tau), rel=1e-3)


def test_filling_an_evacuated_tank_heats_by_gamma():
    # Cengel and Boles, uniform-flow processes: 420 K from 300 K.
    tank = Volume(TANK_M3, 1.0, 300.0)
    for _ in range(20000):
        if tank.pa_abs >= 0.999 * 5.0e5:
            break
        assert charge(HOLE, tank, 5.0e5, 300.0, 1.0e-3) > 0.0
    assert tank.temperature_k == pytest.approx(420.0, rel=1e-4)
    assert tank.energy_j == pytest.approx(GAMMA * CV_J_KG_K * 300.0 * tank.mass_kg, rel=1e-4)


def test_a_tank_empties_through_1_mm_in_about_two_seconds():
    """0.5 L from 6.9 to 4.1 bar gauge: 0.2 s through 3 mm, 1.7 s through 1 mm, 6.9 s through 0.5 mm (SR-04).

    For a sharp-edged hole, which passes 0.6 of an ideal one (common practice); a rounded one empties it in 0.6 of that.
    """
    for diameter_m, seconds in ((3.0e-3, 0.2), (1.0e-3, 1.7), (0.5e-3, 6.9)):
        hole = Path(0.6 * hole_conductance(circle_m2(diameter_m)))
        tank = Volume(0.5e-3, 7.91325e5, 288.15, 0.0)
        steps = 0
        while tank.pa_abs > 5.11325e5 and steps < 20000:
            vent(hole, tank, 1.01325e5, 288.15, 5.0e-4)
            steps += 1
        assert steps * 5.0e-4 == pytest.approx(seconds, rel=0.04)
