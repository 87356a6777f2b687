"""SR-31, SR-32, SR-33: being late, restarts, the clock."""

import pytest

from controller import codes
from controller.health import CLOCK_MASK, Health, Restarts, check_word

from .driver import DOWN_US, SILENT, UP_US, Rig

MINUTE_TICKS = 3000


def late(rig, late_ms):
    """One tick that comes `late_ms` late."""
    rig.now_ms = (rig.now_ms + late_ms) & CLOCK_MASK
    return rig.step()


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("late_ms", [11, 50, 100])
def test_late_tick_is_not_fed_and_does_not_drop_the_gear(late_ms):
    rig = Rig().up()
    assert rig.outputs.feed == 1
    assert late(rig, late_ms).feed == 0
    assert rig.command == codes.UP
    assert rig.step().feed == 1
    assert rig.shows(codes.ALERT_LATE)


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("late_ms", [101, 500, 2**29])
def test_tick_far_too_late_goes_back_to_the_first_sequence(late_ms):
    rig = Rig().up()
    late(rig, late_ms)
    assert (rig.command, rig.outputs.mode, rig.outputs.feed) == (codes.DOWN, codes.WAKING, 0)
    assert rig.causes == [codes.CAUSE_LATE]
    for tick in range(600):
        assert rig.step(air=6680 - min(tick, 150)).gear_command == codes.DOWN
    rig.step(5, gear_us=DOWN_US)
    assert rig.causes == []
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-31", "acts")
def test_first_sequence_after_a_late_tick_takes_its_settling_time():
    rig = Rig().up()
    late(rig, 200)
    for _ in range(98):
        assert rig.step(gear_us=DOWN_US).mode == codes.WAKING
    rig.step(5)
    assert rig.outputs.mode == codes.MODE_DOWN


@pytest.mark.sr("SR-31", "acts")
def test_three_late_ticks_in_a_second_latch():
    rig = Rig().up()
    late(rig, 40)
    rig.step(10)
    late(rig, 40)
    rig.step(10)
    assert rig.command == codes.UP
    late(rig, 40)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_LATE]


@pytest.mark.sr("SR-31", "spares")
def test_three_late_ticks_in_more_than_a_second_do_not_latch():
    rig = Rig().up()
    for _ in range(10):
        late(rig, 60)
        rig.step(26)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-31", "spares")
def test_jitter_is_fed():
    rig = Rig().up()
    for tick in range(1000):
        rig.now_ms += (3, -3, 5, -5, 0)[tick % 5]
        assert rig.step().feed == 1
    assert rig.command == codes.UP


def ticked(health, marks, late_by=0):
    health.begin(20 + late_by)
    for stage, well in marks:
        health.mark(stage, 1 - well, 0)
    health.finish()
    return health.feed_leave


ALL_WELL = [(stage, 1) for stage in range(8)]


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("stage", range(8))
def test_stage_that_did_not_run_or_is_not_well_is_not_fed(stage):
    assert ticked(Health(20), ALL_WELL) == 1
    assert ticked(Health(20), [mark for mark in ALL_WELL if mark[0] != stage]) == 0
    assert ticked(Health(20), [(number, 0 if number == stage else 1) for number in range(8)]) == 0
    twice = ALL_WELL[: stage + 1] + ALL_WELL[stage:]
    assert ticked(Health(20), twice) == 0


# SR-32


def restart(rig, **changes):
    """A reset with power on: what the board keeps goes into the next life."""
    return Rig(retained=(rig.outputs.retained_count, rig.outputs.retained_check), **changes)


@pytest.mark.sr("SR-32", "acts")
def test_three_resets_lock_out_until_power_is_removed():
    rig = Rig()
    rig.step(10)
    for _ in range(2):
        rig = restart(rig)
        rig.step(10)
        assert rig.outputs.mode != codes.LOCKED_OUT
        assert rig.shows(codes.ALERT_RESTARTED)
    for _ in range(4):
        rig = restart(rig)
        rig.step(10)
        assert rig.outputs.mode == codes.LOCKED_OUT
        assert rig.outputs.alert == codes.ALERT_LOCKED_OUT
        assert rig.outputs.severity == codes.WARNING
    rig.step(200, gear_us=DOWN_US)
    rig.step(MINUTE_TICKS + 200, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.outputs.mode == codes.LOCKED_OUT
    # Power off and on: the memory holds nothing that checks.
    rig = Rig().awake()
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-32", "spares")
def test_minute_of_healthy_running_forgives():
    rig = Rig()
    rig.step(10)
    for _ in range(4):
        rig = restart(rig)
        rig.step(MINUTE_TICKS + 2)
        assert rig.outputs.mode != codes.LOCKED_OUT


@pytest.mark.sr("SR-32", "acts")
def test_less_than_a_minute_does_not_forgive():
    rig = Rig()
    rig.step(10)
    for _ in range(3):
        rig = restart(rig)
        rig.step(MINUTE_TICKS - 2)
    assert rig.outputs.mode == codes.LOCKED_OUT


@pytest.mark.sr("SR-32", "acts")
def test_unhealthy_tick_starts_the_minute_again():
    rig = Rig()
    rig.step(10)
    for _ in range(3):
        rig = restart(rig)
        rig.step(500)
        late(rig, 50)
        rig.step(MINUTE_TICKS - 10)
    assert rig.outputs.mode == codes.LOCKED_OUT


@pytest.mark.sr("SR-32", "spares")
@pytest.mark.parametrize(
    "kept", [(0, 0), (2, 0), (2, check_word(1)), (65535, 65535), (-1, check_word(-1)), (9, check_word(9))]
)
def test_lost_memory_means_power_on(kept):
    restarts = Restarts(*kept)
    assert (restarts.count, restarts.locked_out) == (0, 0)


@pytest.mark.sr("SR-32", "acts")
def test_two_resets_after_a_forgiven_one_are_not_three():
    rig = Rig()
    rig.step(10)
    rig = restart(rig)
    rig.step(MINUTE_TICKS + 5)
    for _ in range(2):
        rig = restart(rig)
        rig.step(10)
    assert rig.outputs.mode != codes.LOCKED_OUT
    rig = restart(rig)
    rig.step(10)
    assert rig.outputs.mode == codes.LOCKED_OUT


# SR-33


@pytest.mark.sr("SR-33", "spares")
@pytest.mark.parametrize("before", [5, 1000])
def test_clock_wrap_changes_nothing(before):
    plain = Rig()
    wrapped = Rig()
    wrapped.now_ms = CLOCK_MASK + 1 - before
    for tick in range(500):
        for rig in (plain, wrapped):
            rig.step(gear_us=UP_US if tick > 200 else DOWN_US, air=7000 - max(0, min(tick - 200, 100)) * 3)
        for name in ("gear_command", "mode", "feed", "alert", "lamp", "coil_up"):
            assert getattr(plain.outputs, name) == getattr(wrapped.outputs, name)
    assert plain.command == codes.UP


@pytest.mark.sr("SR-33", "acts")
@pytest.mark.parametrize("period_ms", [15, 25, 30])
def test_clock_off_by_more_than_a_fifth_latches_down_for_good(period_ms):
    rig = Rig().up()
    rig.period_ms = period_ms
    rig.until(lambda o: o.gear_command == codes.DOWN, 110)
    assert rig.causes == [codes.CAUSE_CLOCK]
    rig.period_ms = 20
    rig.step(1000, gear_us=DOWN_US)
    rig.step(100, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_CLOCK]


@pytest.mark.sr("SR-33", "spares")
@pytest.mark.parametrize("period_ms", [16, 18, 22, 24])
def test_clock_within_a_fifth_is_accepted(period_ms):
    rig = Rig().up()
    rig.period_ms = period_ms
    rig.step(500)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-33", "acts")
def test_time_of_decisions_is_counted_in_ticks():
    # The board's clock says 24 ms a tick, and the loss is still 50 ticks long.
    rig = Rig().up()
    rig.period_ms = 24
    rig.step(100)
    rig.gear_us = SILENT
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 60) == 50
