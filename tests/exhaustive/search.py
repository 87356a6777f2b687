"""Breadth-first search over a Network: every reachable state, the shortest way to a broken sentence, liveness."""

import time

import numpy as np

from .network import Restart

CHUNK = 1 << 19
CACHE_BITS = 21


class TooLarge(Exception):
    """More states than allowed: the search is not complete and says so."""


class Packer:
    """State numbers of all parts as one 63-bit key. Grows with the parts; keys made before are packed again."""

    def __init__(self, n_parts):
        self.radix = [1] * n_parts

    def fits(self, needed):
        return all(need <= radix for need, radix in zip(needed, self.radix, strict=True))

    def grow(self, needed):
        self.radix = [
            radix if need <= radix else max(need + need // 4 + 1, 2)
            for need, radix in zip(needed, self.radix, strict=True)
        ]
        size = 1
        for radix in self.radix:
            size *= radix
        if size >= 1 << 63:
            raise TooLarge(f"a state no longer fits 63 bits: parts {needed}")

    def pack(self, columns):
        keys = columns[0].astype(np.int64)
        for column, radix in zip(columns[1:], self.radix[1:], strict=True):
            keys = keys * radix + column
        return keys

    def unpack(self, keys):
        columns = []
        for radix in reversed(self.radix[1:]):
            keys, column = np.divmod(keys, radix)
            columns.append(column.astype(np.int32))
        return [keys.astype(np.int32), *reversed(columns)]


class Violation:
    """What is broken, and the shortest trace of letters that leads there."""

    def __init__(self, what, letters):
        self.what = what
        self.letters = letters

    def lines(self):
        """In plain words, equal ticks in a row joined."""
        out, at = [self.what, "shortest way there, from power-on:"], 0
        while at < len(self.letters):
            last = at
            while last + 1 < len(self.letters) and self.letters[last + 1] == self.letters[at]:
                last += 1
            when = f"tick {at + 1}" if last == at else f"ticks {at + 1} to {last + 1}"
            out.append(f"  {when}: {self.letters[at]}")
            at = last + 1
        return out


class Search:
    """`run` finds all states; afterwards `levels` holds them, and liveness can be asked."""

    def __init__(self, network, most_states=None, most_levels=None, progress=None):
        self.network = network
        self.progress = progress
        self.most_states = most_states
        self.most_levels = most_levels
        self.complete = True
        self.seconds = 0.0
        self.restarts = 0

    def run(self):
        """The search; returns a list of Violation, one for each different sentence broken in the first bad level."""
        began = time.perf_counter()
        self.network.scout()
        while True:
            try:
                found = self._run()
                break
            except Restart as restart:
                self.restarts += 1
                self.network.restart(restart.changed)
        self.seconds = time.perf_counter() - began
        return found

    def _run(self):
        self.packer = Packer(len(self.network.parts))
        self.packer.grow(self.network.needed())
        boot = self.packer.pack([np.zeros(1, np.int32) for _ in self.network.parts])
        self.levels = [boot]
        self._parents = [np.zeros(1, np.int64)]
        self._letters = [np.zeros(1, np.int32)]
        self.visited = boot.copy()
        self.transitions = 0
        self._cache = np.full(1 << CACHE_BITS, -1, np.int64)
        base = 0
        while len(self.levels[-1]):
            if self.most_levels is not None and len(self.levels) > self.most_levels:
                self.complete = False
                break
            found = self._level(base)
            if found:
                return found
            base += len(self.levels[-2])
            if self.progress:
                self.progress(self)
            if self.most_states is not None and len(self.visited) > self.most_states:
                self.complete = False
                break
        if not len(self.levels[-1]):
            self.levels.pop()
        return []

    def _level(self, base):
        """Everything one tick after the last level; violations end the search."""
        n_letters = len(self.network.letters)
        rows = max(1, CHUNK // n_letters)
        frontier = len(self.levels[-1])
        bad, keys, parents, letters = {}, [], [], []
        for start in range(0, frontier, rows):
            n = min(rows, frontier - start)
            columns = self.packer.unpack(self.levels[-1][start : start + n])
            letter = np.tile(np.arange(n_letters, dtype=np.int32), n)
            after, broken, _ = self.network.step([np.repeat(column, n_letters) for column in columns], letter)
            self.transitions += len(letter)
            if broken is not None:
                self._collect(bad, broken, base + start, n_letters)
            old = self.packer.radix
            fresh = self._pack(after, keys)
            if self.packer.radix is not old:
                self._cache[:] = -1
            found, at = self._new(fresh)
            keys.append(found)
            parents.append(base + start + at // n_letters)
            letters.append(letter[at])
        if bad:
            return [self._violation(code, *where) for code, where in sorted(bad.items())]
        self._close(np.concatenate(keys), np.concatenate(parents), np.concatenate(letters))
        return []

    def _pack(self, columns, pending):
        needed = self.network.needed()
        if not self.packer.fits(needed):
            old = Packer(len(needed))
            old.radix = self.packer.radix
            self.packer.grow(needed)
            self.levels = [self.packer.pack(old.unpack(level)) for level in self.levels]
            # Packing keeps the order of keys, so what was sorted stays sorted.
            self.visited = self.packer.pack(old.unpack(self.visited))
            pending[:] = [self.packer.pack(old.unpack(some)) for some in pending]
        return self.packer.pack(columns)

    def _new(self, keys):
        """(keys not known, index of their first row). Most have been seen a moment ago: those go first."""
        place = (keys * np.int64(-7046029254386353131)) >> np.int64(64 - CACHE_BITS)
        place &= (1 << CACHE_BITS) - 1
        maybe = np.flatnonzero(self._cache[place] != keys)
        keys = keys[maybe]
        self._cache[place[maybe]] = keys
        unique, first = np.unique(keys, return_index=True)
        at = np.searchsorted(self.visited, unique)
        at[at == len(self.visited)] = 0
        fresh = self.visited[at] != unique
        return unique[fresh], maybe[first[fresh]]

    def _close(self, keys, parents, letters):
        unique, first = np.unique(keys, return_index=True)
        self.levels.append(unique)
        self._parents.append(parents[first])
        self._letters.append(letters[first])
        self.visited = np.insert(self.visited, np.searchsorted(self.visited, unique), unique)

    def _collect(self, bad, broken, base, n_letters):
        for code in np.unique(broken[broken != 1]):
            if code not in bad:
                row = int(np.flatnonzero(broken == code)[0])
                bad[code] = (base + row // n_letters, row % n_letters)

    def _violation(self, code, parent, letter):
        return Violation(self.network.words.values[code], [*self.trace(parent), self.network.letters[letter].words])

    def traces(self, numbers):
        """Letters' numbers from boot to each of the states with these numbers, in order of discovery."""
        parents, letters = np.concatenate(self._parents), np.concatenate(self._letters)
        found = []
        for number in numbers:
            taken = []
            while number != 0:
                taken.append(int(letters[number]))
                number = int(parents[number])
            found.append(taken[::-1])
        return found

    def trace(self, number):
        return [self.network.letters[letter].words for letter in self.traces([number])[0]]

    # after a search

    def successors(self, keys, letters, keep=()):
        """Unique keys one tick after `keys` under letters' numbers `letters`; {name: values seen} of `keep`."""
        letters = np.asarray(letters, np.int32)
        rows = max(1, CHUNK // len(letters))
        found, seen = [], {name: set() for name in keep}
        for start in range(0, len(keys), rows):
            some = keys[start : start + rows]
            columns = [np.repeat(column, len(letters)) for column in self.packer.unpack(some)]
            after, _, kept = self.network.step(columns, np.tile(letters, len(some)), keep)
            if not self.packer.fits(self.network.needed()):
                raise TooLarge("liveness left the states that the search had found")
            found.append(np.unique(self.packer.pack(after)))
            for name, codes in kept.items():
                seen[name] |= {self.network.signals[name].values[code] for code in np.unique(codes)}
        return np.unique(np.concatenate(found)), seen

    def where(self, test):
        """Keys of all states for which `test(columns)` is true; columns in the order of the network's parts."""
        keys = self.visited
        chunks = [keys[start : start + CHUNK] for start in range(0, len(keys), CHUNK)]
        return np.concatenate([some[np.broadcast_to(test(self.packer.unpack(some)), len(some))] for some in chunks])

    @property
    def states(self):
        return len(self.visited)
