"""The shipped scenarios for tests that need one or all of them: each file is read once a process, not once a test.

To read one takes 20 ms; a scenario is not changed by a flight, so that tests may share it.
"""

from functools import cache

import pytest

from host_sim.scenario import load_scenario, shipped_scenarios

PATHS = shipped_scenarios()


@cache
def shipped(path):
    """Scenario of one of PATHS."""
    return load_scenario(path)


def shortest(n):
    """The n paths with the shortest flights, by the line `lasts` of the files alone; equal ones by name."""
    return sorted(PATHS, key=lambda path: (_lasts_s(path), path.name))[:n]


def quick_and_deep(n):
    """All paths as parameters of a test: the n shortest in the quick suite, the others in the deep one."""
    quick = shortest(n)
    return [path if path in quick else pytest.param(path, marks=pytest.mark.deep) for path in PATHS]


def _lasts_s(path):
    (line,) = (line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("lasts:"))
    _, number, unit = line.split()[:3]
    assert unit == "s", f"{path.name}: {line}"
    return float(number)
