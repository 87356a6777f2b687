"""SR-35, SR-34: a step of the journal in flash allocates nothing, shown on a real MicroPython heap, and writes the same."""

import subprocess
import sys
from pathlib import Path

import pytest

from host_sim.engines import find_interpreter

SCRIPT = Path(__file__).with_name("flashlog_heap.py")
ROOT = SCRIPT.parents[2]


def run(interpreter):
    """{(log, heap): [numbers]} that the script finds under an interpreter."""
    done = subprocess.run([interpreter, SCRIPT, ROOT], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr or done.stdout
    rows = [line.split() for line in done.stdout.splitlines()]
    return {(name, heap): [int(value) for value in rest] for name, heap, *rest in rows}


@pytest.mark.sr("SR-35", "acts")
def test_a_step_allocates_nothing_and_writes_what_it_writes_on_a_pc():
    found = run(find_interpreter())
    for heap in ("free", "locked"):
        grown, erases, saved, crc, lost, failures = found["log", heap]
        assert grown == 0
        assert erases >= 3 and saved > 600 and lost > 0 and failures == 0, "the stretch opens, erases, loses and writes"
    # The control: a pair in one step of a hundred is seen both ways.
    assert found["leaky", "free"][0] > 0
    assert found["leaky", "locked"][0] == -1 or found["leaky", "locked"][5] > 0
    assert run(sys.executable)["log", "free"][1:] == found["log", "free"][1:]
