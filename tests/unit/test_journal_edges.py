"""Records byte by byte and the Scribe's choice of what is worth one."""

import struct
from types import SimpleNamespace as As

import pytest

from controller import codes
from controller.frames import NOT_KNOWN, Outputs
from controller.journal import (
    KEPT,
    KIND_ALERT,
    KIND_BOOT,
    KIND_CAUSE,
    KIND_COMMAND,
    KIND_LATE,
    KIND_LINK,
    KIND_MODE,
    KIND_REFUSAL,
    KIND_SAMPLE,
    KIND_WORDS,
    RECORD_BYTES,
    Journal,
    Scribe,
    crc16,
)
from controller.limits import Limits

from .driver import settings_with


def crc_by_bits(data):
    """CRC-16 with polynomial 0x1021, start 0xFFFF, bit by bit: the definition."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte << 8
        for _ in range(8):
            crc = (crc << 1) ^ (0x1021 if crc & 0x8000 else 0)
            crc &= 0xFFFF
    return crc


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("seed", range(8))
def test_checksum_is_the_polynomial_s(seed):
    data = bytes((seed * 41 + index * index * 37 + index) & 0xFF for index in range(40))
    assert crc16(data, seed, 30) == crc_by_bits(data[seed : seed + 30])
    assert crc16(data, 0, 0) == 0xFFFF


def outputs_with(**fields):
    outputs = Outputs()
    for name, value in fields.items():
        getattr(outputs, name)
        setattr(outputs, name, value)
    return outputs


def record(journal, slot):
    raw = bytes(journal.data[slot * RECORD_BYTES : (slot + 1) * RECORD_BYTES])
    *fields, crc = struct.unpack("<BBHIhHBBH", raw)
    assert crc == crc_by_bits(raw[:-2])
    return tuple(fields)


@pytest.mark.sr("SR-35", "acts")
def test_record_byte_by_byte():
    journal = Journal()
    outputs = outputs_with(tick=0x12345678, pressure_mbar=0x1A2B, mode=3, gear_command=1, link=2, switch=1)
    journal.write(5, 0x107, 0x1234, outputs)
    assert record(journal, 0) == (5, 7, 0, 0x12345678, 0x1234, 0x1A2B, 3 * 2 + 1, 2 * 4 + 1)
    journal.write(6, 255, -2, outputs)
    assert record(journal, 1) == (6, 255, 1, 0x12345678, -2, 0x1A2B, 7, 9)
    assert bytes(journal.data[2 * RECORD_BYTES :]) == bytes(RECORD_BYTES * (KEPT - 2))


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize(
    "value, kept",
    [
        (32766, 32766),
        (32767, 32767),
        (32768, 32767),
        (-32767, -32767),
        (-32768, -32768),
        (-32769, -32768),
        (10**6, 32767),
    ],
)
def test_value_is_clipped_to_two_bytes(value, kept):
    journal = Journal()
    journal.write(1, 0, value, Outputs())
    assert record(journal, 0)[4] == kept


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("mbar, word", [(NOT_KNOWN, 0xFFFF), (-2, 0), (0, 0), (1, 1), (7000, 7000), (0xFFFE, 0xFFFE)])
def test_pressure_word(mbar, word):
    journal = Journal()
    journal.write(1, 0, 0, outputs_with(pressure_mbar=mbar))
    assert record(journal, 0)[5] == word


@pytest.mark.sr("SR-35", "acts")
def test_ring_overwrites_the_oldest_and_numbers_go_round():
    journal = Journal()
    for number in range(KEPT + 3):
        journal.write(1, 0, number, Outputs())
    assert [record(journal, slot)[4] for slot in (0, 2, 3, KEPT - 1)] == [KEPT, KEPT + 2, 3, KEPT - 1]
    assert (journal.written, record(journal, 2)[2]) == (KEPT + 3, KEPT + 2)
    journal._sequence = 0xFFFF
    journal.write(1, 0, 0, Outputs())
    journal.write(1, 0, 0, Outputs())
    assert (record(journal, 3)[2], record(journal, 4)[2]) == (0xFFFF, 0)


@pytest.mark.sr("SR-34", "acts")
def test_count_of_records_stops_at_two_to_the_29():
    journal = Journal()
    journal.written = 2**29 - 1
    for _ in range(3):
        journal.write(1, 0, 0, Outputs())
        assert journal.written == 2**29


class Desk:
    """A Scribe; `step` gives what it wrote as (kind, code, value)."""

    def __init__(self):
        self.scribe = Scribe(Limits(settings_with(tick_ms=20)))
        self.outputs = outputs_with(mode=codes.WAKING, link=codes.LINK_LOST, settings_state=codes.SETTINGS_ONE_COPY)
        self.outputs.retained_count = 2
        self.outputs.supply_mv = 5432
        self.read = 0

    def step(self, new_cause=0, refused_now=0, late=0, late_latch=0, late_ms=0, **fields):
        self.outputs.tick += 1
        for name, value in fields.items():
            setattr(self.outputs, name, value)
        journal = self.scribe.journal
        before = journal.written
        self.scribe.step(
            self.outputs, new_cause, As(refused_now=refused_now), As(late=late, late_latch=late_latch, late_ms=late_ms)
        )
        rows = [record(journal, number % KEPT) for number in range(before, journal.written)]
        return [(row[0], row[1], row[4]) for row in rows]


BOOT = [(KIND_BOOT, codes.SETTINGS_ONE_COPY, 2), (KIND_MODE, codes.WAKING, 0), (KIND_LINK, codes.LINK_LOST, 0)]


@pytest.mark.sr("SR-35", "acts")
def test_first_tick_says_how_the_board_woke():
    desk = Desk()
    assert desk.step() == BOOT
    assert desk.step() == []


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize(
    "event, written",
    [
        ({"mode": codes.MODE_UP}, (KIND_MODE, codes.MODE_UP, 0)),
        ({"new_cause": 1, "cause": 4, "cause_value": 1000}, (KIND_CAUSE, 4, 1000)),
        ({"gear_command": codes.UP}, (KIND_COMMAND, codes.UP, 0)),
        ({"refused_now": 1, "refusal": 9, "refusal_value": 5500}, (KIND_REFUSAL, 9, 5500)),
        ({"link": codes.LINK_GOOD}, (KIND_LINK, codes.LINK_GOOD, 0)),
        ({"alert": 7}, (KIND_ALERT, 7, 0)),
        ({"late": 1, "late_latch": 1, "late_ms": 150}, (KIND_LATE, 1, 150)),
        ({"late": 1, "late_latch": 0, "late_ms": 15}, (KIND_LATE, 0, 15)),
    ],
)
def test_every_change_is_one_record(event, written):
    desk = Desk()
    desk.step()
    assert desk.step(**event) == [written]
    assert desk.step() == []


@pytest.mark.sr("SR-35", "acts")
def test_one_sample_a_second():
    desk = Desk()
    desk.step()
    samples = [tick for tick in range(2, 202) if desk.step() == [(KIND_SAMPLE, 0, 5432)]]
    assert samples == [50, 100, 150, 200]


@pytest.mark.sr("SR-35", "acts")
def test_all_that_one_tick_can_bring_has_room():
    desk = Desk()
    for _ in range(49):
        desk.step()
    kinds = [row[0] for row in desk.step(1, 1, 1, 1, 9, mode=2, gear_command=1, link=0, alert=7, cause=1, refusal=3)]
    assert len(kinds) == len(set(kinds)) == 8
    assert [KIND_WORDS[kind] for kind in kinds] == [
        "mode",
        "cause",
        "command",
        "refusal",
        "link",
        "alert",
        "late",
        "sample",
    ]
