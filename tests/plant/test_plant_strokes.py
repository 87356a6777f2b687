"""Whole strokes: what they cost, what locks, and which leg governs."""

from dataclasses import replace

import pytest

from host_sim.air.sizing import (
    adiabatic_drop_pa,
    end_pressure_pa_gauge,
    extend_side,
    leg_end_pressure_pa_gauge,
    lock_minimum_pa,
    retract_side,
    stroke_end_pa,
)

SEA_PA = 101325.0


def extend(rig, air, tank_bar, seconds=20.0, **demand):
    """Plant that started up at `tank_bar` gauge and was told to extend."""
    plant = rig.plant(air, tank_bar, gear_down=False)
    rig.run(plant, seconds, rig.Demand(**demand))
    return plant


def test_defaults_give_strokes_of_one_to_three_seconds(rig):
    plant = rig.plant(rig.air(), 7.0)
    assert rig.run(plant, 10.0, rig.Demand(coil_up=1), until=lambda p: max(p.travel) == 0.0)
    assert 1.0 < plant.time_s < 3.0
    plant = rig.plant(rig.air(), 7.0, gear_down=False)
    assert rig.run(plant, 10.0, rig.Demand(airspeed_q_pa=2500.0), until=lambda p: all(p.leg_locked))
    assert 1.0 < plant.time_s < 3.0


@pytest.mark.parametrize("start_down", [True, False])
def test_stroke_map(rig, start_down):
    """Five minutes after a stroke all is back at ambient temperature, and Boyle gives the tank pressure."""
    air = rig.air(brake=None)
    plant = rig.plant(air, 7.0, gear_down=start_down)
    rig.run(plant, 300.0, rig.Demand(coil_up=int(start_down)))
    side = retract_side(air) if start_down else extend_side(air)
    wanted = stroke_end_pa(7.0e5 + SEA_PA, SEA_PA, air.tank_m3, side)
    assert plant.gear_travel == (0.0 if start_down else 1.0)
    assert plant.tank_pa_abs == pytest.approx(wanted, rel=2e-5)


def test_a_stroke_dips_and_rebounds(rig):
    """The tank falls by more than the isothermal share and by less than the adiabatic bound, then comes back."""
    air = rig.air(brake=None)
    plant, demand = rig.plant(air, 7.0), rig.Demand(coil_up=1)
    lowest = plant.tank_pa_abs
    for _ in range(250):
        plant.advance(0.02, demand)
        lowest = min(lowest, plant.tank_pa_abs)
    rig.run(plant, 300.0, demand)
    settled = plant.tank_pa_abs
    start = 7.0e5 + SEA_PA
    assert start - lowest > 1.05 * (start - settled)
    assert start - lowest < adiabatic_drop_pa(start, SEA_PA, air.tank_m3, retract_side(air))


@pytest.mark.parametrize("wall_w_k", [0.0, 0.6])
@pytest.mark.parametrize("q_pa", [0.0, 2500.0])
def test_lock_minimum_is_enough(rig, wall_w_k, q_pa):
    air = rig.air(wall_w_k=wall_w_k)
    start = lock_minimum_pa(air, q_pa, SEA_PA) - SEA_PA
    plant = extend(rig, air, start / 1.0e5, airspeed_q_pa=q_pa)
    assert plant.leg_locked == [True, True, True]
    assert plant.gear_travel == 1.0


@pytest.mark.parametrize("q_pa", [0.0, 2500.0])
def test_too_little_air_stops_short_of_the_lock(rig, q_pa):
    """From where even an isothermal stroke ends 2 % below the end pressure, the worst legs must not lock."""
    air = rig.air()
    side = extend_side(air)
    end = SEA_PA + 0.98 * end_pressure_pa_gauge(air, q_pa)
    start = (end * (air.tank_m3 + side.dead_m3 + side.swept_m3) - SEA_PA * side.dead_m3) / air.tank_m3
    plant = extend(rig, air, (start - SEA_PA) / 1.0e5, airspeed_q_pa=q_pa)
    assert not all(plant.leg_locked)
    assert plant.gear_travel < 1.0
    assert start < lock_minimum_pa(air, q_pa, SEA_PA)


def test_gamma_on_the_swept_volume_only_is_not_safe(rig):
    """Long hoses that cool their air and a tank that gets no heat back: the smaller bound leaves the gear unlocked."""
    hose = replace(rig.main.hose_extend, length_m=5.0, bore_m=4.0e-3)
    legs = [rig.leg(hose_extend=hose, lock_n=40.0)] * 3
    air = rig.air(legs, tank_m3=0.3e-3, wall_w_k=0.0, brake=None)
    side, end = extend_side(air), SEA_PA + end_pressure_pa_gauge(air, 2500.0)
    mild = end + (end * (side.dead_m3 + 1.4 * side.swept_m3) - SEA_PA * side.dead_m3) / air.tank_m3
    safe = lock_minimum_pa(air, 2500.0, SEA_PA)
    assert not any(extend(rig, air, (mild - SEA_PA) / 1.0e5, airspeed_q_pa=2500.0).leg_locked)
    assert all(extend(rig, air, (safe - SEA_PA) / 1.0e5, airspeed_q_pa=2500.0).leg_locked)


@pytest.mark.parametrize("weak", [0, 1, 2])
def test_the_worst_leg_governs(rig, weak):
    """A tank so large that its pressure stays: 1 % above the worst leg's pressure all lock, 1 % below it does not."""
    legs = [rig.leg(lock_n=15.0 + (25.0 if index == weak else 0.0)) for index in range(3)]
    air = rig.air(legs, tank_m3=1.0)
    worst_bar = leg_end_pressure_pa_gauge(legs[weak], 1.0) / 1.0e5
    assert end_pressure_pa_gauge(air, 2500.0) == worst_bar * 1.0e5
    assert extend(rig, air, 1.01 * worst_bar, airspeed_q_pa=2500.0).leg_locked == [True] * 3
    short = extend(rig, air, 0.99 * worst_bar, airspeed_q_pa=2500.0)
    assert short.leg_locked == [index != weak for index in range(3)]
    assert legs[weak].lock_travel - 1e-9 <= short.gear_travel < 1.0


def test_end_pressure_by_hand(rig):
    """Load 6 -> -6 N plus 60 N of air at full travel, friction 8 N, lock 15 N, on 16 mm: 77 N over 201.06 mm2."""
    assert leg_end_pressure_pa_gauge(rig.main, 1.0) == pytest.approx(77.0 / 201.062e-6, rel=1e-5)
    # Without air load the start of the lock is the worst place: 6 - 12 x 0.97 + 8 + 15 = 17.36 N.
    assert leg_end_pressure_pa_gauge(rig.main, 0.0) == pytest.approx(17.36 / 201.062e-6, rel=1e-5)
    # Extending on the rod side has the annulus only: 201.062 - 28.274 mm2.
    rod_side = replace(rig.main, extend_on_rod_side=True)
    assert leg_end_pressure_pa_gauge(rod_side, 1.0) == pytest.approx(77.0 / 172.788e-6, rel=1e-5)


def test_extending_on_the_rod_side(rig):
    legs = [rig.leg(extend_on_rod_side=True)] * 2
    air = rig.air(legs, tank_m3=1.0)
    bar = leg_end_pressure_pa_gauge(legs[0], 1.0) / 1.0e5
    assert all(extend(rig, air, 1.01 * bar, airspeed_q_pa=2500.0).leg_locked)
    assert not any(extend(rig, air, 0.99 * bar, airspeed_q_pa=2500.0).leg_locked)


def test_step_size_hardly_matters(rig):
    """The steps of every flight against steps of 0.125 ms: retract, rest, extend against full air load."""
    ends = []
    for options in ({}, {"step_s": 0.000125}):
        plant = rig.plant(rig.air(), 7.0, **options)
        rig.run(plant, 4.0, rig.Demand(coil_up=1))
        rig.run(plant, 4.0, rig.Demand(airspeed_q_pa=2500.0))
        assert all(plant.leg_locked)
        ends.append(plant.tank_pa_abs)
    assert ends[0] == pytest.approx(ends[1], rel=5e-5)


def test_step_size_hardly_moves_a_leg(rig):
    travels = []
    for options in ({}, {"step_s": 0.000125}):
        plant = rig.plant(rig.air(), 7.0, gear_down=False, **options)
        demand = rig.Demand(airspeed_q_pa=2500.0)
        rig.run(plant, 1.2, demand)
        travels.append(plant.gear_travel)
    assert 0.3 < travels[0] < 0.7
    assert travels[0] == pytest.approx(travels[1], abs=1e-3)
