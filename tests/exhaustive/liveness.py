"""What must happen in time, from every reachable state: asked of a Search that has found them all."""

import numpy as np


class Forced:
    """From any state on, while every tick's letter passes `when`, the command is DOWN after `within` ticks for good.

    The states that `n` such ticks can leave are a subset of those that `n - 1` can, so one look after `within` ticks
    speaks for all later ones too.
    """

    def __init__(self, what, when, within):
        self.what = what
        self.when = when
        self.within = within

    def ask(self, search):
        """(what is broken or "", the number of ticks that suffices)."""
        network = search.network
        letters = [number for number, letter in enumerate(network.letters) if self.when(letter)]
        assert letters, f"{self.what}: no letter of the alphabet is meant"
        keys = search.visited
        for ticks in range(1, self.within + 1):
            keys, seen = search.successors(keys, letters, ("after",))
            if seen["after"] == {0}:
                return "", ticks
        return f"{self.what} does not put the gear down within {self.within} ticks", self.within


class Follows:
    """From any state in which nothing is latched for good: `down` for at most `within` ticks, then `up` for a run, and
    the gear goes up: no state is a trap."""

    def __init__(self, down, up, run, within, for_good=()):
        self.what = "a healthy aircraft follows the pilot again"
        self.down = down
        self.up = up
        self.run = run
        self.within = within
        self.for_good = for_good

    def _free(self, search):
        """Keys of the states in which no cause of `for_good` (part, path) is latched."""
        parts = [part.name for part in search.network.parts]
        tests = []
        for part_name, path in self.for_good:
            part = search.network.parts[parts.index(part_name)]
            if path in part.followed:
                tests.append((parts.index(part_name), np.array(part.values(path)) == 0))
        return search.where(lambda columns: np.logical_and.reduce([free[columns[at]] for at, free in tests] or [True]))

    def ask(self, search):
        words = [letter.words for letter in search.network.letters]
        down, up = [words.index(self.down)], [words.index(self.up)]
        keys = self._free(search)
        for ticks in range(1, self.within + 1):
            keys, _ = search.successors(keys, down)
            last = keys
            for _ in range(self.run):
                last, seen = search.successors(last, up, ("after",))
            if seen["after"] == {1}:
                return "", ticks
        return f"SR-07: after {self.within} ticks of DOWN with all well a move to UP is not followed", self.within
