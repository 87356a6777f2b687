"""Slots and sectors of the journal's ring of flash (SR-35): what is programmed is read back.

A device is four things, no more than rp2.Flash and esp32.Partition both offer (flashlog_device.py):

    n_sectors               sectors of 4096 bytes in the ring
    erase(sector)           all bytes of a sector to 0xFF; stalls the processor (45 ms, up to 400 ms, from memory)
    program(page, buffer)   a page of 256 bytes; a byte 0xFF leaves what is there (0.4 ms, up to 3 ms, from memory)
    read(at, buffer)        the bytes from `at` on, counted from the start of the ring

Costs: `write_slot` one program and a read of 16 bytes; `erase` one program and one erase; `finish` 16 reads of a page and
one program. Memory: 1.2 kB, made at boot; nothing is allocated afterwards. Time on a board: not measured.
"""

from .flashlog_format import PAGE_BYTES, PAGE_SLOTS, PAGES, SECTOR_BYTES, SLOT_BYTES, boot_of_run, put_mark

# The mark and both run slots behind it.
HEAD_BYTES = 3 * SLOT_BYTES


class Store:
    """`want` is the slot to be written next. Methods pass on what `device` raises, and leave the buffers fit for use."""

    __slots__ = ("n_sectors", "want", "device", "_page", "_got", "_read", "_blank")

    def __init__(self, device):
        self.device = device
        self.n_sectors = device.n_sectors
        self.want = bytearray(SLOT_BYTES)
        self._page = bytearray(b"\xff" * PAGE_BYTES)
        self._got = bytearray(SLOT_BYTES)
        self._read = bytearray(PAGE_BYTES)
        self._blank = bytearray(b"\xff" * PAGE_BYTES)

    def write_slot(self, serial, slot):
        """`want` into a slot of the sector of that serial: 1 when it reads back, else 0."""
        at = (slot % PAGE_SLOTS) * SLOT_BYTES
        for index in range(SLOT_BYTES):
            self._page[at + index] = self.want[index]
        sector = serial % self.n_sectors
        try:
            self.device.program(sector * PAGES + slot // PAGE_SLOTS, self._page)
        finally:
            for index in range(SLOT_BYTES):
                self._page[at + index] = 0xFF
        self.device.read(sector * SECTOR_BYTES + slot * SLOT_BYTES, self._got)
        if self._got == self.want:
            return 1
        return 0

    def write_mark(self, serial):
        """The mark of that serial into its sector: 1 when it reads back, else 0."""
        put_mark(self.want, serial, self.n_sectors)
        return self.write_slot(serial, 0)

    def erase(self, serial):
        """Take the mark away, so that what a cut leaves is not taken for records, and erase the sector."""
        sector = serial % self.n_sectors
        for index in range(HEAD_BYTES):
            self._page[index] = 0
        try:
            self.device.program(sector * PAGES, self._page)
        finally:
            for index in range(HEAD_BYTES):
                self._page[index] = 0xFF
        self.device.erase(sector)

    def settle_head(self, serial, data):
        """Make sure that a sector is never taken for an unused one, where slot 1 may be a run slot that was cut short.

        `data` is the first three slots as they read now. A run slot that checks is programmed once more, anything else
        to zero.
        """
        whole = boot_of_run(data, SLOT_BYTES, serial)
        for index in range(SLOT_BYTES):
            self.want[index] = 0
            if whole >= 0:
                self.want[index] = data[SLOT_BYTES + index]
        self.write_slot(serial, 1)

    def finish(self, serial):
        """Mark a sector that was erased: 1, or 0 when it is not blank or does not keep the mark."""
        start = (serial % self.n_sectors) * SECTOR_BYTES
        for page in range(PAGES):
            self.device.read(start + page * PAGE_BYTES, self._read)
            if self._read != self._blank:
                return 0
        return self.write_mark(serial)
