"""A boot on a simulated clock: the real controller, the journal in flash, and erases that stall the loop (SR-31, SR-35).

A tick is due a tick after the last one was due; a tick that is overdue runs at once, and the next one is due a tick
later. After each tick there is time for one step of the journal; what its flash takes moves the clock.
"""

from boards.common.flashlog import Flashlog
from boards.common.flashlog_leave import EraseLeave
from boards.common.flashlog_samples import Sampler
from controller.codes import VALVE_SPRING
from tests.boards.flash import SimFlash
from tests.unit.driver import Rig

TICK_WORK_MS = 6
PROGRAM_MS = 3


class SlowFlash(SimFlash):
    """Moves `clock.now_ms` for each operation."""

    def __init__(self, n_sectors, clock, erase_ms):
        super().__init__(n_sectors, fill=0)
        self.clock = clock
        self.erase_ms = erase_ms

    def program(self, page, buffer):
        super().program(page, buffer)
        self.clock.now_ms += PROGRAM_MS

    def erase(self, sector):
        super().erase(sector)
        self.clock.now_ms += self.erase_ms


class Clock:
    """Milliseconds since power-on."""

    def __init__(self):
        self.now_ms = 0


class Row:
    """What one tick and the step after it did. Times are ms since power-on."""

    def __init__(self, at_ms, outputs, alerts, erased, programmed):
        self.at_ms = at_ms
        self.mode = outputs.mode
        self.command = outputs.gear_command
        self.coils = outputs.coil_up + outputs.coil_down
        self.fed = outputs.feed
        self.alerts = alerts
        self.erased = erased
        self.programmed = programmed


def boot(
    erase_ms,
    ticks=1000,
    n_sectors=292,
    erased_ahead=False,
    valve_kind=VALVE_SPRING,
    retained=(0, 0),
    up_at=None,
    **changes,
):
    """(rows of a boot, the log): link good from the first tick, switch at down, or at up from tick `up_at` on."""
    clock = Clock()
    flash = SlowFlash(n_sectors, clock, erase_ms)
    rig = Rig(valve_kind=valve_kind, retained=retained, **changes)
    tick_ms = rig.settings.tick_ms
    if erased_ahead:
        _erase_ahead(flash, rig.controller.scribe.journal, tick_ms)
        clock.now_ms = 0
    journal = rig.controller.scribe.journal
    log = Flashlog(flash, journal, b"\x01\x02\x03\x04", b"\x00\x01\x00", tick_ms)
    sampler, leave = Sampler(tick_ms), EraseLeave(tick_ms)
    rows, due_ms = [], 0
    for number in range(ticks):
        clock.now_ms = max(clock.now_ms, due_ms)
        at_ms = clock.now_ms
        rig.now_ms = at_ms
        rig.step(gear_us=1900 if up_at is not None and number >= up_at else 1100)
        clock.now_ms += TICK_WORK_MS
        due_ms = max(due_ms, at_ms) + tick_ms
        before = len(flash.log)
        sampler.step(journal, rig.outputs, rig.controller.strokes.in_progress, log.thin)
        may_erase = leave.step(rig.outputs, clock.now_ms)
        log.step(rig.outputs.gear_command, rig.controller.strokes.in_progress, may_erase)
        kinds = [kind for kind, _ in flash.log[before:]]
        alerts = {alert for alert in range(len(rig.outputs.active)) if rig.outputs.active[alert]}
        rows.append(Row(at_ms, rig.outputs, alerts, "erase" in kinds, "program" in kinds))
    return rows, log


def _erase_ahead(flash, journal, tick_ms):
    """As after some flights: everything that is to be erased is."""
    log = Flashlog(flash, journal, b"\x01\x02\x03\x04", b"\x00\x01\x00", tick_ms)
    for _ in range(4 * flash.n_sectors):
        log.step(0, 0, 1)


def longest_without_feed_ms(rows):
    """The watchdog's worst wait."""
    fed = [row.at_ms for row in rows if row.fed]
    return max(after - before for before, after in zip(fed, fed[1:], strict=False))


def leaves_waking_ms(rows):
    """When the mode first is no longer waking; None when it stays."""
    return next((row.at_ms for row in rows if row.mode != 0), None)
