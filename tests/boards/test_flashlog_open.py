"""SR-35: at boot the log finds where to go on with few reads, in bounded time, whatever the flash holds."""

import random

import pytest

from boards.common.flashlog import OPEN_STEPS
from boards.common.flashlog_format import put_mark
from boards.common.flashlog_open import PASSED_OVER, Finder
from boards.common.flashlog_store import Store
from tests.boards.flash import SimFlash
from tests.boards.lives import History, Life, read_all


def found(flash):
    """(Finder when it is done, steps)."""
    finder = Finder(Store(flash))
    for steps in range(1, 60 * flash.n_sectors):
        finder.step()
        if finder.done:
            return finder, steps
    raise AssertionError("not done")


def grown(n_sectors, newest, serial, boots=1):
    """A ring with marks up to `newest` and run slots up to `serial`, of so many boots one after the other."""
    flash = SimFlash(n_sectors)
    store = Store(flash)
    for number in range(max(0, newest - n_sectors + 1), newest + 1):
        store.write_mark(number)
        if number <= serial:
            boot = 1 + number * boots // (serial + 1)
            _put_run(store, number, boot)
    return flash


def _put_run(store, serial, boot):
    from boards.common.flashlog_format import put_run

    put_run(store.want, 20, boot, b"abcd", b"\0\1\0", serial)
    store.write_slot(serial, 1)


@pytest.mark.parametrize("n", [4, 5, 7, 16])
def test_every_state_of_a_ring_is_found(n):
    for newest in range(3 * n):
        for ahead in range(0, min(n - 1, newest + 1)):
            flash = grown(n, newest, newest - ahead, boots=5)
            finder, _ = found(flash)
            assert (finder.newest, finder.serial) == (newest, newest - ahead)
            assert finder.slot == 16
            assert finder.boot > 1


@pytest.mark.parametrize("n", [288, 292, 448])
def test_reads_at_boot_are_few(n):
    most = 0
    for newest in (n - 1, n, n + 1, 2 * n - 2, 5 * n + n // 3, 5 * n + n // 2 + 1):
        for ahead in (0, 1, 30, n // 2, n - n // 4):
            if ahead > newest:
                continue
            flash = grown(n, newest, newest - ahead)
            flash.n_reads = 0
            finder, steps = found(flash)
            assert finder.serial == newest - ahead
            most = max(most, flash.n_reads, steps)
    # The figure of flashlog_open.py.
    assert most == 41


def test_reads_of_a_ring_in_use(capsys):
    flash, history = SimFlash(64), History(64)
    seen = []
    for number in range(1, 30):
        life = Life(flash, history, number)
        flash.n_reads = flash.n_bytes_read = 0
        ticks = 0
        while not life.log.open:
            life.step()
            ticks += 1
        seen.append((flash.n_reads, flash.n_bytes_read, ticks))
        life.prepare()
        life.run(450 + 31 * number, burst=20)
        assert life.log.boot == number
    assert history.faults(read_all(flash)) == []
    most = [max(column) for column in zip(*seen[1:], strict=True)]
    assert most[0] <= 48 and most[1] <= 6000 and most[2] <= 6, most


def test_an_empty_ring_is_read_mark_by_mark():
    flash = SimFlash(292, fill=0xA5)
    finder, _ = found(flash)
    assert (finder.newest, finder.serial, finder.boot, finder.slot) == (-1, -1, 1, 256)
    assert flash.n_reads == 292
    life, ticks = Life(flash, History(292), 1), 0
    while not life.log.open:
        life.step()
        ticks += 1
    assert ticks == 5 and OPEN_STEPS == 8


@pytest.mark.parametrize("seed", range(40))
def test_anything_at_all_is_opened_in_bounded_time_and_written_on(seed):
    dice = random.Random(seed)
    n = dice.choice([4, 6, 9])
    flash = SimFlash(n)
    flash.data[:] = dice.randbytes(len(flash.data))
    store = Store(SimFlash(n))
    for sector in range(n):
        # Whole marks in any disorder, on what may be blank or not.
        if dice.random() < 0.7:
            put_mark(store.want, sector + n * dice.randrange(5), n)
            flash.data[sector * 4096 : sector * 4096 + 16] = store.want
        if dice.random() < 0.5:
            flash.data[sector * 4096 + 16 : (sector + 1) * 4096] = b"\xff" * 4080
    flash.n_reads = 0
    finder, _ = found(flash)
    assert flash.n_reads <= 4 * n + 2 * PASSED_OVER * n.bit_length() + 16 * 4
    life = Life(flash, History(n), 1)
    life.prepare()
    for _ in range(5):
        life.record()
        for _ in range(n + 2):
            life.step(may_erase=1)
    assert life.log.saved == 5 and life.log.failures == 0


@pytest.mark.deep
@pytest.mark.parametrize("n_dead", [1, 2, 3])
@pytest.mark.parametrize("dead", range(12))
@pytest.mark.parametrize("n_records", [1500, 2300])
def test_dead_marks_anywhere_cost_no_other_sector(dead, n_dead, n_records):
    flash, history = SimFlash(12), History(12)
    life = Life(flash, history, 1)
    life.prepare()
    life.run(n_records, burst=20)
    dead = {(dead + more) % 12 for more in range(n_dead)}
    for sector in dead:
        flash.data[sector * 4096 + 3] &= 0x42
    life = Life(flash, history, 2)
    life.prepare()
    life.run(300, burst=20)
    read = {(boot, number) for boot, number, _ in read_all(flash)}
    assert {(2, number) for number in range(300)} <= read
    gone = {(b, n) for b, n, serial, _ in history.saved if serial % 12 in dead or serial <= history.erase_begun - 12}
    assert {(b, n) for b, n, _, _ in history.saved} - gone <= read
