"""Settings to bytes and back: magic, schema, row count, values, CRC-32. The same file on the PC and on the board.

Layout, little-endian: b"DLK1", schema (2 bytes), rows (2 bytes), one 4-byte value a row in the order of
settings.FIELDS, CRC-32 of all before it (4 bytes). Runs at boot only; the CRC is kept in two 16-bit halves so that no
integer reaches 2**30 on a board (SR-34). CRC-32 is the one of ISO 3309 and zlib.
"""

from .checks import first_fault
from .codes import SETTINGS_DIFFER, SETTINGS_GOOD, SETTINGS_NONE, SETTINGS_ONE_COPY
from .settings import FIELDS, N_FIELDS, NAME, SCHEMA, range_fault

MAGIC = b"DLK1"
HEAD_BYTES = 8
PACKED_BYTES = HEAD_BYTES + 4 * N_FIELDS + 4

# Why a packed copy is not accepted; 0 is accepted.
UNPACK_OK = 0
UNPACK_LENGTH = 1
UNPACK_MAGIC = 2
UNPACK_SCHEMA = 3
UNPACK_ROWS = 4
UNPACK_CRC = 5
UNPACK_RANGE = 6
UNPACK_RULE = 7
UNPACK_WORDS = ("ok", "length", "magic", "schema", "row count", "checksum", "range", "cross-check")


def crc32_bytes(data, n_bytes, out):
    """Write the CRC-32 of data[0:n_bytes] into out[0:4], little-endian."""
    high = 0xFFFF
    low = 0xFFFF
    for index in range(n_bytes):
        low ^= data[index]
        for _ in range(8):
            odd = low & 1
            low = (low >> 1) | ((high & 1) << 15)
            high >>= 1
            if odd == 1:
                high ^= 0xEDB8
                low ^= 0x8320
    high ^= 0xFFFF
    low ^= 0xFFFF
    out[0] = low & 0xFF
    out[1] = low >> 8
    out[2] = high & 0xFF
    out[3] = high >> 8


def pack(settings):
    """The packed copy of `settings`, as bytes. Values must be in range (settings.range_fault)."""
    data = bytearray(PACKED_BYTES)
    data[0:4] = MAGIC
    data[4] = SCHEMA & 0xFF
    data[5] = SCHEMA >> 8
    data[6] = N_FIELDS & 0xFF
    data[7] = N_FIELDS >> 8
    at = HEAD_BYTES
    for row in FIELDS:
        value = getattr(settings, row[NAME])
        data[at] = value & 0xFF
        data[at + 1] = (value >> 8) & 0xFF
        data[at + 2] = (value >> 16) & 0xFF
        data[at + 3] = (value >> 24) & 0xFF
        at += 4
    crc = bytearray(4)
    crc32_bytes(data, at, crc)
    data[at : at + 4] = crc
    return bytes(data)


def unpack(data, settings):
    """Fill `settings` from `data`; returns UNPACK_OK or the first fault. On a fault `settings` is not to be used."""
    if len(data) != PACKED_BYTES:
        return UNPACK_LENGTH
    for index in range(4):
        if data[index] != MAGIC[index]:
            return UNPACK_MAGIC
    if data[4] + (data[5] << 8) != SCHEMA:
        return UNPACK_SCHEMA
    if data[6] + (data[7] << 8) != N_FIELDS:
        return UNPACK_ROWS
    crc = bytearray(4)
    crc32_bytes(data, PACKED_BYTES - 4, crc)
    for index in range(4):
        if data[PACKED_BYTES - 4 + index] != crc[index]:
            return UNPACK_CRC
    at = HEAD_BYTES
    for row in FIELDS:
        # No row's range reaches 2**24: a top byte is out of range, and reading it could pass 2**30.
        if data[at + 3] != 0:
            return UNPACK_RANGE
        setattr(settings, row[NAME], data[at] + (data[at + 1] << 8) + (data[at + 2] << 16))
        at += 4
    if range_fault(settings) >= 0:
        return UNPACK_RANGE
    if first_fault(settings) != 0:
        return UNPACK_RULE
    return UNPACK_OK


def choose(data_a, data_b, settings, spare):
    """Fill `settings` from the two stored copies; returns a SETTINGS_ code (SR-30).

    `spare` is a second Settings to work in. Both valid and equal: good. One valid: that one. Both valid but different:
    the first one, to run with a refused UP. None: `settings` is made of the defaults, by the caller, and stays so.
    """
    fault_b = unpack(data_b, spare)
    if unpack(data_a, spare) == UNPACK_OK:
        unpack(data_a, settings)
        if fault_b != UNPACK_OK:
            return SETTINGS_ONE_COPY
        if data_a != data_b:
            return SETTINGS_DIFFER
        return SETTINGS_GOOD
    if fault_b == UNPACK_OK:
        unpack(data_b, settings)
        return SETTINGS_ONE_COPY
    return SETTINGS_NONE
