"""SR-35: one table describes the journal in flash; board and PC have the same one, and both keep to it."""

import binascii
import re

import pytest

from boards.common import flashlog_format
from boards.common.flashlog_format import fingerprint_of, sectors_for
from controller.codes import SETTINGS_DIFFER, SETTINGS_GOOD, SETTINGS_NONE, SETTINGS_ONE_COPY
from controller.frames import Inputs, Outputs
from controller.journal import KIND_CAUSE, RECORD_BYTES, Journal
from controller.packing import pack
from controller.settings import Settings
from controller.tick import Controller
from host_sim import journal_read
from tests.boards.flash import SimFlash
from tests.boards.flash_room import (
    LAYOUTS,
    SAMPLES_UP_A_S,
    flight_records,
    full_rate_s,
    lasts_s,
    wear_years,
)
from tests.boards.lives import FINGERPRINT, History, Life

ROW = re.compile(r"^    (mark|run|lost|record) +(\d+) +(\d+) +(.+)$")


def described(module):
    """The lines that describe the format: from 'The store is a ring' to the end of the table."""
    lines = module.__doc__.splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("The store is a ring"))
    end = max(n for n, line in enumerate(lines) if ROW.match(line))
    return lines[start : end + 1]


def table():
    """{slot: [(byte, size, field)]}."""
    rows = {}
    for line in described(flashlog_format):
        if match := ROW.match(line):
            slot, byte, size, field = match.groups()
            rows.setdefault(slot, []).append((int(byte), int(size), field))
    return rows


def fields(slot, raw):
    """{field: bytes} of a slot, cut up as the table says; a field is called by its first word or words."""
    return {re.split(r"[,:]", field)[0]: raw[byte : byte + size] for byte, size, field in table()[slot]}


def test_board_and_pc_describe_the_same_format():
    assert described(flashlog_format) == described(journal_read)
    assert len(described(flashlog_format)) > 25


@pytest.mark.parametrize("slot", ["mark", "run", "lost", "record"])
def test_the_table_fills_a_slot_without_gaps(slot):
    at = 0
    for byte, size, _ in table()[slot]:
        assert byte == at
        at += size
    assert at == 16


def test_a_flash_holds_what_the_table_says():
    flash = SimFlash(8)
    life = Life(flash, History(8), 3)
    life.prepare()
    life.drain()
    life.run(2)
    life.record(256 + 4)
    life.drain()
    slots = [bytes(flash.data[at : at + 16]) for at in range(0, 4096, 16)]
    mark, run, again, first, _, lost = slots[:6]
    for raw in (mark, run, lost, first):
        assert binascii.crc_hqx(raw[:14], 0xFFFF) == int.from_bytes(raw[14:], "little")
    assert fields("mark", mark) == {
        "kind": b"\xe0",
        "format": b"\x01",
        'text "DLJ1"': b"DLJ1",
        "serial": bytes(4),
        "sectors of the ring": b"\x08\x00",
        "zero": bytes(2),
        "CRC-16": mark[14:],
    }
    assert run == again
    assert fields("run", run) == {
        "kind": b"\xe1",
        "length of a tick": b"\x14",
        "boot number": b"\x01\x00\x00",
        "settings fingerprint": FINGERPRINT,
        "software version": b"\x00\x01\x00",
        "low 16 bits of the sector's serial": bytes(2),
        "CRC-16": run[14:],
    }
    assert fields("lost", lost) == {
        "kind": b"\xe2",
        "zero": b"\x00",
        "number of the first record lost": b"\x02\x00\x00\x00",
        "records lost": b"\x04\x00\x00\x00",
        "records lost since boot": b"\x04\x00\x00\x00",
        "CRC-16": lost[14:],
    }
    assert bytes(flash.data[4096 : 4096 + 16]) != mark and flash.data[4096] == 0xE0


def test_a_record_is_the_controllers_own():
    journal, outputs = Journal(), Outputs()
    outputs.tick, outputs.mode, outputs.gear_command, outputs.link, outputs.switch = 0x01020304, 3, 1, 2, 1
    outputs.pressure_mbar = 4660
    journal.write(KIND_CAUSE, 7, -2, outputs)
    raw = bytes(journal.data[:RECORD_BYTES])
    cut = fields("record", raw)
    assert cut["kind"] == b"\x03" and cut["code"] == b"\x07" and cut["sequence"] == bytes(2)
    assert cut["tick"] == b"\x04\x03\x02\x01" and cut["value"] == b"\xfe\xff" and cut["pressure"] == b"\x34\x12"
    assert cut["mode times 2"] == b"\x07" and cut["link times 4"] == b"\x09"


def test_numbers_of_a_board_stay_below_two_to_the_30():
    data = bytearray(4)
    flashlog_format.put_number(data, 0, (1 << 30) - 1, 4)
    assert flashlog_format.number(data, 0, 4) == (1 << 30) - 1
    data[:] = b"\x00\x00\x00\x40"
    assert flashlog_format.number(data, 0, 4) == -1


@pytest.mark.parametrize("flip", range(128))
def test_a_mark_with_any_bit_wrong_is_none(flip):
    raw = bytearray(16)
    flashlog_format.put_mark(raw, 1234567, 288)
    sector = 1234567 % 288
    assert flashlog_format.serial_of_mark(raw, sector, 288) == 1234567
    raw[flip // 8] ^= 1 << flip % 8
    assert flashlog_format.serial_of_mark(raw, sector, 288) == -1


def test_a_whole_mark_elsewhere_or_of_another_ring_is_none():
    raw = bytearray(16)
    flashlog_format.put_mark(raw, 600, 288)
    assert flashlog_format.serial_of_mark(raw, 24, 288) == 600
    assert flashlog_format.serial_of_mark(raw, 25, 288) == -1
    assert flashlog_format.serial_of_mark(raw, 24, 144) == -1


def test_a_run_slot_belongs_to_its_sector():
    raw = bytearray(16)
    flashlog_format.put_run(raw, 20, 70000, FINGERPRINT, b"\x01\x02\x03", 65536 + 9)
    assert flashlog_format.boot_of_run(raw, 0, 9) == 70000
    assert flashlog_format.boot_of_run(raw, 0, 10) == -1
    raw[3] ^= 1
    assert flashlog_format.boot_of_run(raw, 0, 9) == -1


@pytest.mark.parametrize("records", [0, 1, 237, 238, 491, 492, 20000])
def test_sectors_for_records_is_what_they_take(records):
    """The worst slot to begin at: the last page but one is in use, and the boot writes two run slots."""
    # Enough for a quarter that is kept.
    n = sectors_for(records) * 4 // 3 + 4
    flash = SimFlash(n)
    life = Life(flash, History(n), 1)
    life.prepare()
    life.drain()
    life.log._slot = 256
    life.log._runs = 2
    before = life.log._serial
    life.run(records, burst=50)
    assert life.log.lost == 0 and life.log.saved == records
    assert life.log._serial - before <= sectors_for(records)


def test_two_hours_fit_on_both_boards_and_last_when_erased_ahead():
    two_hours_up = flight_records(7200, 0, 1200)
    for one in LAYOUTS:
        assert one.firmware_kb + one.files_kb + one.journal_kb <= one.flash_kb
        assert sectors_for(two_hours_up) <= one.n_sectors
        assert lasts_s(one.n_sectors) >= 7200, "what is erased ahead lasts for two hours"
    rp2040, esp32 = (full_rate_s(one.n_sectors) for one in LAYOUTS)
    assert rp2040 > 80 * 60 and esp32 > 119 * 60, "at ten samples a second"
    assert SAMPLES_UP_A_S == 10


def test_wear():
    flight = flight_records(600, 1200, 300)
    assert sectors_for(flight) == 30
    # By hand: 292 sectors, 30 a flight: each is erased 30 / 292 times a flight.
    assert wear_years(292, flight, 1000) == pytest.approx(100_000 / (1000 * 30 / 292))


def test_the_fingerprint_names_the_copy_in_use():
    other = Settings()
    other.low_confirm_ms += 100
    good, second = pack(Settings()), pack(other)
    bad = good[:-1] + bytes((good[-1] ^ 1,))
    for a, b, state, wanted in (
        (good, good, SETTINGS_GOOD, good[-4:]),
        (good, second, SETTINGS_DIFFER, good[-4:]),
        (good, b"", SETTINGS_ONE_COPY, good[-4:]),
        (bad, second, SETTINGS_ONE_COPY, second[-4:]),
        (b"", b"", SETTINGS_NONE, bytes(4)),
    ):
        inputs = Inputs()
        inputs.settings_a, inputs.settings_b = a, b
        assert Controller(inputs).settings_state == state
        assert fingerprint_of(inputs, state) == wanted
    assert good[-4:] == (binascii.crc32(good[:-4])).to_bytes(4, "little")
