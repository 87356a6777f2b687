"""The gear valve of each kind: powered, unpowered, slow, stuck."""

import pytest

from host_sim.air.valve import DOWN, UP


def settle(rig, plant, **demand):
    """One second under these demands; where the valve is then."""
    rig.run(plant, 1.0, rig.Demand(**demand))
    return plant.valve_at


def test_spring_valve_falls_down_without_power(rig):
    plant = rig.plant(rig.air())
    assert settle(rig, plant, coil_up=1) == UP
    assert settle(rig, plant) == DOWN
    assert settle(rig, plant, coil_up=1, valve_wire_off=True) == DOWN
    assert settle(rig, plant, coil_up=1) == UP
    assert settle(rig, plant, coil_up=1, valve_wire_off=True) == DOWN


@pytest.mark.parametrize("kind", ["two-coil", "servo"])
def test_other_valves_stay_where_they_are_without_power(rig, kind):
    to_up = {"coil_up": 1, "valve_us": 1900}
    to_down = {"coil_down": 1, "valve_us": 1100}
    plant = rig.plant(rig.air(valve={"kind": kind}))
    assert settle(rig, plant) == DOWN
    assert settle(rig, plant, **to_up) == UP
    assert settle(rig, plant) == UP
    assert settle(rig, plant, **to_down, valve_wire_off=True) == UP
    assert settle(rig, plant, **to_down) == DOWN
    assert settle(rig, plant) == DOWN
    assert settle(rig, plant, **to_up, valve_wire_off=True) == DOWN


def test_two_coils_at_once_move_nothing(rig):
    for down in (True, False):
        plant = rig.plant(rig.air(valve={"kind": "two-coil"}), gear_down=down)
        assert settle(rig, plant, coil_up=1, coil_down=1) == (DOWN if down else UP)


def test_two_coil_valve_ignores_the_servo_pulse_and_the_other_way_round(rig):
    assert settle(rig, rig.plant(rig.air(valve={"kind": "two-coil"})), valve_us=1900) == DOWN
    assert settle(rig, rig.plant(rig.air(valve={"kind": "servo"})), coil_up=1) == DOWN


def test_servo_that_runs_the_other_way(rig):
    plant = rig.plant(rig.air(valve={"kind": "servo", "servo_down_us": 1900, "servo_up_us": 1100}))
    assert settle(rig, plant, valve_us=1100) == UP
    assert settle(rig, plant, valve_us=1900) == DOWN


@pytest.mark.parametrize("kind", ["spring", "two-coil", "servo"])
def test_stuck_valve_stays(rig, kind):
    air = rig.air(valve={"kind": kind})
    stuck_down = rig.plant(air)
    assert settle(rig, stuck_down, coil_up=1, valve_us=1900, valve_stuck=True) == DOWN
    assert stuck_down.gear_travel == 1.0
    stuck_up = rig.plant(air, gear_down=False)
    assert settle(rig, stuck_up, coil_down=1, valve_us=1100, valve_stuck=True) == UP
    assert stuck_up.gear_travel == 0.0


@pytest.mark.parametrize("ticks_of_rest", range(7))
def test_a_pulse_shorter_than_the_switching_time_moves_nothing(rig, ticks_of_rest):
    plant = rig.plant(rig.air(valve={"kind": "two-coil", "switch_s": 0.03}))
    rig.run(plant, 0.02 * ticks_of_rest, rig.Demand())
    for _ in range(20):
        plant.advance(0.02, rig.Demand(coil_up=1))
        plant.advance(0.02, rig.Demand())
        assert plant.valve_at == DOWN
    plant.advance(0.02, rig.Demand(coil_up=1))
    assert plant.valve_at == DOWN
    plant.advance(0.02, rig.Demand(coil_up=1))
    assert plant.valve_at == UP


def test_unknown_kind_is_refused(rig):
    with pytest.raises(ValueError, match="'magic': must be one of spring, two-coil, servo"):
        rig.plant(rig.air(valve={"kind": "magic"}))
