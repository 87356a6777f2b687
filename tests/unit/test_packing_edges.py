"""Packed settings at their edges: the checksum by the library of the platform, every byte of every value."""

import random
import zlib

import pytest

from controller import codes, packing
from controller.packing import (
    PACKED_BYTES,
    UNPACK_CRC,
    UNPACK_LENGTH,
    UNPACK_MAGIC,
    UNPACK_OK,
    UNPACK_RANGE,
    UNPACK_ROWS,
    UNPACK_RULE,
    UNPACK_SCHEMA,
    choose,
    crc32_bytes,
    pack,
    unpack,
)
from controller.settings import FIELDS, HIGH, LOW, NAME, Settings, range_fault

from .driver import settings_with

GOOD = pack(Settings())
OTHER = pack(settings_with(low_confirm_ms=400))


def with_byte(at, value, seal=True):
    data = bytearray(GOOD)
    data[at] = value
    if seal:
        data[-4:] = zlib.crc32(data[:-4]).to_bytes(4, "little")
    return bytes(data)


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("length", [0, 1, 2, 9, 100])
def test_checksum_is_that_of_zlib(length):
    draw = random.Random(length)
    data = bytes(draw.randrange(256) for _ in range(length + 3))
    out = bytearray(4)
    crc32_bytes(data, length, out)
    assert bytes(out) == zlib.crc32(data[:length]).to_bytes(4, "little")


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(
    "at, value, fault",
    [
        *[(at, 0, UNPACK_MAGIC) for at in range(4)],
        (4, 2, UNPACK_SCHEMA),
        (5, 1, UNPACK_SCHEMA),
        (6, len(FIELDS) + 1, UNPACK_ROWS),
        (7, 1, UNPACK_ROWS),
        (8 + 3, 1, UNPACK_RANGE),
        (PACKED_BYTES - 5, 255, UNPACK_RANGE),
        (8, 9, UNPACK_RANGE),
    ],
)
def test_each_fault_has_its_own_word(at, value, fault):
    assert unpack(with_byte(at, value), Settings()) == fault


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("at", range(PACKED_BYTES - 4, PACKED_BYTES))
def test_every_byte_of_the_checksum_is_compared(at):
    assert unpack(with_byte(at, GOOD[at] ^ 1, seal=False), Settings()) == UNPACK_CRC


@pytest.mark.sr("SR-30", "acts")
def test_length_and_rules():
    assert unpack(GOOD[:-1], Settings()) == UNPACK_LENGTH
    assert unpack(GOOD + b"x", Settings()) == UNPACK_LENGTH
    assert unpack(pack(settings_with(stroke_ms=2499)), Settings()) == UNPACK_RULE


@pytest.mark.sr("SR-30", "acts")
def test_head_has_room_for_larger_numbers(monkeypatch):
    """A later schema and a longer table: both bytes of each are written and compared."""
    monkeypatch.setattr(packing, "SCHEMA", 0x0203)
    monkeypatch.setattr(packing, "N_FIELDS", 0x0405)
    data = pack(Settings())
    assert data[4:8] == b"\x03\x02\x05\x04"
    assert len(data) == PACKED_BYTES
    assert unpack(data, Settings()) == UNPACK_OK


@pytest.mark.sr("SR-30", "spares")
def test_every_value_keeps_all_its_bytes():
    sent = settings_with(retract_swept_ul=0x40203, retract_dead_ul=0x10001, alert_clear_ms=0x9001, tank_ml=4660)
    data = pack(sent)
    for index, row in enumerate(FIELDS):
        assert int.from_bytes(data[8 + 4 * index : 12 + 4 * index], "little") == getattr(sent, row[NAME])
    data = pack(settings_with(retract_swept_ul=0x12345678))
    assert b"\x78\x56\x34\x12" in data
    got = Settings()
    plain = settings_with(retract_swept_ul=0x10203, tank_ml=4660, retract_above_mbar=7000)
    assert unpack(pack(plain), got) == UNPACK_OK
    assert vars(got) == vars(plain)


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(
    "a, b, state, low_confirm_ms",
    [
        (OTHER, OTHER, codes.SETTINGS_GOOD, 400),
        (OTHER, b"", codes.SETTINGS_ONE_COPY, 400),
        (b"", OTHER, codes.SETTINGS_ONE_COPY, 400),
        (OTHER, GOOD, codes.SETTINGS_DIFFER, 400),
        (GOOD, OTHER, codes.SETTINGS_DIFFER, 500),
        (b"", b"", codes.SETTINGS_NONE, 500),
        (b"", OTHER[:-1], codes.SETTINGS_NONE, 500),
        (pack(settings_with(stroke_ms=2499)), b"", codes.SETTINGS_NONE, 500),
    ],
)
def test_choice_between_two_copies(a, b, state, low_confirm_ms):
    settings = Settings()
    assert choose(a, b, settings, Settings()) == state
    assert (settings.low_confirm_ms, settings.stroke_ms) == (low_confirm_ms, 3000)


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("index", range(len(FIELDS)))
def test_range_of_each_row_is_inclusive_and_named(index):
    row = FIELDS[index]
    for value, fault in ((row[LOW], -1), (row[HIGH], -1), (row[LOW] - 1, index), (row[HIGH] + 1, index)):
        assert range_fault(settings_with(**{row[NAME]: value})) == fault
    worst = settings_with(**{other[NAME]: other[HIGH] + 1 for other in FIELDS[index:]})
    assert range_fault(worst) == index
