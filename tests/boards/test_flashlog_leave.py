"""SR-35, SR-31: when an erase may stall the loop, and what the real controller makes of the ticks that it makes late."""

import pytest

from boards.common.flashlog_leave import LONGEST_TICK_MS, WINDOW_MS, EraseLeave
from controller.codes import (
    ALERT_HELD,
    ALERT_LATE,
    DOWN,
    MODE_DOWN,
    MODE_UP,
    UP,
    VALVE_SERVO,
    VALVE_SPRING,
    VALVE_TWO_COIL,
    WAKING,
)
from controller.frames import Outputs
from controller.health import check_word
from tests.boards.slow_boot import boot, leaves_waking_ms, longest_without_feed_ms

WATCHDOG_MS = 500
# Data sheets, from memory: typical, and the most.
ERASES_MS = (45, 100, 150, 400)


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.sr("SR-31", "spares")
@pytest.mark.parametrize("erase_ms", ERASES_MS)
@pytest.mark.parametrize("tick_ms", [10, 20, 40])
def test_the_watchdog_is_fed_and_the_gear_stays_down_while_sectors_are_erased(erase_ms, tick_ms):
    rows, log = boot(erase_ms, tick_ms=tick_ms)
    assert longest_without_feed_ms(rows) < WATCHDOG_MS
    assert {row.command for row in rows} == {DOWN}
    erases = [row for row in rows if row.erased]
    assert len(erases) >= 9, "the worst chip gets something done too"
    assert all(row.fed for row in erases) and erases[0].at_ms <= 8 * tick_ms
    late = erase_ms - tick_ms > tick_ms // 2
    assert {row.mode for row in erases} == ({WAKING} if late else {WAKING, MODE_DOWN})
    assert erases[-1].at_ms < WINDOW_MS
    for before, after in zip(rows, rows[1:], strict=False):
        assert not (before.erased and after.erased), "a tick on time between any two stalls"
    assert log.failures == 0 and log.lost == 0


def test_how_many_sectors_the_window_erases():
    """The figures of flashlog_leave.py."""
    counts = {erase_ms: sum(row.erased for row in boot(erase_ms)[0]) for erase_ms in ERASES_MS}
    assert 60 <= counts[45] <= 80 and 11 <= counts[400] <= 13


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("erase_ms", ERASES_MS)
def test_waking_ends_within_the_stated_time_and_the_pilot_sees_why(erase_ms):
    rows, _ = boot(erase_ms)
    usual_ms = leaves_waking_ms(boot(erase_ms, erased_ahead=True)[0])
    assert leaves_waking_ms(rows) <= WINDOW_MS + 403 + usual_ms + 100
    first = next(number for number, row in enumerate(rows) if row.erased)
    waking = [row for row in rows[first + 1 :] if row.mode == WAKING]
    assert all(ALERT_LATE in row.alerts for row in waking)
    assert any(ALERT_HELD in row.alerts for row in waking)
    assert ALERT_HELD not in rows[-1].alerts and rows[-1].mode == MODE_DOWN


@pytest.mark.sr("SR-35", "spares")
@pytest.mark.sr("SR-31", "spares")
def test_with_nothing_to_erase_no_tick_is_late_and_nothing_shows():
    rows, log = boot(400, erased_ahead=True)
    assert not any(row.erased for row in rows)
    assert all(row.fed for row in rows[1:])
    assert not any(row.alerts & {ALERT_LATE, ALERT_HELD} for row in rows)
    assert 2000 <= leaves_waking_ms(rows) <= 2300
    assert log.saved > 20, "but records are written"


@pytest.mark.sr("SR-35", "spares")
def test_the_first_outputs_are_out_before_anything_is_read_or_erased():
    rows, _ = boot(45)
    assert not (rows[0].erased or rows[0].programmed) and rows[0].command == DOWN
    assert rows[0].at_ms == 0


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("count", [0, 1, 2])
def test_after_a_reset_nothing_is_erased(count):
    rows, _ = boot(45, retained=(count, check_word(count)))
    assert not any(row.erased for row in rows)
    assert leaves_waking_ms(rows) is not None


@pytest.mark.sr("SR-18", "spares")
@pytest.mark.parametrize("kind", [VALVE_SPRING, VALVE_TWO_COIL, VALVE_SERVO])
def test_no_erase_makes_a_coils_pulse_longer(kind):
    servo = (1100, 1900) if kind == VALVE_SERVO else (0, 0)
    rows, _ = boot(45, valve_kind=kind, servo=servo, coil_repeat_ms=1000)
    assert any(row.erased for row in rows)
    assert not any(row.erased and row.coils for row in rows)
    on_ms = [after.at_ms - before.at_ms for before, after in zip(rows, rows[1:], strict=False) if before.coils]
    assert all(length <= 30 for length in on_ms)
    assert bool(on_ms) == (kind == VALVE_TWO_COIL)


@pytest.mark.sr("SR-35", "acts")
def test_in_flight_nothing_is_erased():
    rows, log = boot(45, ticks=1500, up_at=900)
    up = [row for row in rows if row.command == UP]
    assert len(up) > 200 and not any(row.erased for row in up)
    assert any(row.programmed for row in up)
    assert log.lost == 0


def put_out(**changes):
    """Outputs of a tick that gets leave, with changes."""
    outputs = Outputs()
    outputs.feed = 1
    for name, value in changes.items():
        getattr(outputs, name)
        setattr(outputs, name, value)
    return outputs


@pytest.mark.parametrize(
    "changes",
    [
        {"mode": MODE_UP, "gear_command": UP},
        {"retained_count": 1},
    ],
    ids=str,
)
@pytest.mark.sr("SR-35", "acts")
def test_what_closes_the_window_closes_it_until_power_on(changes):
    leave = EraseLeave(20)
    assert leave.step(put_out(), 0) == 1
    assert leave.step(put_out(**changes), 20) == 0
    assert leave.step(put_out(), 40) == 0 and leave.closed == 1


@pytest.mark.parametrize("changes", [{"feed": 0}, {"coil_down": 1}, {"coil_up": 1}], ids=str)
def test_what_forbids_an_erase_for_now(changes):
    leave = EraseLeave(20)
    assert leave.step(put_out(**changes), 0) == 0
    assert leave.step(put_out(), 20) == 1


@pytest.mark.parametrize("start_ms", [0, 12345, (1 << 30) - 2000])
def test_the_window_lasts_five_seconds_across_the_wrap_of_the_clock(start_ms):
    leave = EraseLeave(20)
    wrapped = (1 << 30) - 1
    assert leave.step(put_out(), start_ms) == 1
    assert leave.step(put_out(), start_ms + 4999 & wrapped) == 1
    assert leave.step(put_out(), start_ms + 5000 & wrapped) == 0
    assert leave.step(put_out(), start_ms) == 0


def test_no_leave_at_ticks_so_long_that_the_watchdog_could_bite():
    assert LONGEST_TICK_MS == 40
    assert EraseLeave(40).step(put_out(), 0) == 1
    assert EraseLeave(41).step(put_out(), 0) == 0
