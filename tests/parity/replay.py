"""A flight on CPython with everything that went in and out of the controller kept, and its replay on MicroPython.

The two loops are equal when every output of every tick is: by induction the air system then sees the same commands, and
the controller the same inputs. A replay costs a tick instead of a flight.
"""

from array import array
from itertools import islice, takewhile

from controller.frames import Inputs, Outputs
from host_sim.board_process import wire
from host_sim.engines import CPythonEngine, MicroPythonEngine
from host_sim.flight import fly

ROWS_IN = wire.layout(Inputs())
ROWS_OUT = wire.layout(Outputs())
PUT_IN = wire.compile_put(ROWS_IN, 0)
TAKE_IN = wire.compile_take(ROWS_IN, 0)
PUT_OUT = wire.compile_put(ROWS_OUT, 0)
TICK = array(wire.IN_CODE, [wire.OP_TICK]).tobytes()
GOOD = array(wire.OUT_CODE, [0]).tobytes()
ANSWER_BYTES = len(GOOD) * (1 + wire.n_words(ROWS_OUT))
# Half of what a pipe holds: questions never wait for answers to be taken away.
AT_ONCE = 32_768 // (len(TICK) * (1 + wire.n_words(ROWS_IN)))
BOOT_FIELDS = wire.byte_fields(ROWS_IN)


class KeepingEngine(CPythonEngine):
    """CPython, with a list of (operation, inputs, outputs) rows as bytes; a start has its bytes fields as a dict."""

    def __init__(self):
        super().__init__()
        self.kept = []
        self._in = array(wire.IN_CODE, [0] * wire.n_words(ROWS_IN))
        self._out = array(wire.OUT_CODE, [0] * wire.n_words(ROWS_OUT))

    def start(self, inputs):
        """Keep the boot fields."""
        PUT_IN(inputs, self._in)
        self.kept.append((wire.OP_START, self._in[:], {name: getattr(inputs, name) for name in BOOT_FIELDS}))
        super().start(inputs)

    def tick(self, inputs, outputs):
        """Keep inputs and outputs."""
        PUT_IN(inputs, self._in)
        super().tick(inputs, outputs)
        PUT_OUT(outputs, self._out)
        self.kept.append((wire.OP_TICK, self._in[:], self._out[:]))


def fly_and_keep(scenario):
    """(trace, kept) of a flight on CPython."""
    engine = KeepingEngine()
    return fly(scenario, engine), engine.kept


class ReplayEngine(MicroPythonEngine):
    """MicroPython that is given many ticks at once: a replay needs no answer before the next question."""

    def exchange(self, rows):
        """Answers, as bytes, to the (operation, inputs, outputs) rows of some ticks."""
        self._write(b"".join(TICK + words_in.tobytes() for _, words_in, _ in rows))
        return self._read(len(rows) * ANSWER_BYTES)


def replay(kept, engine):
    """Play `kept` into a ReplayEngine; returns "" or one line that names the first tick and field that differ."""
    tick = at = 0
    while at < len(kept):
        operation, words_in, rest = kept[at]
        if operation == wire.OP_START:
            inputs = Inputs()
            TAKE_IN(inputs, words_in)
            for name, data in rest.items():
                setattr(inputs, name, data)
            engine.restart()
            engine.start(inputs)
            at += 1
            continue
        rows = list(takewhile(lambda row: row[0] == wire.OP_TICK, islice(kept, at, at + AT_ONCE)))
        got = engine.exchange(rows)
        if got != b"".join(GOOD + words_out.tobytes() for _, _, words_out in rows):
            return first_difference(rows, got, tick, engine.name)
        at += len(rows)
        tick += len(rows)
    return ""


def first_difference(rows, got, tick, name_of_engine):
    """One line; `got` are the answers to `rows`, the first of which is of that tick."""
    names = wire_names(ROWS_OUT)
    for number, (_, _, words_out) in enumerate(rows):
        words = array(wire.OUT_CODE)
        words.frombytes(got[number * ANSWER_BYTES : (number + 1) * ANSWER_BYTES])
        if words[0] != 0:
            return f"tick {tick + number}: no answer from {name_of_engine}; something in the controller prints"
        for name, a, b in zip(names, words_out, words[1:], strict=True):
            if a != b:
                return f"tick {tick + number}: {name} is {a} on CPython and {b} on {name_of_engine}"
    return f"tick {tick}: the answers differ but no output does"


def wire_names(rows):
    """One name a word: "latched[3]" for the members of a list."""
    names = []
    for name, n in rows:
        names += [f"{name}[{index}]" for index in range(n)] if n > 0 else [name]
    return names
