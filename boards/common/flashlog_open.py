"""Finds at boot where the journal in flash goes on, without reading all of it (SR-35).

Sectors are erased and taken into use in the order of their serials, so that two questions can be halved: up to which
place in the ring has the newest lap come, and which erased sector is the first unused one. A sector whose mark does not
check is passed over, to the next few. A wrong answer takes damage that no cut of power does; it costs room, order, or
sectors erased out of turn, but flashlog.py writes only where it reads blank.

What was cut short just after its beginning or before its end may read one way now and another at the next boot. Two
answers must not change: which sector was marked last, and which sectors are in use. So the newest mark is programmed
once more, the same bytes, as soon as it is known; and so is the first run slot of the sector that is gone on with, or
it is zeroed where it does not check.

Cost: a call of `step` reads at most 256 bytes or programs one page; while no mark has been seen it reads 8 times 48.
Undamaged rings of 288 to 448 sectors take at most 41 reads (counted by tests/boards/test_flashlog_open.py): twice
log2(n) to halve, two of them double, then one mark, at most 16 pages, and run slots until one checks, mostly the first.
A store without any mark is read mark by mark. Memory: 1.1 kB. Time on a board: not measured.
"""

from .flashlog_format import (
    PAGE_BYTES,
    PAGE_SLOTS,
    PAGES,
    SECTOR_BYTES,
    SLOT_BYTES,
    SLOTS,
    boot_of_run,
    serial_of_mark,
)

# Marks that do not check, one after the other, before a question counts as answered. A cut of power makes one.
PASSED_OVER = 4
FIRST_READS = 8
# Sectors whose pages are all looked at for a boot number; of older ones only the first page is.
LOOKED_THROUGH = 2
HEAD_SLOTS = 3
HEAD_BYTES = HEAD_SLOTS * SLOT_BYTES

FIND_FIRST = 0
FIND_NEWEST = 1
SETTLE_NEWEST = 2
FIND_CLEAN = 3
FIND_USED = 4
FIND_PAGE = 5
SETTLE_HEAD = 6
FIND_BOOT = 7


class Finder:
    """Call `step` until `done` is 1. Then:

    newest   serial of the sector erased last, -1 when there is none
    serial   serial of the sector written last, -1 when there is none
    slot     first slot of its first blank page, SLOTS when there is none
    boot     number of this boot

    `programmed` is 1 after a step that programmed a page.
    """

    __slots__ = (
        "done",
        "programmed",
        "newest",
        "serial",
        "slot",
        "boot",
        "_store",
        "_device",
        "_n",
        "_phase",
        "_low",
        "_high",
        "_middle",
        "_at",
        "_lap",
        "_page",
        "_back",
        "_head",
        "_page_data",
        "_blank_page",
    )

    def __init__(self, store):
        self._store = store
        self._device = store.device
        self._n = store.n_sectors
        self.done = 0
        self.programmed = 0
        self.newest = -1
        self.serial = -1
        self.slot = SLOTS
        self.boot = 1
        self._phase = FIND_FIRST
        self._low = 0
        self._high = 0
        self._middle = 0
        self._at = 0
        self._lap = 0
        self._page = PAGES
        self._back = 0
        self._head = bytearray(HEAD_BYTES)
        self._page_data = bytearray(PAGE_BYTES)
        self._blank_page = bytearray(b"\xff" * PAGE_BYTES)

    def step(self):
        """One read, or one program; eight reads while no mark has been seen."""
        self.programmed = 0
        if self._phase == FIND_FIRST:
            self._find_first()
        elif self._phase == FIND_NEWEST:
            self._find_newest()
        elif self._phase == SETTLE_NEWEST:
            self.programmed = 1
            self._store.write_mark(self.newest)
            self._phase = FIND_CLEAN
        elif self._phase == FIND_CLEAN:
            self._find_clean()
        elif self._phase == FIND_USED:
            self._find_used()
        elif self._phase == FIND_PAGE:
            self._find_page()
        elif self._phase == SETTLE_HEAD:
            self.programmed = 1
            self.settle_head(self.serial)
            self._phase = FIND_BOOT
        elif self._phase == FIND_BOOT:
            self._find_boot()

    def serial_at(self, sector):
        """The serial in the mark of a sector, -1 for none; its first three slots are then in `_head`."""
        self._device.read(sector * SECTOR_BYTES, self._head)
        return serial_of_mark(self._head, sector, self._n)

    def is_head_clean(self):
        """1 when the two slots behind the mark that was read last are blank, else 0."""
        for index in range(SLOT_BYTES, HEAD_BYTES):
            if self._head[index] != 0xFF:
                return 0
        return 1

    def settle_head(self, serial):
        """One program: the sector whose mark was read last is in use from now on, however its slot 1 reads."""
        self._store.settle_head(serial, self._head)

    def _halve(self):
        self._middle = (self._low + self._high) // 2
        self._at = self._middle

    def _passed_all(self):
        """Go on to the next mark; 1 when there is none left to ask."""
        self._at += 1
        if self._at >= self._high:
            return 1
        if self._at - self._middle >= PASSED_OVER:
            return 1
        return 0

    def _find_first(self):
        # What is no mark shows at its first byte, so that a store without any is soon looked through.
        serial = -1
        for _ in range(FIRST_READS):
            if serial < 0:
                if self._at < self._n:
                    serial = self.serial_at(self._at)
                    self._at += 1
        if serial < 0:
            if self._at == self._n:
                self.done = 1
            return
        self._at -= 1
        # A lap begins at place 0, so that the first mark of the ring belongs to the newest one.
        self._lap = serial - self._at
        self._low = self._at
        self._high = self._n
        self._halve()
        self._phase = FIND_NEWEST

    def _find_newest(self):
        if self._high - self._low <= 1:
            self.newest = self._lap + self._low
            self._low = self.newest - self._n
            if self._low < -1:
                self._low = -1
            self._high = self.newest + 1
            self._halve()
            self._phase = SETTLE_NEWEST
            return
        serial = self.serial_at(self._at)
        if serial == self._lap + self._at:
            self._low = self._at
        elif serial < 0:
            if self._passed_all() == 0:
                return
            self._high = self._middle
        else:
            self._high = self._middle
        self._halve()

    def _find_clean(self):
        """Serials now: up to `_low` written in, from `_high` on erased and unused."""
        if self._high - self._low <= 1:
            self.serial = self._low
            self._phase = FIND_USED
            return
        if self.serial_at(self._at % self._n) != self._at:
            if self._passed_all() == 0:
                return
            self._low = self._middle
        elif self.is_head_clean() == 1:
            self._high = self._middle
        else:
            self._low = self._at
        self._halve()

    def _find_used(self):
        if self.serial < 0:
            self.done = 1
            return
        self._back = self.serial
        self._page = PAGES - 1
        self._phase = FIND_PAGE
        if self.serial_at(self.serial % self._n) != self.serial:
            # Nothing more is written into a sector without its mark.
            self._phase = FIND_BOOT

    def _find_page(self):
        self._device.read((self.serial % self._n) * SECTOR_BYTES + self._page * PAGE_BYTES, self._page_data)
        if self._page_data == self._blank_page:
            self._page -= 1
            if self._page >= 0:
                return
            self._page = 0
        # A fresh page for each boot: the last one may hold a slot that was torn so early that it looks blank.
        self.slot = (self._page + 1) * PAGE_SLOTS
        self._phase = SETTLE_HEAD

    def _find_boot(self):
        self._device.read((self._back % self._n) * SECTOR_BYTES + self._page * PAGE_BYTES, self._head)
        # A range with a step that is no literal would be an object on the heap.
        for slot in range(HEAD_SLOTS):
            boot = boot_of_run(self._head, slot * SLOT_BYTES, self._back)
            if boot >= self.boot:
                self.boot = boot + 1
        if self.boot > 1:
            self.done = 1
            return
        self._page -= 1
        if self._page >= 0:
            return
        self._back -= 1
        self._page = 0
        if self.serial - self._back < LOOKED_THROUGH:
            self._page = PAGES - 1
        if self._back < 0:
            self.done = 1
        if self._back <= self.newest - self._n:
            self.done = 1
