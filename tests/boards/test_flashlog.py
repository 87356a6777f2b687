"""SR-35: what the journal in flash writes, where, when it may erase, and what it does about flash that fails."""

import struct

import pytest

from boards.common.flashlog import MAX_FAILURES, RESERVE_SECTORS, Flashlog, ahead_for
from boards.common.flashlog_format import RECORDS_A_SECTOR, SLOTS
from controller.codes import DOWN, UP
from controller.journal import KEPT, Journal
from host_sim.journal_read import boots, gaps, read_journal
from tests.boards.flash import SimFlash
from tests.boards.lives import FINGERPRINT, TICK_MS, VERSION, History, Life, read_all

N = 6


def life_on(flash, history=None, number=1):
    return Life(flash, history or History(flash.n_sectors), number)


def ready(n_sectors=N, **flash):
    """A life on a flash that is erased ahead."""
    life = life_on(SimFlash(n_sectors, **flash))
    life.open()
    life.prepare()
    life.drain()
    return life


@pytest.mark.sr("SR-35", "acts")
def test_records_come_back_as_they_were_written():
    life = ready()
    life.run(600, burst=4)
    assert life.log.saved == 600 and life.log.lost == 0
    assert life.history.faults(read_all(life.flash)) == []
    records = read_journal(life.flash.dump())
    assert [r.number for r in records] == list(range(600))
    assert gaps(records) == []
    run = records[-1].run
    assert (run.boot, run.tick_ms, run.fingerprint, run.version) == (1, TICK_MS, FINGERPRINT.hex(), "0.1.0")
    assert records[-1].time_s == 600 * TICK_MS / 1000


@pytest.mark.sr("SR-35", "acts")
def test_boots_are_told_apart_and_each_begins_a_page():
    flash, history = SimFlash(N), History(N)
    for number in range(1, 5):
        life = life_on(flash, history, number)
        life.open()
        life.prepare()
        life.drain()
        assert life.log.boot == number
        assert life.log._slot % 16 == (2 if number > 1 else 3), "two run slots from the start of a page on"
        life.run(5 * number)
    assert history.faults(read_all(flash)) == []
    split = boots(read_journal(flash.dump()))
    assert [(len(one), one[0].run.boot) for one in split] == [(5, 1), (10, 2), (15, 3), (20, 4)]


@pytest.mark.sr("SR-35", "acts")
def test_full_store_overwrites_the_oldest_and_keeps_a_quarter():
    flash, history = SimFlash(16), History(16)
    for number in range(1, 9):
        life = life_on(flash, history, number)
        life.open()
        life.prepare()
        life.run(1100, burst=8)
        assert history.faults(read_all(flash)) == []
    assert min(flash.erased) >= 1 and max(flash.erased) - min(flash.erased) <= 1, "even wear"
    life_on(flash, history, 9).prepare()
    # 4 of 16 sectors, less run slots and what the boots left blank.
    assert 3 * RECORDS_A_SECTOR - 40 < len(read_all(flash)) < 4 * RECORDS_A_SECTOR


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("why", ["gear up", "stroke", "no leave"])
def test_erases_only_with_the_gear_down_outside_a_stroke_and_with_leave(why):
    life = life_on(SimFlash(N, fill=0x5A))
    life.open()
    for _ in range(50):
        life.record()
        life.step(
            may_erase=0 if why == "no leave" else 1,
            command=UP if why == "gear up" else DOWN,
            in_stroke=1 if why == "stroke" else 0,
        )
    assert life.flash.log == [], "nothing erased and, since nothing is erased, nothing programmed"
    life.step(may_erase=1)
    assert [kind for kind, _ in life.flash.log] == ["program", "erase"]


@pytest.mark.sr("SR-35", "acts")
def test_with_the_gear_up_only_what_was_erased_before_is_written():
    life = ready()
    before = life.flash.log[:]
    blank = bytearray(life.flash.data)
    for _ in range(3 * SLOTS):
        life.record()
        life.step(command=UP, may_erase=1)
    new = life.flash.log[len(before) :]
    assert {kind for kind, _ in new} == {"program"} and len(new) > 2 * SLOTS
    for _, page in new:
        sector = page // 16
        assert blank[sector * 4096 : sector * 4096 + 5] == b"\xe0\x01DLJ", "a sector erased and marked before"


@pytest.mark.sr("SR-35", "spares")
@pytest.mark.parametrize("n_sectors", [4, N])
def test_a_step_does_at_most_one_program_or_one_program_and_one_erase(n_sectors):
    flash, history = SimFlash(n_sectors, fill=0), History(n_sectors)
    seen = set()
    for number in range(1, 6):
        life = life_on(flash, history, number)
        for count in range(1200):
            life.record(count % 7 == 0)
            before, reads, read = len(flash.log), flash.n_reads, flash.n_bytes_read
            life.step(may_erase=1)
            seen.add(tuple(kind for kind, _ in flash.log[before:]))
            assert flash.n_reads - reads <= 64 and flash.n_bytes_read - read <= 4096 + 16
    assert seen == {(), ("program",), ("program", "erase")}


def test_events_that_come_in_bursts_are_written_before_anything_is_erased():
    flash = SimFlash(16)
    first = life_on(flash)
    first.open()
    first.prepare()
    first.run(3 * RECORDS_A_SECTOR)
    life = life_on(flash, first.history, 2)
    life.open()
    life.record(KEPT)
    while life.log.saved < KEPT // 2:
        before = len(flash.log)
        life.step(may_erase=1)
        assert ("erase" in [kind for kind, _ in flash.log[before:]]) is False
    life.prepare()
    life.drain()
    assert life.log.lost == 0 and life.log.saved == KEPT
    assert life.history.faults(read_all(flash)) == []


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("extra", [1, 3, 70000])
def test_what_ram_cannot_hold_is_lost_counted_and_recorded(extra):
    """70,000 is more than the 16 bits of a sequence number."""
    life = ready()
    life.run(10)
    life.record(KEPT + extra)
    life.drain()
    assert life.log.lost == extra
    records = read_journal(life.flash.dump())
    (gap,) = gaps(records)
    assert (gap.boot, gap.first, gap.count) == (1, 10, extra)
    assert records[10].number == 10 + extra and len(records) == 10 + KEPT
    assert life.history.faults(read_all(life.flash)) == []


def test_without_room_records_wait_in_ram_and_are_written_after_an_erase():
    flash, history = SimFlash(4), History(4)
    life = life_on(flash, history)
    life.open()
    life.prepare()
    life.run(3 * RECORDS_A_SECTOR + 100)
    full = life.log.saved
    assert full < 3 * RECORDS_A_SECTOR and life.log.ahead == 0
    life.record(50)
    for _ in range(20):
        life.step(command=UP, may_erase=1)
    assert life.log.saved == full
    life.prepare()
    life.drain()
    assert (life.log.saved, life.log.lost) == (3 * RECORDS_A_SECTOR + 150, 0)
    assert history.faults(read_all(flash)) == []


@pytest.mark.sr("SR-35", "acts")
def test_losses_over_a_long_time_without_room_are_one_gap():
    life = ready(16)
    while life.log.ahead > 0 or life.log._slot < SLOTS:
        life.record()
        life.step()
    full = life.log.saved
    for _ in range(400):
        life.record(3)
        life.step(command=UP, may_erase=1)
    assert life.log.lost == life.journal.written - KEPT - full > 900
    life.prepare()
    life.drain()
    last = gaps(read_journal(life.flash.dump()))[-1]
    assert (last.first, last.count) == (full, life.log.lost)
    data = bytes(life.flash.data)
    (slot,) = (data[at : at + 16] for at in range(0, len(data), 16) if data[at] == 0xE2)
    assert struct.unpack("<HIIIH", slot)[1:4] == (full, life.log.lost, life.log.lost), "told in one slot"
    assert life.history.faults(read_all(life.flash)) == []


def test_samples_are_thinned_before_the_room_ends():
    life = ready(16)
    assert life.log.thin == 0
    seen = {}
    while life.log.ahead > 0:
        life.record()
        life.step(command=UP)
        seen[life.log.ahead] = life.log.thin
    assert [ahead for ahead, thin in seen.items() if thin] == [1, 0], "an eighth of a small ring"
    assert RESERVE_SECTORS == 16 and ahead_for(448) + 448 // 4 < 448


@pytest.mark.sr("SR-35", "acts")
def test_a_slot_that_does_not_read_back_is_written_once_more():
    life = ready()
    life.run(5)
    flash = life.flash
    # Bit 0 of the record's number: one record in two cannot be written there.
    at = life.log._serial % N * 4096 + (life.log._slot + 1) * 16 + 2
    flash.worn[at] = 1 if (life.log.saved + 1) % 2 else 2
    life.run(3)
    assert life.log.bad_slots == 1 and life.log.saved == 8
    assert life.history.faults(read_all(flash)) == []


def test_a_sector_that_stays_dirty_is_passed_over():
    flash, history = SimFlash(N), History(N)
    flash.worn[4096 + 3000] = 1
    for number in range(1, 8):
        life = life_on(flash, history, number)
        life.open()
        life.prepare()
        life.run(300)
        assert life.log.saved == 300 and life.log.failures == 0
        assert history.faults(read_all(flash)) == []
    assert flash.erased[1] >= 2 and flash.data[4096] == 0xFF, "tried once a lap, never marked"


@pytest.mark.sr("SR-35", "spares")
def test_a_device_that_raises_neither_takes_the_loop_nor_is_asked_for_ever():
    life = ready()
    life.run(5)
    life.flash.fail = range(len(life.flash.log), len(life.flash.log) + 3)
    life.run(5)
    assert (life.log.failures, life.log.stopped, life.log.saved) == (3, 0, 10)
    assert life.history.faults(read_all(life.flash)) == []
    life.flash.fail = range(100000)
    for _ in range(50):
        life.record()
        life.step(may_erase=1)
    assert (life.log.failures, life.log.stopped) == (MAX_FAILURES, 1)
    at_stop = len(life.flash.log)
    life.step()
    assert len(life.flash.log) == at_stop


@pytest.mark.sr("SR-35", "spares")
def test_a_sector_whose_erase_raises_is_passed_over():
    class Refuses(SimFlash):
        def erase(self, sector):
            if sector == 1:
                raise OSError(5, "flash")
            super().erase(sector)

    life = life_on(Refuses(N, fill=0), History(N))
    life.prepare()
    life.run(700)
    assert (life.log.failures, life.log.stopped, life.log.saved) == (1, 0, 700)
    assert life.history.faults(read_all(life.flash)) == []


class Read:
    """Dice for loose bits: all read as they are told to."""

    def __init__(self, zeros):
        self.zeros = zeros

    def getrandbits(self, n):
        return (1 << n) - 1 if self.zeros else 0


def test_a_sector_passed_over_for_a_loose_bit_is_never_taken_for_unused_again():
    flash, history = SimFlash(8), History(8)
    life = life_on(flash, history, 1)
    life.prepare()
    life.run(250)
    assert life.log._serial == 0
    # A run slot in sector 1 that was cut just after its beginning: it reads blank at one time, and not at another.
    flash.loose_bits[4096 + 16 + 5] = 0x10
    flash.dice = Read(zeros=False)
    life = life_on(flash, history, 2)
    life.open()
    flash.dice.zeros = True
    life.run(20)
    assert life.log._serial == 2
    flash.dice.zeros = False
    life = life_on(flash, history, 3)
    life.open()
    assert (life.log.boot, life.log._serial) == (3, 2)
    life.run(20)
    assert history.faults(read_all(flash)) == []


class Dead:
    """A device that is not there."""

    n_sectors = 8

    def read(self, at, buffer):
        raise OSError(5, "flash")


def test_a_dead_device_is_given_up_and_a_wrong_fingerprint_costs_the_journal_only():
    log = Flashlog(Dead(), Journal(), FINGERPRINT, VERSION, TICK_MS)
    for _ in range(20):
        log.step(DOWN, 0, 1)
    assert (log.stopped, log.open) == (1, 0)
    flash = SimFlash(N)
    log = Flashlog(flash, Journal(), b"", VERSION, TICK_MS)
    for _ in range(100):
        log.step(DOWN, 0, 1)
    assert log.stopped == 1 and read_all(flash) == []


def test_what_is_erased_ahead():
    # Two hours and the reserve where there is room for them beside a quarter of history.
    assert (ahead_for(448), ahead_for(292), ahead_for(4), ahead_for(6)) == (305, 219, 2, 4)
    for n in range(4, 600):
        assert 2 <= ahead_for(n) <= n - 2


def test_opening_goes_on_in_the_next_step_after_a_program():
    class Programs:
        done = 0
        programmed = 0
        steps = 0

        def step(self):
            self.steps += 1
            self.programmed = int(self.steps % 3 == 0)

    life = life_on(SimFlash(N))
    life.log._finder = Programs()
    seen = []
    for _ in range(3):
        life.log.step(DOWN, 0, 0)
        seen.append(life.log._finder.steps)
    assert seen == [3, 6, 9]
