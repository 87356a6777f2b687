"""SR-01: after any reset the command is DOWN until a good link and a run to DOWN have been seen."""

import pytest

from controller import codes

from .driver import DOWN_US, SILENT, UP_US, Rig

SETTLE_TICKS = 100  # 2 s
RECOVER_TICKS = 10  # 0.2 s


@pytest.mark.sr("SR-01", "acts")
def test_first_output_is_down_for_every_valve():
    spring = Rig().step()
    assert (spring.coil_up, spring.gear_command) == (0, codes.DOWN)
    coils = Rig(valve_kind=codes.VALVE_TWO_COIL).step()
    assert (coils.coil_up, coils.coil_down) == (0, 1)
    servo = Rig(valve_kind=codes.VALVE_SERVO, servo=(1000, 2000)).step()
    assert servo.valve_us == 1000


@pytest.mark.sr("SR-01", "acts")
def test_switch_left_at_up_at_power_on_never_retracts():
    rig = Rig()
    rig.gear_us = UP_US
    for _ in range(3000):
        assert rig.step().gear_command == codes.DOWN
    assert rig.outputs.mode == codes.WAKING


@pytest.mark.sr("SR-01", "acts")
@pytest.mark.parametrize("ticks", [3, 20, SETTLE_TICKS - 10, SETTLE_TICKS + RECOVER_TICKS - 2])
def test_move_before_the_link_has_settled_counts_for_nothing(ticks):
    rig = Rig()
    rig.step(ticks, gear_us=DOWN_US)
    for _ in range(600):
        assert rig.step(gear_us=UP_US).gear_command == codes.DOWN


@pytest.mark.sr("SR-01", "acts")
def test_break_of_the_link_starts_the_settling_again():
    rig = Rig()
    rig.step(90, gear_us=DOWN_US)
    rig.step(5, gear_us=SILENT)
    rig.step(RECOVER_TICKS + SETTLE_TICKS - 5, gear_us=DOWN_US)
    assert rig.outputs.mode == codes.WAKING
    rig.step(20, gear_us=UP_US)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-01", "spares")
def test_gear_can_be_retracted_soon_after_the_link_has_settled():
    rig = Rig()
    rig.step(RECOVER_TICKS + SETTLE_TICKS + 5, gear_us=DOWN_US)
    assert rig.outputs.mode == codes.MODE_DOWN
    rig.step(3, gear_us=UP_US)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-01", "spares")
def test_gap_shorter_than_degraded_does_not_start_the_settling_again():
    rig = Rig()
    rig.step(60, gear_us=DOWN_US)
    rig.step(4, gear_us=SILENT)
    rig.step(55, gear_us=DOWN_US)
    assert rig.outputs.mode == codes.MODE_DOWN
