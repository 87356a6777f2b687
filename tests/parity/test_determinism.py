"""One scenario and one seed give one CSV, byte for byte, in any process; another seed gives another."""

import dataclasses
import hashlib
import os
import subprocess
import sys

import pytest
from shipped import shortest

from host_sim.flight import fly
from host_sim.scenario import SCENARIO_DIR, load_scenario

(PATH,) = shortest(1)
FLY = """
import hashlib, sys
from host_sim.flight import fly
from host_sim.scenario import load_scenario
print(hashlib.sha256(fly(load_scenario(sys.argv[1])).csv_text().encode()).hexdigest())
"""


def digest(scenario):
    return hashlib.sha256(fly(scenario).csv_text().encode()).hexdigest()


def test_the_same_flight_twice_and_in_other_processes():
    scenario = load_scenario(PATH)
    own = digest(scenario)
    assert digest(load_scenario(PATH)) == own
    for hash_seed in ("1", "4242"):
        environment = {**os.environ, "PYTHONHASHSEED": hash_seed}
        ran = subprocess.run(
            [sys.executable, "-c", FLY, str(PATH)],
            env=environment,
            capture_output=True,
            text=True,
            check=True,
            cwd=SCENARIO_DIR.parent.parent,
        )
        assert ran.stdout.strip() == own


def test_another_seed_is_another_flight():
    scenario = load_scenario(PATH)
    assert digest(dataclasses.replace(scenario, seed=scenario.seed + 1)) != digest(scenario)


@pytest.mark.parametrize("name", ["random", "time"])
def test_the_global_generator_and_the_clock_are_not_asked(monkeypatch, name):
    import random
    import time

    def refuse(*_):
        raise AssertionError(f"{name} was asked")

    if name == "random":
        for function in ("random", "gauss", "uniform", "randint", "choice", "seed"):
            monkeypatch.setattr(random, function, refuse)
    else:
        for function in ("time", "monotonic", "perf_counter"):
            monkeypatch.setattr(time, function, refuse)
    trace = fly(dataclasses.replace(load_scenario(PATH), duration_s=2.0))
    assert len(trace.rows) > 50
