"""Shared by the parity tests: the MicroPython interpreter, and scripts of this folder under it."""

import subprocess
import sys
from pathlib import Path

import pytest

import controller
from host_sim import board_process
from host_sim.engines import find_interpreter

HERE = Path(__file__).parent
ROOT = Path(controller.__file__).resolve().parent.parent
WIRE = Path(board_process.__file__).resolve().parent
# `hostile.py` runs on both sides and finds `wire` as the worker does.
sys.path[:0] = [str(HERE), str(WIRE)]


class Script:
    """A script of this folder under MicroPython. `lines` waits for its end and gives what it printed."""

    def __init__(self, name, *arguments):
        command = [find_interpreter(), str(HERE / name), str(ROOT), str(WIRE), *map(str, arguments)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    def lines(self):
        """Lines of stdout. AssertionError with stderr where the script failed."""
        out, err = self.process.communicate(timeout=600)
        assert self.process.returncode == 0, err or out
        return out.splitlines()


@pytest.fixture
def micropython():
    """Starts a script: `micropython("name.py", ...)` returns a Script."""
    return Script
