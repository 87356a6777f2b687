"""An installation that is interrupted: what a board then does, at every point where it can be (SR-18, SR-30).

    python -m tests.install.cuts            every operation of the flash in one stage, every message; minutes
    python -m tests.install.cuts --full     in four stages, and whatever the short one takes a quarter of; an hour

Power is cut in each operation of the flash (program of a page, erase of a block), none, a quarter, half or three quarters
of it done; the connection is dropped after each message, and in the middle of each, with the board switched off and on, or
left on. Then the board boots, and the installation is done once more. The board is tests/install/standin.py.

Inside the bound: the whole old set flies; the whole new set flies; the board says that it holds DOWN; a new board has no
program yet, and its pins are undriven, which is DOWN. And the second installation ends with the whole new set.
"""

import argparse
import shutil
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.errors import InputError
from host_sim.install.link import LinkLost

from .images import flash_files, outer_files
from .standins import (
    PROMPT,
    QuickLink,
    StandIn,
    install,
    later_set,
    quick_open,
    sample_set,
    standin_kind,
    undivided_kind,
)

OLD, NEW, HELD, EMPTY = "old set flies", "new set flies", "held DOWN, said so", "new board, no program"
INSIDE = (OLD, NEW, HELD, EMPTY)
MIX, SILENT, NOT_MENDED = "A MIX FLIES", "NOTHING FLIES, NOTHING SAID", "NOT MENDED"
STAGES = (2, 0, 3, 1)
SPARSE = 4
POWER, AFTER, WITHIN, LEFT_ON = "power cut", "dropped after a message", "dropped within one", "dropped, board left on"


@dataclass(frozen=True)
class Case:
    """One board: `old` is its FileSet or None for a new one, `new` the one that is installed, `kind` its Kind."""

    name: str
    old: object
    new: object
    kind: object


@dataclass(frozen=True)
class Cut:
    """Where it is interrupted: how, at which operation or message, and how many quarters of an operation are done."""

    how: str
    at: int
    torn: int = 0


class DroppingLink(QuickLink):
    """A Link whose connection breaks after so many messages, or in the middle of the one that follows."""

    def __init__(self, board, after, within=False):
        link = board.link()
        super().__init__(link.port, quick_open, lambda port: None)
        self.left, self.within, self.messages = after, within, []

    def run(self, code):
        """As Link.run, until it is enough."""
        if self.left == 0 and self._transport is not None:
            if self.within:
                self._transport.serial.write(b"\x05A\x01" + code[: min(len(code) // 2, 60)].encode())
            self._transport.serial.close()
            self._transport = None
            raise LinkLost(self.port.device, "", "dropped")
        self.left -= 1
        self.messages.append(code)
        return super().run(code)


def cases():
    """A new board, and one with an older set, other settings and another valve; the same with an undivided flash."""
    first, second = (load_aircraft(AIRCRAFT_DIR / f"{name}.yaml") for name in _aircraft())
    old = sample_set(first.packed, 1)
    new = later_set(second.packed, 3)
    divided, undivided = standin_kind(), undivided_kind()
    return [
        Case("new board", None, old, divided),
        Case("update", old, new, divided),
        Case("new board, undivided flash", None, old, undivided),
        Case("update, undivided flash", old, new, undivided),
    ]


def _aircraft():
    return sorted(path.stem for path in AIRCRAFT_DIR.glob("*.yaml"))[:2]


class Room:
    """Images of flash in a folder, and what has been tried."""

    def __init__(self, folder, case, sets=None):
        self.folder, self.case = Path(folder), case
        self.start = self.folder / f"{case.name.replace(' ', '_').replace(',', '')}.flash"
        with StandIn(self.start) as board:
            board.listen(PROMPT)
            if case.old is not None:
                install(board.link(), case.old, kind=case.kind)
        self.sets = sets or {OLD: case.old, NEW: case.new}

    def size(self):
        """(operations of the flash, messages) of one whole installation."""
        image = self._fresh()
        with StandIn(image) as board:
            link = DroppingLink(board, -1)
            install(link, self.case.new, kind=self.case.kind)
        self.messages = link.messages
        return board.n_ops, len(link.messages)

    def cuts(self, full):
        """All Cuts of this case."""
        n_ops, n_messages = self.size()
        found = []
        # An undivided flash differs in its first steps only.
        sparse = 1 if full or self.case.kind.split_flash else SPARSE
        for at in range(0, n_ops, sparse):
            stages = STAGES if full else (STAGES[at // sparse % 4],)
            found += [Cut(POWER, at, torn) for torn in stages]
        found += [Cut(AFTER, at) for at in range(0, n_messages, sparse)]
        for how in (WITHIN, LEFT_ON):
            found += [Cut(how, at) for at in range(0, n_messages, 1 if full else SPARSE)]
        return found

    def outcome(self, cut, installing=install):
        """What the board is after this Cut, one of the words above. The board is mended afterwards, or it is said."""
        image = self._fresh()
        with StandIn(image, cut.at if cut.how == POWER else -1, cut.torn) as board:
            link = board.link() if cut.how == POWER else DroppingLink(board, cut.at, cut.how == WITHIN)
            try:
                installing(link, self.case.new, kind=self.case.kind)
            except InputError:
                pass
            if cut.how == LEFT_ON:
                try:
                    install(board.link(), self.case.new, kind=self.case.kind)
                except InputError as error:
                    return f"{NOT_MENDED}: {error}"
        found = self.seen(image)
        if found in INSIDE:
            return self._mended(image) or found
        return found

    def seen(self, image):
        """What a board with this flash does after power-on."""
        with StandIn(image) as board:
            said = board.listen("flies", "held DOWN", PROMPT)
        files = flash_files(image) if self.case.kind.split_flash else outer_files(image)
        if "flies" in said:
            for word, fileset in self.sets.items():
                if fileset is not None and files == fileset.files | {"set.txt": fileset.manifest}:
                    return word
            return MIX
        if "held DOWN" in said:
            return HELD
        return EMPTY if self.case.old is None and "main.py" not in files else SILENT

    def _mended(self, image):
        """ "" when a second installation makes the new set fly, else what is wrong."""
        try:
            with StandIn(image) as board:
                install(board.link(), self.case.new, kind=self.case.kind)
        except InputError as error:
            return f"{NOT_MENDED}: {error}"
        found = self.seen(image)
        return "" if found == NEW else f"{NOT_MENDED}: {found}"

    def _fresh(self):
        image = self.folder / "board.flash"
        shutil.copy(self.start, image)
        return image


def main(arguments=None):
    """The command; returns its exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.install.cuts", description=__doc__.split("\n")[0])
    parser.add_argument("--full", action="store_true", help="every point in every stage; an hour")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every N-th of them (default: 1)")
    options = parser.parse_args(arguments)
    n_outside = 0
    with tempfile.TemporaryDirectory() as folder:
        for case in cases():
            room = Room(folder, case)
            counts = Counter()
            for cut in list(room.cuts(options.full))[:: options.every]:
                found = room.outcome(cut)
                counts[cut.how, found] += 1
                if found not in INSIDE:
                    n_outside += 1
                    print(f"  outside the bound: {case.name}, {cut}: {found}", flush=True)
            print(f"{case.name}: {sum(counts.values())} interruptions, each mended by a second installation")
            for (how, found), count in sorted(counts.items()):
                print(f"  {how:<26}{found:<28}{count:>5}", flush=True)
    print("all inside the bound" if not n_outside else f"{n_outside} outside the bound")
    return 1 if n_outside else 0


if __name__ == "__main__":
    sys.exit(main())
