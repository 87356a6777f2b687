"""SR-35: what each rule of the journal in flash is for. Without it, lives with cuts lose more than they may, or go wrong."""

import random

import pytest

from boards.common import flashlog_format, flashlog_open
from boards.common.flashlog import Flashlog
from boards.common.flashlog_open import Finder
from boards.common.flashlog_store import Store
from tests.boards.flash import RuleBroken
from tests.boards.test_flashlog_cuts import ERASE_CUTS, PROGRAM_CUTS, faults_of_lives

FINGERPRINTS = (b"\x07\xee\xff\xc0", b"\xf8\x11\x00\x3f")
# Rows of lives: all of them right with all rules; of them and more at least one wrong without any one rule.
ALL_RIGHT = 150
ONE_WRONG = 400
# Chosen so that each broken rule shows within a few seconds; any other does, in the end.
FIRST_SEED = 700


def some_lives(dice):
    """Short lives, most of them cut."""
    return [
        (
            dice.randrange(20),
            dice.randrange(1, 6),
            dice.random() < 0.5,
            dice.randrange(8) if dice.random() < 0.7 else dice.randrange(40),
            dice.choice(PROGRAM_CUTS),
            dice.choice(ERASE_CUTS),
            dice.choice(FINGERPRINTS),
        )
        for _ in range(dice.randrange(2, 12))
    ]


def tries_until_wrong(n_rows):
    """How many rows of lives it takes until one goes wrong; None when none of them does."""
    for number in range(FIRST_SEED, FIRST_SEED + n_rows):
        dice = random.Random(number)
        lives, first = some_lives(dice), dice.choice((0, 0, 150, 240, 500))
        if number % 4 == 0:
            # A sector that is full of records is erased, or nearly.
            first, lives[0] = 1000, (0, 1, True, dice.randrange(5), dice.choice(PROGRAM_CUTS), "begun", FINGERPRINTS[0])
        try:
            faults = faults_of_lives(lives, True, number, first_records=first)
        except RuleBroken as broken:
            faults = [str(broken)]
        if faults:
            return number + 1 - FIRST_SEED
    return None


def without_unmarking(patch):
    patch.setattr(Store, "erase", lambda self, serial: self.device.erase(serial % self.n_sectors))


def without_marking_again(patch):
    def step(self):
        if self._phase == flashlog_open.SETTLE_NEWEST:
            self._phase = flashlog_open.FIND_CLEAN
        real(self)

    real = Finder.step
    patch.setattr(Finder, "step", step)


def without_settling_the_head(patch):
    patch.setattr(Store, "settle_head", lambda self, serial, data: None)


def without_a_second_run_slot(patch):
    real = Flashlog.__init__

    def init(self, *arguments):
        real(self, *arguments)
        self._runs = 1

    patch.setattr(Flashlog, "__init__", init)


def without_a_fresh_page(patch):
    real = Finder._find_page

    def find_page(self):
        real(self)
        if self._phase != flashlog_open.FIND_PAGE:
            used = [at for at in range(256) if self._page_data[at] != 0xFF]
            self.slot = self._page * 16 + (max(used) // 16 + 1 if used else 1)

    patch.setattr(Finder, "_find_page", find_page)


def without_looking_whether_a_sector_is_clean(patch):
    patch.setattr(Finder, "is_head_clean", lambda self: 1)


def without_a_mark_that_waits_for_the_erase(patch):
    real = Store.erase

    def erase(self, serial):
        real(self, serial)
        self.device.read(0, self._got)

    def serial_of_mark(data, sector, n_sectors):
        return sector if data[0] != 0xE0 else flashlog_format.serial_of_mark(data, sector, n_sectors)

    patch.setattr(Store, "erase", erase)
    patch.setattr(flashlog_open, "serial_of_mark", serial_of_mark)


BREAKS = (
    without_unmarking,
    without_marking_again,
    without_settling_the_head,
    without_a_second_run_slot,
    without_a_fresh_page,
    without_looking_whether_a_sector_is_clean,
    without_a_mark_that_waits_for_the_erase,
)


@pytest.mark.parametrize("broken", BREAKS, ids=lambda one: one.__name__)
def test_each_rule_is_needed(broken, monkeypatch):
    broken(monkeypatch)
    assert tries_until_wrong(ONE_WRONG) is not None


def test_with_all_rules_none_of_these_lives_goes_wrong():
    assert tries_until_wrong(ALL_RIGHT) is None
