"""Scenario files as text, the command run in this process, and two flights that many tests look at."""

import pytest

from host_sim.cli import main
from host_sim.flights import fly_one
from host_sim.scenario import SCENARIO_DIR, load_scenario

SHORT = """\
title: Up and down again
story: The pilot puts the gear up and down again, and nothing breaks.
aircraft: curlew24.yaml
seed: 5
lasts: 12 s
covers: [SR-02 acts, SR-08 spares]
start: {tank: 7.2 bar, gear: down}
beats:
  - {at: 0 s, switch: down, throttle: 0 %, brake: 0 %, light: off, ground: no}
  - {at: 3 s, throttle: 60 %, over: 1 s}
  - {at: 4 s, switch: up}
  - {at: 8 s, switch: down}
claims:
  - {by: 4.5 s, is: {gear_command: up}}
  - {at: end, is: {gear_command: down, true_locked: yes}}
"""


@pytest.fixture
def scenario_file(tmp_path):
    """Writes the short scenario, with texts replaced, and gives its path."""

    def write(*replacements, name="short.yaml"):
        text = SHORT
        for old, new in replacements:
            assert old in text, old
            text = text.replace(old, new)
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def run(capsys):
    """Runs the command: run("fly", path) -> (status, stdout, stderr)."""

    def call(*arguments):
        status = main([str(argument) for argument in arguments])
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return call


@pytest.fixture(scope="session")
def leak():
    """Flown of the shipped slow leak, pressures in psi."""
    return fly_one(load_scenario(SCENARIO_DIR / "slow_leak_gear_up.yaml"), "cpython", "psi")
