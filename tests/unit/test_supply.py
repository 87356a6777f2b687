"""SR-13: supply voltage, where it is measured."""

import pytest

from controller import codes

from .driver import Rig

CONFIRM_TICKS = 25


def lit(rig):
    rig.awake()
    rig.step(250, light_us=1900)
    assert rig.outputs.light == 1
    return rig


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize("confirm_ms", [500, 200])
def test_low_supply_forces_down_after_its_time(confirm_ms):
    rig = Rig(supply_fitted=1, supply_confirm_ms=confirm_ms).up()
    took = rig.step(supply_mv=4480) and 1 + rig.until(lambda o: o.gear_command == codes.DOWN, 60)
    assert took == confirm_ms // 20
    assert rig.causes == [codes.CAUSE_SUPPLY]
    assert 4470 <= rig.outputs.cause_value < 4500
    rig.step(300, supply_mv=4790)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_SUPPLY]


@pytest.mark.sr("SR-13", "acts")
def test_light_is_shed_at_once_below_the_margin():
    rig = lit(Rig(supply_fitted=1))
    assert rig.step(supply_mv=4790).light == 0


@pytest.mark.sr("SR-13", "spares")
def test_light_stays_on_above_the_margin():
    rig = lit(Rig(supply_fitted=1))
    rig.step(500, supply_mv=4810)
    assert rig.outputs.light == 1


@pytest.mark.sr("SR-13", "spares")
@pytest.mark.parametrize("mv", [4505, 4700])
def test_sag_above_the_forcing_point_does_not_force(mv):
    rig = Rig(supply_fitted=1).up()
    rig.step(1000, supply_mv=mv)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-13", "spares")
def test_servo_sag_shorter_than_the_time_does_not_force():
    rig = Rig(supply_fitted=1).up()
    for _ in range(20):
        rig.step(CONFIRM_TICKS - 1, supply_mv=4000)
        rig.step(10, supply_mv=5200)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-13", "acts")
def test_sags_without_a_healing_time_between_add_up():
    rig = Rig(supply_fitted=1).up()
    for _ in range(5):
        rig.step(6, supply_mv=4000)
        rig.step(9, supply_mv=5200)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-13", "spares")
def test_unmeasured_supply_is_ignored():
    rig = lit(Rig(supply_fitted=0))
    rig.step(200, supply=0)
    assert rig.outputs.light == 1
    assert rig.outputs.supply_mv == -2
    assert rig.causes == []


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize(
    ("valve", "confirm_ms", "ticks"),
    [
        (codes.VALVE_SPRING, 500, 25),
        (codes.VALVE_TWO_COIL, 500, 10),
        (codes.VALVE_SERVO, 500, 10),
        (codes.VALVE_SERVO, 100, 5),
    ],
)
def test_valve_that_has_to_be_driven_is_given_less_time(valve, confirm_ms, ticks):
    rig = Rig(valve_kind=valve, servo=(1100, 1900), supply_fitted=1, supply_confirm_ms=confirm_ms).up()
    rig.supply_mv(4400)
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 60) == ticks
    assert rig.causes == [codes.CAUSE_SUPPLY]
