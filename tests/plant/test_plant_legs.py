"""One leg: friction, stops, the lock, a jam; and the gear that only pressure holds up."""

import pytest

from host_sim.air.cylinder import LegState, areas_m2
from host_sim.air.plant import ALL_LEGS

SEA_PA = 101325.0


def free_leg(rig, **others):
    """A leg with chambers so large that moving the piston does not change their pressures."""
    return rig.leg(load_up_n=0.0, load_down_n=0.0, stroke_m=1.0, dead_extend_m3=100.0, dead_retract_m3=100.0, **others)


def test_sliding_speed_is_net_force_over_viscous_friction(rig):
    """Dry friction first, then the viscous divisor: the other order would add 8 x dt Fv/M = 10.7 N of friction here."""
    leg = free_leg(rig)
    state = LegState(leg, False, SEA_PA + 2.0e5, SEA_PA, 288.15)
    for _ in range(500):
        state.move(1.0e-3, SEA_PA, 0.0, -1.0)
    force = 2.0e5 * areas_m2(leg)[0]
    assert 0.0 < state.travel < 0.9
    assert state.speed_m_s == pytest.approx((force - leg.coulomb_n) / leg.viscous_n_s_m, rel=1e-6)


def test_dry_friction_holds_both_ways(rig):
    leg = free_leg(rig)
    for gauge_pa, moves in ((0.99, False), (1.01, True)):
        pressure = gauge_pa * leg.coulomb_n / areas_m2(leg)[0]
        up = LegState(leg, False, SEA_PA + pressure, SEA_PA, 288.15)
        assert up.at_rest(SEA_PA, 0.0, -1.0) is not moves
        up.move(1.0e-3, SEA_PA, 0.0, -1.0)
        assert (up.speed_m_s > 0.0) is moves
        down = LegState(leg, False, SEA_PA, SEA_PA + gauge_pa * leg.coulomb_n / areas_m2(leg)[1], 288.15)
        down.position_m = 0.5
        assert down.at_rest(SEA_PA, 0.0, -1.0) is not moves
        down.move(1.0e-3, SEA_PA, 0.0, -1.0)
        assert (down.speed_m_s < 0.0) is moves


def test_force_balance_names_every_term(rig):
    """pA Ac - pB Ar - pa (Ac - Ar) - load: with equal pressures only the rod's area is left."""
    leg = rig.leg(load_up_n=5.0, load_down_n=-7.0, air_load_n=40.0)
    state = LegState(leg, False, 3.0e5, 3.0e5, 288.15)
    rod_m2 = areas_m2(leg)[0] - areas_m2(leg)[1]
    assert state.drive_n(SEA_PA, 1.0) == pytest.approx((3.0e5 - SEA_PA) * rod_m2 - 5.0, rel=1e-12)
    state.position_m = leg.stroke_m
    assert state.drive_n(SEA_PA, 0.5) == pytest.approx((3.0e5 - SEA_PA) * rod_m2 + 7.0 - 20.0, rel=1e-12)


def test_lock_needs_its_force_at_the_end(rig):
    """At the end of the stroke: locked from lock_n on, not before."""
    leg = free_leg(rig)
    for share, locks in ((0.98, False), (1.02, True)):
        state = LegState(leg, True, SEA_PA + share * leg.lock_n / areas_m2(leg)[0], SEA_PA, 288.15)
        state.locked = False
        state.move(1.0e-3, SEA_PA, 0.0, -1.0)
        assert state.locked is locks


def test_locked_leg_holds_air_load_without_pressure(rig):
    """A lock is mechanical: ten times the design load and an empty tank do not fold it; retract pressure does."""
    plant = rig.plant(rig.air(), 0.0)
    rig.run(plant, 2.0, rig.Demand(airspeed_q_pa=25000.0))
    assert plant.leg_locked == [True] * 3 and plant.travel == [1.0] * 3
    plant = rig.plant(rig.air(), 7.0)
    rig.run(plant, 3.0, rig.Demand(coil_up=1))
    assert plant.leg_locked == [False] * 3 and plant.travel == [0.0] * 3


def test_retract_pressure_has_to_beat_the_lock(rig):
    """15 N of lock on the annulus of 172.8 mm2 is 0.868 bar gauge; the nose leg's own lock is stronger here."""
    air = rig.air([rig.leg(), rig.leg(lock_n=30.0)], tank_m3=1.0)
    plant = rig.plant(air, 1.2)
    rig.run(plant, 5.0, rig.Demand(coil_up=1))
    assert plant.leg_locked == [False, True]
    plant = rig.plant(air, 0.8)
    rig.run(plant, 5.0, rig.Demand(coil_up=1))
    assert plant.leg_locked == [True, True]


def test_unlocked_leg_folds_under_load_when_the_air_is_gone(rig):
    """Short of its lock, a leg is held by pressure only."""
    legs = [rig.leg(lock_n=60.0)]
    air = rig.air(legs)
    plant = rig.plant(air, 4.0, gear_down=False)
    demand = rig.Demand(airspeed_q_pa=2500.0)
    rig.run(plant, 6.0, demand)
    assert 0.9 < plant.gear_travel < 1.0 and plant.leg_locked == [False]
    demand.burst_m3_s_pa = 1.0e-8
    rig.run(plant, 20.0, demand)
    assert plant.gear_travel < 0.2


def test_gear_is_held_up_by_pressure_alone(rig):
    """With the valve at UP: at rest while there is pressure; when the tank has leaked empty, heavy legs fall out."""
    legs = [rig.leg(load_up_n=-20.0, load_down_n=-20.0)]
    air = rig.air(legs, brake=None)
    plant = rig.plant(air, 7.0, gear_down=False)
    demand = rig.Demand(coil_up=1)
    rig.run(plant, 60.0, demand)
    assert plant.travel == [0.0] and not plant.moving
    demand.burst_m3_s_pa = 5.0e-9
    rig.run(plant, 30.0, demand)
    assert plant.tank_pa_gauge < 2.0e4
    assert plant.gear_travel > 0.5
    # Pressing UP into an empty tank holds nothing, and a leg that fell out by weight did not lock: 20 N, 15 + 8 needed.
    assert plant.leg_locked == [False]


@pytest.mark.parametrize("jam_travel", [0.0, 0.4, 0.985])
def test_jammed_leg_stops_at_the_jam_and_the_others_do_not(rig, jam_travel):
    plant = rig.plant(rig.air(), 7.0, gear_down=False)
    rig.run(plant, 6.0, rig.Demand(jam_leg=1, jam_travel=jam_travel))
    assert plant.travel == [1.0, pytest.approx(jam_travel, abs=1e-12), 1.0]
    assert plant.leg_locked == [True, False, True]
    rig.run(plant, 6.0, rig.Demand(coil_up=1, jam_leg=1, jam_travel=jam_travel))
    assert plant.travel == [0.0, pytest.approx(jam_travel, abs=1e-12), 0.0]
    rig.run(plant, 6.0, rig.Demand())
    assert plant.leg_locked == [True, True, True]


def test_all_legs_jammed_still_fill_their_hoses(rig):
    """Between a quarter and six tenths of a stroke's air goes into hoses and cylinder ends."""
    spent = []
    for jam_leg in (-1, ALL_LEGS):
        plant = rig.plant(rig.air(), 7.0)
        rig.run(plant, 100.0, rig.Demand(coil_up=1, jam_leg=jam_leg, jam_travel=1.0))
        spent.append(7.0e5 - plant.tank_pa_gauge)
    assert 0.24 < spent[1] / spent[0] < 0.60


def test_zero_dead_volume_is_a_port(rig):
    plant = rig.plant(rig.air([rig.leg(dead_extend_m3=0.0, dead_retract_m3=0.0)]), 7.0)
    rig.run(plant, 4.0, rig.Demand(coil_up=1))
    assert plant.travel == [0.0]
    rig.run(plant, 4.0, rig.Demand())
    assert plant.leg_locked == [True]
