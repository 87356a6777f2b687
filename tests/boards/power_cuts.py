"""`python -m tests.boards.power_cuts`: the power goes at every byte of every program and at every stage of an erase (SR-35).

    python -m tests.boards.power_cuts           the programs that differ in kind, and one record in forty: seconds
    python -m tests.boards.power_cuts --full    every program of six lives: two minutes

Lives of a board write to a small simulated flash until sectors have been overwritten. Before each operation the flash
is copied; on a copy the operation is cut, what a reader then gets is compared with what was saved, and a next life
boots, writes and is compared too. Prints one row a kind of operation and a second table of room and wear. Exit status 1
when more than the record being written was lost, anything else unreadable, or a next life could not go on.
"""

import argparse
import sys
from collections import Counter

from boards.common.flashlog_format import PAGES
from tests.boards.flash import PAGE_BYTES, PowerCut, SimFlash
from tests.boards.flash_room import room_table
from tests.boards.lives import History, Life, read_all

N_SECTORS = 4
LIVES = 6
ERASE_CUTS = ("begun", "half", "nearly", "mixture", "mixture", "mixture")
MIXTURES = ("mixture", "barely", "nearly")
NEXT_RECORDS = 3
KINDS = ("run", "record", "lost", "mark", "mark again", "unmark", "erase")
# A quick run looks at each program of the other kinds, and at one record in so many.
RECORD_STRIDE = 40


class Tally:
    """What came of the cuts of one kind of operation."""

    def __init__(self):
        self.operations = 0
        self.positions = 0
        self.images = 0
        self.kept = Counter()
        self.faults = []


class Cutter:
    """A device that hands its operations on to a SimFlash, and cuts copies of it on the way."""

    def __init__(self, flash, tallies, stride):
        self.flash = flash
        self.n_sectors = flash.n_sectors
        self.tallies = tallies
        self.stride = stride
        self.life = None
        self.n_records = 0

    @property
    def log(self):
        return self.flash.log

    def power_on(self):
        self.flash.power_on()

    def read(self, at, buffer):
        self.flash.read(at, buffer)

    def program(self, page, buffer):
        kind = self._kind(page, buffer)
        self.n_records += kind == "record"
        if kind != "record" or self.n_records % self.stride == 0:
            self._cut_program(kind, page, buffer)
        self.flash.program(page, buffer)

    def erase(self, sector):
        for loose in (False, True):
            self._cut("erase", lambda copy: copy.erase(sector), ERASE_CUTS, loose)
        self.tallies["erase"].operations += 1
        self.flash.erase(sector)

    def _kind(self, page, buffer):
        first = next((byte for byte in buffer if byte != 0xFF), 0xFF)
        if first == 0xE0:
            return "mark again" if self.flash.data[page * PAGE_BYTES] != 0xFF else "mark"
        return {0: "unmark", 0xE1: "run", 0xE2: "lost"}.get(first, "record")

    def _cut_program(self, kind, page, buffer):
        self.tallies[kind].operations += 1
        self._cut(kind, lambda copy: copy.program(page, buffer), range(PAGE_BYTES + 1), False)
        self._cut(kind, lambda copy: copy.program(page, buffer), MIXTURES, True)

    def _cut(self, kind, operate, cuts, loose):
        tally = self.tallies[kind]
        seen = set()
        for number, how in enumerate(cuts):
            copy = self.flash.copy()
            copy.loose = loose
            copy.dice.seed(f"{kind} {len(self.log)} {number}")
            copy.cut_at(0, how, how)
            try:
                operate(copy)
            except PowerCut:
                pass
            tally.positions += 1
            # Most bytes of a page are not touched by a program: a cut there leaves the same as one beside it.
            image = bytes(copy.data) if not copy.loose_bits else number
            if image in seen:
                continue
            seen.add(image)
            tally.images += 1
            self._judge(tally, copy, kind, how)

    def _judge(self, tally, copy, kind, how):
        history = self.life.history.copy()
        if kind == "erase":
            history.erase_begun = history.next_erase
        if kind == "unmark":
            history.retiring = history.next_erase
        read = read_all(copy)
        if kind == "record":
            tally.kept[history.is_kept(read)] += 1
        faults = history.faults(read)
        history.cut()
        faults += next_life(copy, history)
        tally.faults += [f"{kind} cut at {how}, operation {len(self.log)}: {fault}" for fault in faults]


def next_life(flash, history):
    """What is wrong after another life on this flash, as a list of sentences."""
    life = Life(flash, history, 99)
    life.open()
    for _ in range(4):
        life.step(may_erase=1)
    life.run(NEXT_RECORDS)
    faults = [f"next life: {fault}" for fault in history.faults(read_all(flash))]
    if life.log.ahead == 0 and life.log._slot == 256:
        return faults
    if life.log.saved != NEXT_RECORDS or life.log.failures or flash.programmed_over:
        faults.append(f"next life: saved {life.log.saved}, failures {life.log.failures}, {flash.programmed_over}")
    return faults


def cut_everywhere(stride):
    """Tally of each of KINDS; of records one in `stride` is cut."""
    tallies = {kind: Tally() for kind in KINDS}
    history = History(N_SECTORS)
    cutter = Cutter(SimFlash(N_SECTORS, seed=1, fill=0x00), tallies, stride)
    for number in range(1, LIVES + 1):
        life = Life(cutter, history, number)
        cutter.life = life
        life.open()
        life.prepare()
        if number % 3 == 0:
            # More than the ring in RAM holds, so that some are lost there.
            life.record(300)
        life.run(60 + 25 * number)
    return tallies


def table(tallies):
    """The outcomes as lines of text."""
    lines = [
        "operation   programs    cuts  images  record being written  other records lost",
        "            or erases                 lost      kept        or made up, or no next boot",
    ]
    for kind in KINDS:
        tally = tallies[kind]
        written = f"{tally.kept[False]:<9} {tally.kept[True]:<11}" if kind == "record" else f"{'-':<9} {'-':<11}"
        lines.append(
            f"{kind:<11} {tally.operations:>8} {tally.positions:>8} {tally.images:>7}  {written} {len(tally.faults)}"
        )
    return lines


def main(arguments=None):
    """Both tables; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.boards.power_cuts", description=__doc__.splitlines()[0])
    parser.add_argument("--full", action="store_true", help="every program, not only those that differ in kind")
    tallies = cut_everywhere(1 if parser.parse_args(arguments).full else RECORD_STRIDE)
    print(f"Power cuts on a simulated ring of {N_SECTORS} sectors of {PAGES} pages, {LIVES} lives")
    print("\n".join(table(tallies)))
    print()
    print("\n".join(room_table()))
    faults = [fault for tally in tallies.values() for fault in tally.faults]
    for fault in faults[:20]:
        print(fault)
    idle = [kind for kind in KINDS if tallies[kind].operations == 0]
    if idle:
        print(f"never cut: {', '.join(idle)}")
    return 1 if faults or idle else 0


if __name__ == "__main__":
    sys.exit(main())
