"""SR-07 and SR-10: latches, their release, and what may ever lead to UP."""

import pytest

from controller import codes

from .driver import CENTRE_US, DOWN_US, SILENT, UP_US, Rig, alone, codes_of

RECOVER_TICKS = 100
HOLD_TICKS = 10


def lost_link(rig):
    """Link lost with the gear up, and back again with the switch still at up."""
    rig.step(60, gear_us=SILENT)
    rig.step(20, gear_us=UP_US)
    assert rig.causes == [codes.CAUSE_LINK]
    return rig


@pytest.mark.sr("SR-07", "acts")
def test_latch_stays_while_the_switch_stays_up():
    rig = lost_link(Rig().up())
    for _ in range(3000):
        assert rig.step().gear_command == codes.DOWN
    assert rig.outputs.mode == codes.HELD


@pytest.mark.sr("SR-07", "spares")
def test_release_comes_after_the_cause_has_gone_and_down_is_shown():
    rig = lost_link(Rig().up())
    rig.step(RECOVER_TICKS)
    took = rig.step(gear_us=DOWN_US) and 1 + rig.until(lambda o: o.mode == codes.MODE_DOWN, 60)
    assert HOLD_TICKS <= took <= HOLD_TICKS + 2
    assert rig.causes == []
    rig.step(5)
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-07", "acts")
def test_release_needs_the_recovery_time_even_with_the_switch_at_down():
    rig = Rig().up()
    rig.step(60, gear_us=SILENT)
    # 0.2 s until the link is good, then 2 s, then 0.2 s.
    took = rig.step(gear_us=DOWN_US) and 1 + rig.until(lambda o: o.mode == codes.MODE_DOWN, 300)
    assert 10 + RECOVER_TICKS + HOLD_TICKS - 1 <= took <= 10 + RECOVER_TICKS + HOLD_TICKS + 3


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("interruption", ["up", "gap", "cause"])
def test_interruption_restarts_the_hold(interruption):
    rig = Rig(supply_fitted=1).up()
    rig.step(60, supply_mv=4300)
    assert rig.causes == [codes.CAUSE_SUPPLY]
    rig.step(RECOVER_TICKS + 20, supply_mv=5500)
    rig.step(HOLD_TICKS - 6, gear_us=DOWN_US)
    if interruption == "up":
        rig.step(1, gear_us=UP_US)
        rig.gear_us = DOWN_US
        wait = HOLD_TICKS - 1
    elif interruption == "gap":
        rig.step(5, gear_us=SILENT)
        rig.gear_us = DOWN_US
        wait = HOLD_TICKS + HOLD_TICKS - 2
    else:
        rig.step(1, supply_mv=4700)
        rig.supply_mv(5500)
        wait = RECOVER_TICKS + HOLD_TICKS - 2
    for _ in range(wait):
        assert rig.step().mode == codes.HELD
    rig.until(lambda o: o.mode == codes.MODE_DOWN, 6)


@pytest.mark.sr("SR-07", "acts")
def test_silence_releases_nothing():
    rig = Rig(supply_fitted=1).up()
    rig.step(60, supply_mv=4300)
    rig.step(RECOVER_TICKS + 20, supply_mv=5500)
    rig.step(HOLD_TICKS - 2, gear_us=DOWN_US)
    rig.step(4, gear_us=SILENT)
    assert rig.outputs.mode == codes.HELD


@pytest.mark.sr("SR-07", "acts")
def test_supply_between_the_forcing_point_and_the_margin_is_not_absent():
    rig = Rig(supply_fitted=1).up()
    rig.step(60, supply_mv=4300)
    rig.step(1000, supply_mv=4780, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_SUPPLY]


def low_air():
    rig = Rig().up()
    rig.glide(6680, 4690, 2500)
    rig.step(60)
    assert rig.causes == [codes.CAUSE_LOW_AIR]
    # The extension costs air, which shows that the sensor lives.
    rig.glide(4690, 4500, 100)
    rig.step(100)
    return rig


@pytest.mark.sr("SR-07", "acts")
def test_low_air_is_absent_only_at_the_permit():
    rig = low_air()
    rig.step(1000, air=5590, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_LOW_AIR]


@pytest.mark.sr("SR-07", "spares")
def test_low_air_is_released_at_the_permit():
    rig = low_air()
    rig.step(200, air=5605, gear_us=DOWN_US)
    assert rig.causes == []


@pytest.mark.sr("SR-07", "acts")
def test_two_causes_are_released_together_and_only_when_both_are_gone():
    rig = low_air()
    rig.step(60, gear_us=SILENT)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_LINK]
    rig.step(1000, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_LINK]
    rig.step(RECOVER_TICKS + HOLD_TICKS - 3, air=5650)
    assert rig.causes == [codes.CAUSE_LOW_AIR, codes.CAUSE_LINK]
    rig.step(10)
    assert rig.causes == []


@pytest.mark.sr("SR-07", "acts")
def test_two_causes_in_one_tick_both_latch():
    rig = Rig(supply_fitted=1, supply_confirm_ms=1000).up()
    rig.step(50, gear_us=SILENT, supply_mv=4000)
    assert rig.causes == [codes.CAUSE_LINK, codes.CAUSE_SUPPLY]
    rig.step(1000, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_LINK, codes.CAUSE_SUPPLY]


@pytest.mark.sr("SR-07", "acts")
def test_down_remembered_from_before_a_loss_releases_nothing():
    rig = Rig().awake()
    rig.step(60, gear_us=SILENT)
    rig.step(1000, gear_us=CENTRE_US)
    assert rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-07", "acts")
def test_unknown_pressure_is_not_absent():
    rig = Rig().up()
    rig.step(150, a=0)
    assert rig.causes == [codes.CAUSE_PRESSURE]
    rig.step(1000, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_PRESSURE]
    rig.step(150, a=codes_of(6680))
    assert rig.causes == []


@pytest.mark.sr("SR-07", "acts")
def test_release_leaves_down_and_a_move_made_while_held_is_lost():
    rig = lost_link(Rig().up())
    rig.step(RECOVER_TICKS)
    rig.step(HOLD_TICKS - 3, gear_us=DOWN_US)
    rig.step(500, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_LINK]


# SR-10, with both paths and with the mode logic alone: neither may hide a fault of the other.

both = pytest.mark.parametrize("paths", [lambda rig: rig, alone], ids=["both paths", "mode logic alone"])


@pytest.mark.sr("SR-10", "acts")
@both
def test_one_move_gives_one_retraction_after_a_forced_extension(paths):
    rig = paths(Rig(supply_fitted=1)).up()
    rig.step(60, supply_mv=4300)
    rig.supply_mv(5500)
    for _ in range(2000):
        assert rig.step().gear_command == codes.DOWN


@pytest.mark.sr("SR-10", "acts")
@both
def test_down_confirmed_before_a_degraded_link_does_not_arm(paths):
    rig = paths(Rig()).awake()
    rig.step(10, gear_us=SILENT)
    rig.step(20, gear_us=CENTRE_US)
    for _ in range(100):
        assert rig.step(gear_us=UP_US).gear_command == codes.DOWN


@pytest.mark.sr("SR-10", "acts")
@both
@pytest.mark.parametrize("frames", [3, 6, 8, 9])
def test_down_run_that_is_complete_before_the_link_is_good_does_not_arm(paths, frames):
    rig = paths(Rig()).awake()
    rig.step(10, gear_us=SILENT)
    rig.step(frames, gear_us=DOWN_US)
    assert rig.outputs.link == codes.LINK_DEGRADED
    for _ in range(100):
        assert rig.step(gear_us=UP_US).gear_command == codes.DOWN


@pytest.mark.sr("SR-10", "spares")
@both
def test_down_run_with_a_good_link_arms(paths):
    rig = paths(Rig()).awake()
    rig.step(10, gear_us=SILENT)
    rig.step(11, gear_us=DOWN_US)
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-10", "spares")
@both
def test_every_whole_move_gives_a_retraction(paths):
    rig = paths(Rig()).awake()
    for _ in range(10):
        rig.move_up()
        assert rig.command == codes.UP
        rig.move_down()
        assert rig.command == codes.DOWN


@pytest.mark.sr("SR-10", "acts")
@both
def test_permit_that_comes_after_the_move_does_not_retract(paths):
    rig = paths(Rig(ground_fitted=1)).awake()
    rig.step(60, ground=1)
    rig.move_up()
    for _ in range(500):
        assert rig.step(ground=0).gear_command == codes.DOWN


@pytest.mark.sr("SR-10", "acts")
@both
@pytest.mark.parametrize("gap", [5, 20, 45])
def test_move_across_a_degraded_link_does_not_retract(paths, gap):
    rig = paths(Rig()).awake()
    rig.step(gap, gear_us=SILENT)
    for _ in range(100):
        assert rig.step(gear_us=UP_US).gear_command == codes.DOWN


@pytest.mark.sr("SR-10", "acts")
@both
def test_refused_move_and_two_frames_of_down_do_not_retract(paths):
    rig = paths(Rig(ground_fitted=1)).awake()
    rig.step(60, ground=1)
    rig.move_up()
    rig.step(100, ground=0)
    for _ in range(20):
        rig.step(2, gear_us=DOWN_US)
        rig.step(3, gear_us=UP_US)
        assert rig.command == codes.DOWN


@pytest.mark.sr("SR-08", "acts")
@both
def test_run_to_down_across_a_gap(paths):
    rig = paths(Rig()).up()
    rig.step(2, gear_us=DOWN_US)
    rig.step(20, gear_us=SILENT)
    rig.step(1, gear_us=DOWN_US)
    assert rig.command == codes.DOWN
    assert rig.causes == []
