"""Parts wired into one machine, stepped for millions of states at once.

Each move runs real code once for each pair (state of its part, values it reads) that occurs, and never again: the
answer is kept in a table. A tick of the machine is then a row of look-ups, done with numpy for many states together.
That is exact, not an approximation: parts.py makes sure that a step can depend on nothing but that pair.
"""

import numpy as np

from .moves import Signal
from .parts import PoisonRead

MOST_KEYS = 1 << 22
# Combinations of values of a few signals that occur, kept apart by a dense number.
MOST_NUMBERS = 1 << 16


class Restart(Exception):
    """A field has to be followed, or read, that was not: what has been found of its part or move is void."""

    def __init__(self, changed):
        super().__init__()
        self.changed = changed


def grown(array, need, fill=-1):
    """`array`, at least `need` long, doubled as often as it takes."""
    if len(array) >= need:
        return array
    size = len(array)
    while size < need:
        size *= 2
    fresh = np.full(size, fill, array.dtype)
    fresh[: len(array)] = array
    return fresh


class Interner:
    """Non-negative keys below a bound, one after another, to dense numbers."""

    def __init__(self, bound):
        self.table = np.full(bound, -1, np.int32)
        self.count = 0

    def __call__(self, keys):
        numbers = self.table[keys]
        missing = numbers < 0
        if missing.any():
            fresh = np.unique(keys[missing])
            self.table[fresh] = np.arange(self.count, self.count + len(fresh), dtype=np.int32)
            self.count += len(fresh)
            numbers = self.table[keys]
        return numbers


class Table:
    """The look-up tables of one move."""

    def __init__(self, move, signals):
        self.move = move
        self.signals = signals
        # One row for each pair that real code was run for: the pair, and what came of it.
        self.count = 0
        self.states = np.zeros(64, np.int32)
        self.reads = [np.zeros(64, np.int32) for _ in move.reads]
        self.next = np.zeros(64, np.int32)
        self.broken = np.zeros(64, np.int32)
        self.out = {name: np.zeros(64, np.int32) for name in move.writes}
        self.caps = None

    def _fresh_caches(self):
        """Tables sized for the values known now, with what real code has answered so far."""
        self.caps = [max(2, 1 << (len(self.signals[name].values) - 1).bit_length()) for name in self.move.reads]
        self.stages = {}
        self.pairs = np.full((64, 64), -1, np.int32)
        if self.count:
            n = self.count
            env = {name: column[:n] for name, column in zip(self.move.reads, self.reads, strict=True)}
            inputs = self._inputs(env, n)
            self._make_room(len(self.move.part.states), int(inputs.max()) + 1)
            self.pairs[self.states[:n], inputs] = np.arange(n, dtype=np.int32)

    def _inputs(self, env, n):
        """Dense number of what the move reads, for each row."""
        keys, bound = None, 1
        for index, (name, cap) in enumerate(zip(self.move.reads, self.caps, strict=True)):
            codes = env[name]
            if keys is None:
                keys, bound = codes, cap
                continue
            if bound * cap > MOST_KEYS:
                keys, bound = self._stage(index, keys, bound)
            keys = keys * cap + codes
            bound *= cap
        if keys is None:
            return np.zeros(n, np.int32)
        return self._stage("last", keys, bound)[0]

    def _stage(self, index, keys, bound):
        if index not in self.stages:
            self.stages[index] = Interner(bound)
        numbers = self.stages[index](keys)
        assert self.stages[index].count <= MOST_NUMBERS, "too many combinations of what one move reads"
        return numbers, MOST_NUMBERS

    def step(self, states, env, words, used):
        """Next states and what is broken; writes those of the move's signals that are `used` into `env`."""
        reads = self.move.reads
        if self.caps is None or any(
            len(self.signals[name].values) > cap for name, cap in zip(reads, self.caps, strict=True)
        ):
            self._fresh_caches()
        inputs = self._inputs(env, len(states))
        self._make_room(len(self.move.part.states), int(inputs.max()) + 1)
        keys = states.astype(np.int64) * self.pairs.shape[1] + inputs
        flat = self.pairs.reshape(-1)
        entries = flat[keys]
        missing = np.flatnonzero(entries < 0)
        if len(missing):
            _, first = np.unique(keys[missing], return_index=True)
            for row in missing[first]:
                codes = tuple(int(env[name][row]) for name in reads)
                flat[keys[row]] = self._entry(int(states[row]), codes, words)
            entries = flat[keys]
        for name in self.move.writes:
            if name in used:
                env[name] = self.out[name][entries]
        return self.next[entries], (self.broken[entries] if self.move.verdict else None)

    def _make_room(self, n_states, n_inputs):
        rows, columns = self.pairs.shape
        if n_states <= rows and n_inputs <= columns:
            return
        while rows < n_states:
            rows *= 2
        while columns < n_inputs:
            columns *= 2
        pairs = np.full((rows, columns), -1, np.int32)
        pairs[: self.pairs.shape[0], : self.pairs.shape[1]] = self.pairs
        self.pairs = pairs

    def _entry(self, state, codes, words):
        values = [self.signals[name].value_of(code) for name, code in zip(self.move.reads, codes, strict=True)]
        try:
            following, written, verdict = self.move.execute(state, values)
            out = [self.signals[name].code_of(value) for name, value in zip(self.move.writes, written, strict=True)]
        except PoisonRead as read:
            raise Restart(read.cure()) from read
        entry = self.count
        self.count += 1
        if entry == len(self.next):
            self._grow()
        self.states[entry] = state
        self.next[entry] = following
        self.broken[entry] = words.code_of(verdict)
        for column, code in zip(self.reads, codes, strict=True):
            column[entry] = code
        for name, code in zip(self.move.writes, out, strict=True):
            self.out[name][entry] = code
        return entry

    def _grow(self):
        need = self.count + 1
        self.states, self.next = grown(self.states, need), grown(self.next, need)
        self.broken = grown(self.broken, need)
        self.reads = [grown(column, need) for column in self.reads]
        self.out = {name: grown(column, need) for name, column in self.out.items()}


class Letter:
    """One tick's inputs: `words` for people, `values` {signal: value}."""

    def __init__(self, words, **values):
        self.words = words
        self.values = values

    def __or__(self, other):
        joined = ", ".join(words for words in (self.words, other.words) if words)
        letter = Letter(joined)
        letter.values = {**self.values, **other.values}
        return letter


def product(*groups):
    """All combinations of one letter from each group."""
    letters = [Letter("")]
    for group in groups:
        letters = [one | other for one in letters for other in group]
    return letters


class Network:
    """Moves in the order of a tick, and the letters that a tick may bring, the first `n_quiet` of them quiet ones."""

    def __init__(self, name, letters, moves, n_quiet=None):
        self.name = name
        self.letters = letters
        self.n_quiet = n_quiet or len(letters)
        self.moves = moves
        self.parts = list(dict.fromkeys(move.part for move in moves))
        names = {name for letter in letters for name in letter.values}
        for letter in letters:
            assert set(letter.values) == names, f"{name}: '{letter.words}' does not set every input"
        self._inputs = sorted(names)
        owned = {(id(container), key) for part in self.parts for _, container, key, _ in part.slots}
        for move in moves:
            for port in move.ports:
                places = {(id(container), key) for container, key in port.places.values()}
                assert not owned & places, f"{name}: what a port stands for is state of a part as well"
        names = self._inputs + [name for move in moves for name in move.writes]
        self.signals = {name: Signal(name) for name in names}
        self.words = Signal("broken")
        self.words.code_of("")
        for move in moves:
            move.restart()
        self.tables = [Table(move, self.signals) for move in moves]
        self.letter_codes = {
            name: np.array([self.signals[name].code_of(letter.values[name]) for letter in self.letters], np.int32)
            for name in self._inputs
        }

    def restart(self, changed):
        """Forgets what was found of a part or a move that is another one now; the rest stays true."""
        changed.restart()
        for index, move in enumerate(self.moves):
            if changed in (move, move.part):
                self.tables[index] = Table(move, self.signals)

    def scout(self, walkers=256, ticks=(6, 25, 100, 250), seed=1):
        """Flies at random until nothing new turns out to be read, so that the search itself seldom starts again."""
        dice = np.random.default_rng(seed)
        for length in ticks:
            while True:
                try:
                    self._wander(dice, walkers, length)
                    break
                except Restart as restart:
                    self.restart(restart.changed)

    def _wander(self, dice, walkers, ticks):
        columns = [np.zeros(walkers, np.int32) for _ in self.parts]
        n = len(self.letters)
        letters = np.zeros(walkers, np.int32)
        for _ in range(ticks):
            # Letters last a while, as in a flight, and the first ones, which are quiet, come more often.
            change = np.flatnonzero(dice.random(walkers) < 0.4)
            quiet = dice.integers(0, self.n_quiet, len(change))
            letters[change] = np.where(dice.random(len(change)) < 0.8, quiet, dice.integers(0, n, len(change)))
            columns, _, _ = self.step(columns, letters)
            back = dice.random(walkers) < 0.01
            columns = [np.where(back, 0, column) for column in columns]

    def needed(self):
        """How many states each part has by now."""
        return [len(part.states) for part in self.parts]

    def step(self, columns, letters, keep=()):
        """One tick. `columns`: state numbers of each part, arrays of one length; `letters`: a letter's number a row.

        Returns (columns after, codes of what is broken or None where nothing is, {name: codes} of `keep`).
        """
        env = {name: codes[letters] for name, codes in self.letter_codes.items()}
        columns = dict(zip(self.parts, columns, strict=True))
        used = {name for move in self.moves for name in move.reads}.union(keep)
        broken = None
        for table in self.tables:
            part = table.move.part
            columns[part], verdict = table.step(columns[part], env, self.words, used)
            if verdict is not None and (verdict != 1).any():
                broken = verdict if broken is None else np.where(broken != 1, broken, verdict)
        return [columns[part] for part in self.parts], broken, {name: env[name] for name in keep}

    @property
    def pairs_run(self):
        """How often real code was run: pairs of a state and what was read."""
        return sum(table.count for table in self.tables)
