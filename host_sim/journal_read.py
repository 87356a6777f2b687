"""Reads the journal that a board keeps in flash, from a dump of it (SR-35). The board has the same table.

The store is a ring of sectors of 4096 bytes, each of 256 slots of 16 bytes. Slot 0 of a sector is its mark, written
once the whole sector has been erased and read back; slot 1 is a run slot. A boot writes its run slot twice, at the
start of a page or of a sector. All other slots are records, written one after the other. Numbers are little-endian,
and the CRC-16 is that of controller/journal.py. A slot of 16 bytes 0xFF is blank; one whose CRC fails was torn, or died.

    slot    byte  size  field
    mark    0     1     kind, 0xE0
    mark    1     1     format, 1
    mark    2     4     text "DLJ1"
    mark    6     4     serial: sectors erased before this one; serial modulo sectors is the place in the ring
    mark    10    2     sectors of the ring
    mark    12    2     zero
    mark    14    2     CRC-16
    run     0     1     kind, 0xE1
    run     1     1     length of a tick, ms
    run     2     3     boot number
    run     5     4     settings fingerprint: the CRC-32 at the end of the packed copy, zero without one
    run     9     3     software version: major, minor, patch
    run     12    2     low 16 bits of the sector's serial
    run     14    2     CRC-16
    lost    0     1     kind, 0xE2
    lost    1     1     zero
    lost    2     4     number of the first record lost, counted from 0 at boot
    lost    6     4     records lost, one after the other
    lost    10    4     records lost since boot, with these
    lost    14    2     CRC-16
    record  0     1     kind, 1 to 9
    record  1     1     code
    record  2     2     sequence: low 16 bits of the number counted from 0 at boot
    record  4     4     tick
    record  8     2     value, two's complement
    record  10    2     pressure, mbar gauge, 0xFFFF not known
    record  12    1     mode times 2, plus command
    record  13    1     link times 4, plus switch
    record  14    2     CRC-16
"""

import binascii
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from controller.codes import LINK_WORDS, MODE_WORDS, POSITION_WORDS
from controller.frames import NOT_KNOWN
from controller.journal import KIND_WORDS

from .errors import InputError

SECTOR_BYTES = 4096
SLOT_BYTES = 16
SLOTS = SECTOR_BYTES // SLOT_BYTES
FORMAT = 1
MARK = struct.Struct("<BB4sIHHH")
RUN = struct.Struct("<BB3s4s3BHH")
LOST = struct.Struct("<BBIIIH")
RECORD = struct.Struct("<BBHIhHBBH")
KIND_MARK, KIND_RUN, KIND_LOST = 0xE0, 0xE1, 0xE2
TEXT = b"DLJ1"
# Numbers on a board stay below it.
HIGHEST = 1 << 30


@dataclass(frozen=True)
class Run:
    """What a run slot says of the records behind it. `boot` is 0 and `version` "" where no run slot was readable."""

    boot: int = 0
    tick_ms: int = 0
    fingerprint: str = ""
    version: str = ""


class Record(NamedTuple):
    """One record. Pressures are gauge.

    run            the Run it belongs to; its `boot` tells boots apart
    number         counted from 0 at boot
    lost_before    records missing between this one and the one read before it in the same boot
    kind           a word of controller.journal.KIND_WORDS; `code` and `value` mean what the kind makes them mean
    tick           ticks since boot
    pressure_mbar  NOT_KNOWN when no sensor was believed
    mode, command, link, switch   codes of controller/codes.py
    """

    run: Run
    number: int
    lost_before: int
    kind: str
    code: int
    tick: int
    value: int
    pressure_mbar: int
    mode: int
    command: int
    link: int
    switch: int

    @property
    def time_s(self):
        """Seconds since boot, by the tick that the run slot states; 0 for a run that is not known."""
        return self.tick * self.run.tick_ms / 1000


@dataclass(frozen=True)
class Gap:
    """Records `first` to `first + count - 1` of a boot are missing before a record that was read."""

    boot: int
    first: int
    count: int


def load_journal(path):
    """Records of a dump file, as `read_journal` gives them. Raises InputError for a file without any."""
    wanted = "a dump of the journal's flash is wanted"
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise InputError(path, "", f"cannot be read: {error.strerror}; {wanted}") from error
    records = read_journal(data)
    if not records:
        raise InputError(path, "", f"{len(data)} bytes without one record that checks; {wanted}")
    return records


def read_journal(data):
    """Records in `data`, a dump of the ring from its first sector on, in the order in which they were written.

    Anything may be in it: what does not check is dropped, and nothing is raised. A record is numbered and `lost_before`
    counted from its sequence: a gap of 65,536 and more is seen only where the board says how many it lost.
    """
    data = bytes(data)
    found = []
    run = Run()
    for serial, start in _sectors(data):
        for at in range(start + SLOT_BYTES, min(start + SECTOR_BYTES, len(data) - SLOT_BYTES + 1), SLOT_BYTES):
            slot = data[at : at + SLOT_BYTES]
            if not _is_whole(slot, serial):
                continue
            if slot[0] == KIND_RUN:
                run = _run(slot)
            else:
                found.append((run.boot, serial, at, run, slot))
    # By boot first: a sector that was passed over in an earlier lap may have been used late.
    found.sort(key=lambda one: one[:3])
    return _numbered([(run, slot) for _, _, _, run, slot in found])


def gaps(records):
    """Every Gap, in order: lost, or overwritten at the oldest boot's start. What is missing at a boot's end leaves none."""
    return [Gap(r.run.boot, r.number - r.lost_before, r.lost_before) for r in records if r.lost_before]


def boots(records):
    """Records of each boot, as a list of lists, in order."""
    split = []
    for record in records:
        if not split or split[-1][-1].run.boot != record.run.boot:
            split.append([])
        split[-1].append(record)
    return split


def _is_whole(slot, serial):
    """Whether a slot of the sector of that serial is a run, lost or record slot as the board writes it.

    The CRC of a slot that was cut short is right once in 65,536 times. What was not programmed any more reads as ones,
    which the last fields never are.
    """
    if binascii.crc_hqx(slot[:-2], 0xFFFF) != slot[-2] + (slot[-1] << 8):
        return False
    if slot[0] == KIND_RUN:
        return RUN.unpack(slot)[-2] == serial & 0xFFFF
    if slot[0] == KIND_LOST:
        _, zero, first, count, total, _ = LOST.unpack(slot)
        return zero == 0 and 0 < count <= total < HIGHEST and first < HIGHEST
    if not 0 < slot[0] < len(KIND_WORDS):
        return False
    _, _, _, tick, _, _, mode, link, _ = RECORD.unpack(slot)
    states = mode >> 1 < len(MODE_WORDS) and link >> 2 < len(LINK_WORDS) and link & 3 < len(POSITION_WORDS)
    return states and tick < HIGHEST


def _sectors(data):
    """[(serial, start)] of sectors that were in use, oldest first."""
    marked, unmarked, ring = {}, [], 0
    for start in range(0, len(data), SECTOR_BYTES):
        head = data[start : start + SLOT_BYTES]
        mark = _mark(head) if len(head) == SLOT_BYTES else None
        if mark is None:
            unmarked.append(start)
        else:
            marked[start], ring = mark
    if marked:
        newest = max(marked.values())
        for start in unmarked:
            serial = _serial_by_run(data, start, newest, ring)
            if serial is not None:
                marked[start] = serial
    return sorted((serial, start) for start, serial in marked.items())


def _mark(head):
    """(serial, sectors of the ring) of a mark, None for what is none."""
    kind, form, text, serial, ring, zero, crc = MARK.unpack(head)
    if (kind, form, text, zero) != (KIND_MARK, FORMAT, TEXT, 0) or ring == 0:
        return None
    return (serial, ring) if binascii.crc_hqx(head[:-2], 0xFFFF) == crc else None


def _serial_by_run(data, start, newest, ring):
    """Serial of a sector whose mark has died, from its place in the ring and its run slot; None where they disagree."""
    slot = data[start + SLOT_BYTES : start + 2 * SLOT_BYTES]
    serial = newest - (newest - start // SECTOR_BYTES) % ring
    if serial < 0 or len(slot) < SLOT_BYTES or slot[0] != KIND_RUN:
        return None
    return serial if _is_whole(slot, serial) else None


def _run(slot):
    _, tick_ms, boot, fingerprint, major, minor, patch, _, _ = RUN.unpack(slot)
    return Run(int.from_bytes(boot, "little"), tick_ms, fingerprint.hex(), f"{major}.{minor}.{patch}")


def _numbered(found):
    """Records with their numbers, from runs and slots in order."""
    records, boot, due, told = [], None, 0, 0
    for run, slot in found:
        if run.boot != boot:
            boot, due, told = run.boot, 0, 0
        if slot[0] == KIND_LOST:
            _, _, first, count, _, _ = LOST.unpack(slot)
            told = max(told, first + count)
            continue
        kind, code, sequence, tick, value, pressure, mode, link, _ = RECORD.unpack(slot)
        if told <= due and due > 0 and sequence == (due - 1) % 0x10000:
            # Written once more, since it did not read back at first.
            continue
        # The least number from here on that ends in these 16 bits; what the board says it lost is passed first.
        least = max(due, told)
        number = least + (sequence - least) % 0x10000
        word = KIND_WORDS[kind]
        pressure = NOT_KNOWN if pressure == 0xFFFF else pressure
        states = mode >> 1, mode & 1, link >> 2, link & 3
        records.append(Record(run, number, number - due, word, code, tick, value, pressure, *states))
        due = number + 1
    return records
