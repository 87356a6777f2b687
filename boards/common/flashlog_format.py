"""What the journal in flash looks like (SR-35). host_sim/journal_read.py reads it; a test compares this table with its.

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

Every number here stays below 2**30, a small integer on a board.
"""

from controller.codes import SETTINGS_NONE, SETTINGS_ONE_COPY
from controller.journal import crc16
from controller.packing import UNPACK_OK, unpack
from controller.settings import Settings

SECTOR_BYTES = 4096
PAGE_BYTES = 256
SLOT_BYTES = 16
PAGES = 16
PAGE_SLOTS = 16
SLOTS = 256
# A mark and a run slot a sector.
RECORDS_A_SECTOR = 254

KIND_MARK = 0xE0
KIND_RUN = 0xE1
KIND_LOST = 0xE2
FORMAT = 1
TEXT = b"DLJ1"
BODY = SLOT_BYTES - 2


def put_number(data, at, value, n_bytes):
    """Write `value`, below 2**30, into data[at : at + n_bytes]."""
    for index in range(at, at + n_bytes):
        data[index] = value & 0xFF
        value >>= 8


def number(data, at, n_bytes):
    """The number in data[at : at + n_bytes], or -1 for one of four bytes from 2**30 on, which nobody wrote."""
    value = 0
    if n_bytes == 4:
        if data[at + 3] >= 0x40:
            return -1
    for index in range(at + n_bytes - 1, at - 1, -1):
        value = (value << 8) | data[index]
    return value


def seal(data):
    """Put the CRC behind the first 14 bytes."""
    put_number(data, BODY, crc16(data, 0, BODY), 2)


def checks(data, at):
    """1 when the slot at data[at] carries its own CRC, else 0."""
    if number(data, at + BODY, 2) == crc16(data, at, BODY):
        return 1
    return 0


def put_mark(data, serial, n_sectors):
    """A mark into data[0:16]."""
    data[0] = KIND_MARK
    data[1] = FORMAT
    for index in range(4):
        data[2 + index] = TEXT[index]
    put_number(data, 6, serial, 4)
    put_number(data, 10, n_sectors, 2)
    put_number(data, 12, 0, 2)
    seal(data)


def serial_of_mark(data, sector, n_sectors):
    """The serial in the mark at data[0:16], or -1 for what is no mark of this place in this ring."""
    if data[0] != KIND_MARK:
        return -1
    if data[1] != FORMAT:
        return -1
    for index in range(4):
        if data[2 + index] != TEXT[index]:
            return -1
    if checks(data, 0) == 0:
        return -1
    if number(data, 10, 2) != n_sectors:
        return -1
    serial = number(data, 6, 4)
    if serial % n_sectors != sector:
        return -1
    return serial


def put_run(data, tick_ms, boot, fingerprint, version, serial):
    """A run slot into data[0:16]. `fingerprint` is 4 bytes, `version` 3 bytes."""
    data[0] = KIND_RUN
    data[1] = tick_ms
    put_number(data, 2, boot, 3)
    for index in range(4):
        data[5 + index] = fingerprint[index]
    for index in range(3):
        data[9 + index] = version[index]
    put_number(data, 12, serial & 0xFFFF, 2)
    seal(data)


def boot_of_run(data, at, serial):
    """The boot number of the run slot at data[at] in the sector of that serial, or -1 for what is none."""
    if data[at] != KIND_RUN:
        return -1
    if number(data, at + 12, 2) != serial & 0xFFFF:
        return -1
    if checks(data, at) == 0:
        return -1
    return number(data, at + 2, 3)


def put_lost(data, first, lost, total):
    """A lost slot into data[0:16]."""
    data[0] = KIND_LOST
    data[1] = 0
    put_number(data, 2, first, 4)
    put_number(data, 6, lost, 4)
    put_number(data, 10, total, 4)
    seal(data)


def fingerprint_of(inputs, settings_state):
    """4 bytes that name the settings in use, for Flashlog; at boot only. `settings_state` is Controller.settings_state."""
    if settings_state == SETTINGS_NONE:
        return bytes(4)
    if settings_state == SETTINGS_ONE_COPY:
        if unpack(inputs.settings_a, Settings()) != UNPACK_OK:
            return bytes(inputs.settings_b[-4:])
    return bytes(inputs.settings_a[-4:])


def sectors_for(n_records):
    """Sectors that hold `n_records` of one boot, whatever slot it begins at."""
    # A boot begins at a new page and writes one run slot more.
    return (n_records + PAGE_SLOTS + 1 + RECORDS_A_SECTOR - 1) // RECORDS_A_SECTOR
