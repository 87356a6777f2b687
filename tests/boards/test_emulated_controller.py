"""The controller on the emulated board: the same outputs as on a PC, tick by tick, with 32 bits; its memory and time.

On a PC small integers of MicroPython have 63 bits; here they have 31, and what does not fit would become an object on the
heap or a wrong number. Deep: a second of the board takes about twenty of the PC while its processor works.
"""

from array import array
from pathlib import Path

import pytest

from controller.frames import Inputs, Outputs
from host_sim import board_process
from host_sim.board_process import wire
from host_sim.engines import CPythonEngine
from host_sim.flight import Flight
from host_sim.scenario import load_scenario
from tests.boards.emulated import EmulatedBoard
from tests.boards.emulated_files import compiled, controller_files

HERE = Path(__file__).parent
SCENARIOS = Path(board_process.__file__).parents[1] / "scenarios"
WIRE = Path(wire.__file__)
# Enough to wake up, and for the fill of every filter; a flight's events are for the closed loop.
ROWS = 200
TICK_US = 20_000
RAM_BYTES = 264 * 1024
BOOT_FIELDS = ("settings_a", "settings_b", "valve_kind", "servo_down_us", "servo_up_us")


class Recorded(CPythonEngine):
    """The controller on a PC, which keeps what it was given and what it said, as rows of integers."""

    def __init__(self):
        super().__init__()
        self.rows_in, self.rows_out = [], []
        self._put_in = wire.compile_put(wire.layout(Inputs()), 0)
        self._put_out = wire.compile_put(wire.layout(Outputs()), 0)

    def start(self, inputs):
        """Boot; the first row is the boot's."""
        super().start(inputs)
        self.settings = inputs.settings_a, inputs.settings_b
        self.rows_in.append(self._row(self._put_in, inputs, wire.IN_CODE))

    def tick(self, inputs, outputs):
        """One tick."""
        self.rows_in.append(self._row(self._put_in, inputs, wire.IN_CODE))
        super().tick(inputs, outputs)
        self.rows_out.append(self._row(self._put_out, outputs, wire.OUT_CODE))

    @staticmethod
    def _row(put, record, code):
        row = array(code, [0] * wire.n_words(wire.layout(record)))
        put(record, row)
        return row


def recorded(name):
    """A flight of ROWS ticks of a shipped scenario."""
    engine = Recorded()
    flight = Flight(load_scenario(SCENARIOS / f"{name}.yaml"), engine)
    flight.begin()
    while len(engine.rows_out) < ROWS:
        assert flight.step()
    return engine


def played(image, engine):
    """(board, {key: number}) after the board has played the recording."""
    main = (HERE / "board_replay.py").read_text().replace("ROWS_HERE", str(ROWS))
    files = {
        "main.py": main,
        "boot.bin": b"".join(engine.settings),
        "in.bin": b"".join(row.tobytes() for row in engine.rows_in),
        "wire.mpy": compiled(WIRE),
        **controller_files(),
    }
    board = EmulatedBoard(image, files)
    lines = board.run_until_text("done", 10_000_000).splitlines()
    return board, {line.split()[0]: int(line.split()[1]) for line in lines if len(line.split()) == 2}


@pytest.mark.deep
@pytest.mark.parametrize("name", ("slow_leak_gear_up", "everything_fitted_flight"))
def test_the_controller_ticks_on_the_board_as_on_a_pc(image, name):
    engine = recorded(name)
    board, said = played(image, engine)
    print(said)
    assert board.files()["out.bin"] == b"".join(row.tobytes() for row in engine.rows_out)
    assert said["allocated"] == 0
    # Emulated times are on the short side (emulated.py says why): a third of the period has to be left.
    assert said["tick_worst_us"] < TICK_US * 2 // 3
    assert said["free_controller"] > RAM_BYTES // 4
