"""A simulated NOR flash that keeps the rules, and loses power when it is told to.

Erasing sets every bit of a sector, programming only clears bits; asking a 0 to become 1 raises RuleBroken. A cut leaves
what a chip may leave: of a program any part, of an erase any mixture of old, cleared and set bits. Bits that were on
their way when the power went can stay `loose`: every read gives them anew, until they are programmed or erased.
"""

import random

SECTOR_BYTES = 4096
PAGE_BYTES = 256


class PowerCut(BaseException):
    """The supply is gone. No code under test may catch it."""


class RuleBroken(BaseException):
    """Something that no flash does, or must not be asked for. No code under test may catch it."""


class SimFlash:
    """The device of boards/common/flashlog_store.py.

    cut_at(operation, program, erase)   lose power in the operation of that number (programs and erases, from 0); when it
             is a program, `program` is the number of whole bytes that get through, 0 to 256, or "mixture", or "barely" or
             "nearly", when one bit has begun or has not ended; when it is an erase, `erase` is "begun", "half",
             "nearly" or "mixture"
    loose    whether bits on their way stay loose
    fail     operations that raise OSError and do nothing
    worn     {byte: bits of it that read as 0 whatever was done}
    log      one ("program", page) or ("erase", sector) for each operation
    programmed_over   pages in which a byte that was not blank got another value than before, zeroing left out
    """

    def __init__(self, n_sectors, seed=0, loose=False, fill=0xFF):
        self.n_sectors = n_sectors
        self.data = bytearray([fill]) * (n_sectors * SECTOR_BYTES)
        self.loose_bits = {}
        self.loose = loose
        self.dice = random.Random(seed)
        self.log = []
        self.programmed_over = []
        self.fail = ()
        self.worn = {}
        self.n_reads = 0
        self.n_bytes_read = 0
        self.erased = [0] * n_sectors
        self._cut = None

    def cut_at(self, operation, program="mixture", erase="mixture"):
        """Lose power in that operation, counted from power-on."""
        self._cut = (operation, program, erase)

    def power_on(self):
        """Operations count from 0 again."""
        self._cut = None
        self.log = []

    def copy(self):
        """Another flash with the same contents and a new log."""
        other = SimFlash(0, loose=self.loose)
        other.n_sectors = self.n_sectors
        other.data = bytearray(self.data)
        other.loose_bits = dict(self.loose_bits)
        other.dice.setstate(self.dice.getstate())
        other.erased = list(self.erased)
        return other

    def dump(self):
        """What a reader of the whole ring gets, as bytes."""
        out = bytearray(len(self.data))
        self.read(0, out)
        return bytes(out)

    def read(self, at, buffer):
        """Fill `buffer` from byte `at` on."""
        end = at + len(buffer)
        if at < 0 or end > len(self.data):
            raise RuleBroken(f"read of {len(buffer)} bytes at {at}")
        self.n_reads += 1
        self.n_bytes_read += len(buffer)
        buffer[:] = self.data[at:end]
        for place, bits in self.worn.items():
            if at <= place < end:
                buffer[place - at] &= ~bits & 0xFF
        if self.loose_bits:
            for place in self.loose_bits.keys() & set(range(at, end)):
                # Stored as 1, read as either.
                buffer[place - at] &= ~(self.loose_bits[place] & self.dice.getrandbits(8)) & 0xFF

    def program(self, page, buffer):
        """A page; a byte 0xFF leaves what is there."""
        how = self._begin(("program", page))
        start = page * PAGE_BYTES
        if len(buffer) != PAGE_BYTES or not 0 <= start < len(self.data):
            raise RuleBroken(f"program of {len(buffer)} bytes at page {page}")
        changes = []
        for index, byte in enumerate(buffer):
            old = self.data[start + index]
            if byte == 0xFF:
                continue
            if byte & ~old & 0xFF:
                raise RuleBroken(f"page {page} byte {index}: {old:#04x} cannot become {byte:#04x}")
            if old != 0xFF and byte != 0 and (old ^ byte) & ~self.loose_bits.get(start + index, 0):
                self.programmed_over.append(page)
            changes.append((start + index, byte))
        if how is None:
            for place, byte in changes:
                self._put(place, byte)
            return
        self._cut_program(changes, start, how)
        raise PowerCut

    def _cut_program(self, changes, start, how):
        if how in ("barely", "nearly"):
            place, byte = self.dice.choice(changes)
            for other, whole in changes:
                self._put(other, whole if how == "nearly" and other != place else 0xFF)
            going = self.data[place] & ~byte & 0xFF
            bit = self.dice.choice([bit for bit in range(8) if going >> bit & 1] or [8])
            if how == "nearly":
                self._put(place, byte | 1 << bit)
            if self.loose and bit < 8:
                self.loose_bits[place] = self.loose_bits.get(place, 0) | 1 << bit
            return
        for place, byte in changes:
            if how == "mixture":
                self._put_some(place, byte)
            elif place - start < how:
                self._put(place, byte)
            elif place - start == how:
                self._put_some(place, byte)

    def _put(self, place, byte):
        self.data[place] &= byte
        loose = self.loose_bits.pop(place, 0) & byte
        if loose:
            self.loose_bits[place] = loose

    def _put_some(self, place, byte):
        """Any of the bits that should be cleared; each of the others is loose or as it was."""
        going = self.data[place] & ~byte & 0xFF
        cleared = going & self.dice.getrandbits(8)
        self.data[place] &= ~cleared & 0xFF
        loose = self.loose_bits.pop(place, 0) & ~cleared & 0xFF
        if self.loose:
            loose |= going & ~cleared & self.dice.getrandbits(8)
        if loose:
            self.loose_bits[place] = loose

    def erase(self, sector):
        """All bytes of a sector to 0xFF."""
        how = self._begin(("erase", sector))
        if not 0 <= sector < self.n_sectors:
            raise RuleBroken(f"erase of sector {sector}")
        self.erased[sector] += 1
        places = range(sector * SECTOR_BYTES, (sector + 1) * SECTOR_BYTES)
        for place in places:
            self.loose_bits.pop(place, 0)
        if how is None:
            self.data[places.start : places.stop] = b"\xff" * SECTOR_BYTES
            return
        chance = {"begun": 0.002, "half": 0.5, "nearly": 0.998}
        for place in places:
            self._erase_some(place, chance.get(how))
        raise PowerCut

    def _erase_some(self, place, chance):
        old = self.data[place]
        if chance is None:
            # A chip clears all bits before it sets them, so that even a bit that was 1 can be found 0.
            old = 0
            self.data[place] = self.dice.getrandbits(8)
        else:
            for bit in range(8):
                if self.dice.random() < chance:
                    self.data[place] |= 1 << bit
        if self.loose:
            loose = self.data[place] & ~old & self.dice.getrandbits(8)
            if loose:
                self.loose_bits[place] = loose

    def _begin(self, operation):
        number = len(self.log)
        self.log.append(operation)
        if number in self.fail:
            raise OSError(5, "flash")
        if self._cut is not None and self._cut[0] == number:
            return self._cut[1 + (operation[0] == "erase")]
        return None
