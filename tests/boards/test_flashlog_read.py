"""host_sim/journal_read.py takes any bytes, and says what is missing."""

from binascii import crc_hqx

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boards.common.flashlog_format import put_mark, put_run
from controller.frames import Outputs
from controller.journal import KIND_SAMPLE, Journal
from host_sim.errors import InputError
from host_sim.journal_read import Gap, boots, gaps, load_journal, read_journal
from tests.boards.flash import SimFlash
from tests.boards.lives import History, Life, encode

N = 12


def written(n_sectors=N, lives=(200, 300, 120)):
    """(flash, history) after some lives."""
    flash, history = SimFlash(n_sectors), History(n_sectors)
    for number, n_records in enumerate(lives, 1):
        life = Life(flash, history, number)
        life.prepare()
        life.run(n_records, burst=10)
    return flash, history


FLASH, HISTORY = written()
WHOLE = FLASH.dump()


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.binary(max_size=9000))
def test_random_bytes_hold_no_journal(data):
    assert read_journal(data) == []


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, len(WHOLE) - 1), st.binary(min_size=1, max_size=300)), max_size=20))
def test_damage_costs_what_it_hits(damage):
    """Whatever is overwritten, records elsewhere stay readable, and none is made up."""
    data, hit = bytearray(WHOLE), set()
    for at, some in damage:
        some = some[: len(data) - at]
        data[at : at + len(some)] = some
        hit.update(range(at // 16, (at + len(some) - 1) // 16 + 1))
    read = {(r.run.boot, encode(r)) for r in read_journal(data)}
    sound = {(b, raw) for b, n, serial, raw in HISTORY.saved if not hit & _needed(b, n, serial)}
    assert sound <= read
    assert {raw for _, raw in read} <= {raw for _, _, _, raw in HISTORY.saved}


PLACES = {(boot, number): WHOLE.index(raw, serial % N * 4096) // 16 for boot, number, serial, raw in HISTORY.saved}
HEADS = [{at // 16 for at in range(4096 * n, 4096 * n + 4096, 16) if WHOLE[at] in (0xE0, 0xE1)} for n in range(N)]


def _needed(boot, number, serial):
    """Slots that a record needs to be read and told apart: its own, the mark of its sector and the run slots there."""
    return HEADS[serial % N] | {PLACES[boot, number]}


@pytest.mark.parametrize("length", [0, 1, 15, 16, 17, 4095, 4097, 5000, 12289])
def test_a_dump_may_end_anywhere(length):
    read = [encode(r) for r in read_journal(WHOLE[:length])]
    assert read == [raw for b, n, _, raw in HISTORY.saved if PLACES[b, n] * 16 + 16 <= length]


def test_a_dead_mark_is_made_up_for_by_the_run_slot():
    whole = read_journal(WHOLE)
    for sector in range(3):
        data = bytearray(WHOLE)
        data[sector * 4096] = 0
        assert read_journal(data) == whole


def test_gaps_are_told():
    flash, _ = written(N, (100,))
    data = bytearray(flash.dump())
    for number in (5, 6, 7, 50):
        at = PLACES[1, number] * 16
        data[at : at + 16] = bytes(16)
    records = read_journal(data)
    assert gaps(records) == [Gap(1, 5, 3), Gap(1, 50, 1)]
    assert [r.lost_before for r in records if r.lost_before] == [3, 1]
    assert len(records) == 96 and len(boots(records)) == 1


@pytest.mark.deep
def test_sequences_go_on_beyond_16_bits():
    n = 280
    flash = SimFlash(n)
    life = Life(flash, History(n), 1)
    life.prepare()
    for _ in range(9):
        life.run(7400, burst=100)
        life.prepare()
    assert life.log.lost == 0 and life.log.saved == 66600
    records = read_journal(flash.dump())
    assert records[-1].number == life.log.saved - 1
    numbers = [r.number for r in records]
    assert numbers[0] < 0x10000 < numbers[-1] and numbers == [r.tick - 1 for r in records]


def test_the_oldest_boot_may_have_lost_its_start():
    flash, history = written(4, (700, 300, 300))
    records = read_journal(flash.dump())
    assert gaps(records)[0].first == 0 and gaps(records)[0].boot == records[0].run.boot
    assert [r.number for r in records[:2]] == [gaps(records)[0].count, gaps(records)[0].count + 1]


def test_a_file_that_is_no_dump_gets_one_line(tmp_path):
    with pytest.raises(InputError, match="cannot be read: No such file"):
        load_journal(tmp_path / "none.bin")
    path = tmp_path / "text.bin"
    path.write_text("hello")
    with pytest.raises(InputError, match="5 bytes without one record that checks; a dump") as caught:
        load_journal(path)
    assert "\n" not in str(caught.value)
    path.write_bytes(WHOLE)
    assert load_journal(path) == read_journal(WHOLE)


def sector(serial, ring, *slots):
    """4096 bytes of a sector with its mark and slots."""
    mark = bytearray(16)
    put_mark(mark, serial, ring)
    return (bytes(mark) + b"".join(slots)).ljust(4096, b"\xff")


def run_slot(boot, serial):
    """16 bytes of a run slot."""
    data = bytearray(16)
    put_run(data, 20, boot, b"\x01\x02\x03\x04", b"\x00\x01\x00", serial)
    return bytes(data)


def record_slots(n, pressure_mbar=5000):
    """16 bytes of each of a boot's first n records."""
    journal, outputs = Journal(), Outputs()
    for tick in range(1, n + 1):
        outputs.tick, outputs.pressure_mbar = tick, pressure_mbar
        journal.write(KIND_SAMPLE, 0, 7400, outputs)
    return [bytes(journal.data[16 * index : 16 * index + 16]) for index in range(n)]


def test_boots_come_in_their_order_even_where_a_sector_was_used_late():
    data = sector(4, 4, run_slot(8, 4), *record_slots(3)) + sector(5, 4, run_slot(7, 5), *record_slots(2))
    assert [(r.run.boot, r.number) for r in read_journal(data)] == [(7, 0), (7, 1), (8, 0), (8, 1), (8, 2)]


def test_a_run_slot_of_another_sector_is_none():
    data = sector(4, 4, run_slot(8, 4), *record_slots(1)) + sector(5, 4, run_slot(9, 6), *record_slots(3)[1:])
    assert [(r.run.boot, r.number) for r in read_journal(data)] == [(8, 0), (8, 1), (8, 2)]


def test_a_record_that_was_written_twice_is_read_once():
    first, second, third = record_slots(3)
    data = sector(0, 4, run_slot(1, 0), first, second, second, third)
    records = read_journal(data)
    assert [r.number for r in records] == [0, 1, 2] and gaps(records) == []


def test_a_record_cut_short_whose_crc_is_right_by_chance_is_none():
    # Found by cutting every program: the bytes after the tenth are as erased, and 0xFFFF is the CRC of the rest.
    torn = bytes.fromhex("0806b301b4010000b4017fffffffffff")
    assert crc_hqx(torn[:14], 0xFFFF) == 0xFFFF
    assert read_journal(sector(0, 4, run_slot(1, 0), torn)) == []


@pytest.mark.parametrize("first, count, total", [(1, 0, 0), (1, 5, 4), (1 << 30, 1, 1), (1, 1, 1 << 30)])
def test_a_lost_slot_that_says_nothing_sensible_is_none(first, count, total):
    lost = b"\xe2\x00" + b"".join(value.to_bytes(4, "little") for value in (first, count, total))
    lost += crc_hqx(lost, 0xFFFF).to_bytes(2, "little")
    one, two = record_slots(2)
    assert [r.number for r in read_journal(sector(0, 4, run_slot(1, 0), one, lost, two))] == [0, 1]
