"""SR-35: records in memory, each with its own check."""

import struct

import pytest

from controller import codes
from controller.frames import Outputs
from controller.journal import (
    KEPT,
    KIND_CAUSE,
    KIND_COMMAND,
    KIND_LATE,
    KIND_REFUSAL,
    KIND_SAMPLE,
    RECORD_BYTES,
    Journal,
    crc16,
)

from .driver import Rig

RECORD = struct.Struct("<BBHIhHBBH")


def records(journal):
    """[(kind, code, sequence, tick, value, pressure, mode_command, link_switch)] of whole records, oldest first."""
    found = []
    for slot in range(KEPT):
        raw = bytes(journal.data[slot * RECORD_BYTES : (slot + 1) * RECORD_BYTES])
        *fields, crc = RECORD.unpack(raw)
        if crc == crc16(raw, 0, RECORD_BYTES - 2):
            found.append(tuple(fields))
    return sorted(found, key=lambda fields: fields[2])


def test_crc_has_the_published_check_value():
    # CRC-16/IBM-3740, check value of the catalogue of parametrised CRC algorithms (from memory): 0x29B1.
    assert crc16(b"123456789", 0, 9) == 0x29B1


@pytest.mark.sr("SR-35", "acts")
def test_every_bit_of_a_record_is_checked():
    journal = Journal()
    journal.write(KIND_CAUSE, codes.CAUSE_BURST, -1234, Outputs())
    assert len(records(journal)) == 1
    for bit in range(RECORD_BYTES * 8):
        journal.data[bit // 8] ^= 1 << bit % 8
        assert records(journal) == []
        journal.data[bit // 8] ^= 1 << bit % 8
    assert records(journal)[0][:2] == (KIND_CAUSE, codes.CAUSE_BURST)
    assert records(journal)[0][4] == -1234


@pytest.mark.sr("SR-35", "acts")
def test_full_store_overwrites_the_oldest():
    journal = Journal()
    outputs = Outputs()
    for number in range(KEPT + 40):
        outputs.tick = number
        journal.write(KIND_SAMPLE, 0, number, outputs)
    assert [fields[4] for fields in records(journal)] == list(range(40, KEPT + 40))
    assert journal.written == KEPT + 40


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("done", range(RECORD_BYTES))
def test_record_cut_at_any_byte_costs_only_itself(done):
    """The bytes of the next record, as far as they came, over a store that was whole."""
    whole = Journal()
    for number in range(KEPT):
        whole.write(KIND_SAMPLE, 0, number, Outputs())
    cut = bytes(whole.data)
    whole.write(KIND_SAMPLE, 0, KEPT, Outputs())
    whole.data[:] = whole.data[:done] + cut[done:]
    values = [fields[4] for fields in records(whole)]
    assert set(range(1, KEPT)) <= set(values)
    assert len(values) <= KEPT


@pytest.mark.sr("SR-35", "acts")
def test_flight_leaves_what_is_needed_to_read_it_back():
    rig = Rig(supply_fitted=1).up()
    rig.now_ms += 60
    rig.step(1)
    rig.step(60, supply_mv=4300)
    rig.step(3, gear_us=1100)
    rig.step(3, gear_us=1900)
    found = records(rig.controller.scribe.journal)
    kinds = [fields[0] for fields in found]
    assert [fields[1] for fields in found if fields[0] == KIND_COMMAND] == [codes.UP, codes.DOWN]
    cause = next(fields for fields in found if fields[0] == KIND_CAUSE)
    assert cause[1] == codes.CAUSE_SUPPLY and 4290 <= cause[4] <= 4305
    assert next(fields[1] for fields in found if fields[0] == KIND_REFUSAL) == codes.REFUSAL_HELD
    assert KIND_LATE in kinds
    samples = [fields for fields in found if fields[0] == KIND_SAMPLE]
    assert [later[3] - earlier[3] for earlier, later in zip(samples, samples[1:], strict=False)] == [50] * (
        len(samples) - 1
    )
    assert [fields[2] for fields in found] == list(range(len(found)))


@pytest.mark.sr("SR-35", "spares")
def test_journal_has_no_say_in_any_decision():
    plain = Rig()
    silent = Rig()
    silent.controller.scribe = type("Nothing", (), {"step": lambda *ignored: None})()
    for rig in (plain, silent):
        rig.record = []
        rig.up()
        rig.move_down()
        rig.record.append((rig.command, rig.outputs.mode, rig.outputs.alert, rig.outputs.feed, rig.ticks))
    assert plain.record == silent.record


@pytest.mark.sr("SR-35", "spares")
@pytest.mark.parametrize("value", [-(2**29), -32769, 32768, 2**29])
def test_value_that_does_not_fit_is_clipped_and_raises_nothing(value):
    journal = Journal()
    outputs = Outputs()
    outputs.pressure_mbar = 2**20
    outputs.tick = 2**29
    journal.write(KIND_SAMPLE, 0, value, outputs)
    assert records(journal)[0][4] == max(-32768, min(32767, value))
