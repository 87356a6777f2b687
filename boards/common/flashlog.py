"""The journal in flash (SR-35): drains the controller's ring in RAM (controller/journal.py) between ticks.

Format: flashlog_format.py. Where a boot goes on: flashlog_open.py. When an erase may stall the loop: flashlog_leave.py.
Ten samples a second: flashlog_samples.py. Programming and erasing: flashlog_store.py; a chip's flash: flashlog_device.py.

Why a cut of power costs the record being written and no other. A page is programmed once for each of its 16 records,
with 0xFF in all other places: bits only ever go from 1 to 0, and NOR flash lets a page be programmed in parts (data
sheets of the usual chips, from memory; not NAND, and not an encrypted partition). Every slot carries its own CRC. What
was programmed is read back, and a record counts as written only then; otherwise it goes into the next slot. A slot cut
short may read one way today and another tomorrow, so that a boot never programs a page in which anything was; the one
thing that it may meet, a run slot cut so early that it reads blank, it writes twice. What is still in RAM when the power
goes is lost too: mostly nothing, since each call writes one record; up to half of the ring while sectors are erased.

Before a sector is erased its mark is programmed to zero, so that what a cut erase leaves is not taken for records. The
new mark is written when the sector has been read back blank; without it a sector is erased again.

Costs of `step`: at most one program, or one program and one erase; reads of 16 bytes (48 at a new sector; 16 pages after
an erase; while opening 8 of at most 256, or 64 of 48 on a store without any mark). Memory: 2.8 kB, made at boot; `step`
allocates nothing (both measured on MicroPython for the PC, whose words have 64 bits, the latter by
tests/boards/test_flashlog_heap.py). Time on a board: not measured.
"""

from controller.codes import DOWN
from controller.journal import KEPT, RECORD_BYTES

from .flashlog_format import SLOTS, put_lost, put_run, sectors_for
from .flashlog_open import Finder
from .flashlog_store import Store

OPEN_STEPS = 8
# Two hours at ten samples a second, and an event every six seconds.
FLIGHT_RECORDS = 7200 * 10 + 1200
# From here on samples are one a second: 16 sectors last another hour.
RESERVE_SECTORS = 16
MAX_FAILURES = 8


def ahead_for(n_sectors):
    """Sectors to keep erased ahead: enough for two hours, but never the newest quarter of what has been written."""
    wanted = sectors_for(FLIGHT_RECORDS) + RESERVE_SECTORS
    kept = n_sectors // 4
    if kept < 2:
        kept = 2
    if wanted > n_sectors - kept:
        wanted = n_sectors - kept
    return wanted


class Flashlog:
    """Call `step` once after each tick that leaves time for it. It raises nothing; a device that fails ends it.

    open       1 once it is known where to go on
    boot       number of this boot
    ahead      sectors erased and unused
    thin       1 while only one sample a second should be recorded: the room erased ahead runs out
    saved      records since boot that are in flash or lost
    lost       records that RAM had no room for any more, since boot
    bad_slots  slots that did not read back what was programmed
    failures   times that the device raised; the log stops at the eighth
    stopped    1 then
    """

    __slots__ = (
        "open",
        "boot",
        "ahead",
        "thin",
        "saved",
        "lost",
        "bad_slots",
        "failures",
        "stopped",
        "_store",
        "_journal",
        "_fingerprint",
        "_version",
        "_tick_ms",
        "_target",
        "_reserve",
        "_finder",
        "_newest",
        "_serial",
        "_slot",
        "_runs",
        "_lost_first",
        "_lost_now",
        "_erased",
    )

    def __init__(self, device, journal, fingerprint, version, tick_ms):
        """`journal` is Scribe.journal; `fingerprint` 4 bytes, `version` 3 bytes. Reads nothing yet."""
        self._store = Store(device)
        self._journal = journal
        self._fingerprint = fingerprint
        self._version = version
        self._tick_ms = tick_ms
        self._target = ahead_for(device.n_sectors)
        self._reserve = RESERVE_SECTORS
        if self._reserve > device.n_sectors // 8:
            self._reserve = device.n_sectors // 8
        self._finder = Finder(self._store)
        self.open = 0
        self.boot = 0
        self.ahead = 0
        self.thin = 0
        self.lost = 0
        self.bad_slots = 0
        self.failures = 0
        self.stopped = 0
        self._newest = -1
        self._serial = -1
        self._slot = SLOTS
        self._runs = 2
        self.saved = 0
        self._lost_first = 0
        self._lost_now = 0
        self._erased = 0

    def step(self, gear_command, in_stroke, may_erase):
        """One step. Erases only with the command DOWN, outside a stroke, and with leave (flashlog_leave.py)."""
        if self.stopped == 1:
            return
        try:
            self._work(gear_command, in_stroke, may_erase)
        except Exception:
            # A journal that fails must not take the loop with it, whatever it was.
            self.failures += 1
            if self.failures >= MAX_FAILURES:
                self.stopped = 1

    def _work(self, gear_command, in_stroke, may_erase):
        if self.open == 0:
            self._open_some()
            return
        self._count_lost()
        if self._erased == 1:
            self._finish_sector()
        elif self._is_erase_due(gear_command, in_stroke, may_erase) == 1:
            # First, so that a device that raises leads to a look at what it left.
            self._erased = 1
            self._store.erase(self._newest + 1)
        else:
            self._write_next()
        self.ahead = self._newest - self._serial
        self.thin = 0
        if self.ahead < self._reserve:
            self.thin = 1

    def _open_some(self):
        finder = self._finder
        for _ in range(OPEN_STEPS):
            if finder.done == 0:
                finder.step()
            if finder.programmed == 1:
                return
        if finder.done == 0:
            return
        self.open = 1
        self.boot = finder.boot
        self._newest = finder.newest
        self._serial = finder.serial
        self._slot = finder.slot
        self.ahead = self._newest - self._serial

    def _count_lost(self):
        """Records that the ring in RAM has overwritten before they could be written here."""
        oldest = self._journal.written - KEPT
        if self.saved >= oldest:
            return
        if self._lost_now == 0:
            self._lost_first = self.saved
        self._lost_now += oldest - self.saved
        self.lost += oldest - self.saved
        self.saved = oldest

    def _is_erase_due(self, gear_command, in_stroke, may_erase):
        if may_erase != 1:
            return 0
        if gear_command != DOWN:
            return 0
        if in_stroke != 0:
            return 0
        if self._newest - self._serial >= self._target:
            return 0
        return 1 - self._is_backlog()

    def _is_backlog(self):
        """1 when writing comes before erasing: what happens in the seconds of erasing must not be lost."""
        if self._journal.written - self.saved <= KEPT // 2:
            return 0
        if self._slot < SLOTS:
            return 1
        if self._newest > self._serial:
            return 1
        return 0

    def _finish_sector(self):
        """Mark the sector that was just erased; without a mark its serial is passed over."""
        self._erased = 0
        self._newest += 1
        if self._store.finish(self._newest) == 0:
            self.bad_slots += 1

    def _write_next(self):
        if self._slot == SLOTS:
            self._take_sector()
            return
        if self._runs > 0:
            put_run(self._store.want, self._tick_ms, self.boot, self._fingerprint, self._version, self._serial)
            self._runs -= self._write_slot()
            return
        if self._lost_now > 0:
            put_lost(self._store.want, self._lost_first, self._lost_now, self.lost)
            if self._write_slot() == 1:
                self._lost_now = 0
            return
        if self.saved == self._journal.written:
            return
        data = self._journal.data
        want = self._store.want
        at = (self.saved % KEPT) * RECORD_BYTES
        for index in range(RECORD_BYTES):
            want[index] = data[at + index]
        self.saved += self._write_slot()

    def _take_sector(self):
        """Go on to the next sector erased ahead, if there is one; one that is not as it should be is passed over."""
        if self._serial >= self._newest:
            return
        self._serial += 1
        if self._finder.serial_at(self._serial % self._store.n_sectors) != self._serial:
            return
        if self._finder.is_head_clean() == 0:
            self._finder.settle_head(self._serial)
            return
        self._slot = 1
        if self._runs == 0:
            self._runs = 1

    def _write_slot(self):
        """What the store wants into the next slot: 1 when it reads back, else 0."""
        slot = self._slot
        self._slot += 1
        if self._store.write_slot(self._serial, slot) == 1:
            return 1
        self.bad_slots += 1
        return 0
