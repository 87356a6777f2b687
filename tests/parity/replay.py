"""A flight on CPython with everything that went in and out of the controller kept, and its replay on MicroPython.

The two loops are equal when every output of every tick is: by induction the air system then sees the same commands, and
the controller the same inputs. A replay costs a tick instead of a flight.
"""

from array import array

from controller.frames import Inputs, Outputs
from host_sim.board_process import wire
from host_sim.engines import CPythonEngine
from host_sim.flight import fly

ROWS_IN = wire.layout(Inputs())
ROWS_OUT = wire.layout(Outputs())
PUT_IN = wire.compile_put(ROWS_IN, 0)
TAKE_IN = wire.compile_take(ROWS_IN, 0)
PUT_OUT = wire.compile_put(ROWS_OUT, 0)
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


def replay(kept, engine):
    """Play `kept` into an engine; returns "" or one line that names the first tick and field that differ."""
    names = wire_names(ROWS_OUT)
    inputs, outputs = Inputs(), Outputs()
    got = array(wire.OUT_CODE, [0] * wire.n_words(ROWS_OUT))
    tick = 0
    for operation, words_in, rest in kept:
        if operation == wire.OP_START:
            inputs, outputs = Inputs(), Outputs()
            TAKE_IN(inputs, words_in)
            for name, data in rest.items():
                setattr(inputs, name, data)
            engine.restart()
            engine.start(inputs)
            continue
        TAKE_IN(inputs, words_in)
        engine.tick(inputs, outputs)
        PUT_OUT(outputs, got)
        if got != rest:
            name, a, b = next(row for row in zip(names, rest, got, strict=True) if row[1] != row[2])
            return f"tick {tick}: {name} is {a} on CPython and {b} on {engine.name}"
        tick += 1
    return ""


def wire_names(rows):
    """One name a word: "latched[3]" for the members of a list."""
    names = []
    for name, n in rows:
        names += [f"{name}[{index}]" for index in range(n)] if n > 0 else [name]
    return names
