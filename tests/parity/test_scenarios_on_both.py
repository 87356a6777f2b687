"""Every shipped scenario: its claims hold, and MicroPython gives every output of every tick as CPython does (SR-36)."""

import atexit
from functools import cache

import pytest
from replay import fly_and_keep, replay

from controller import codes
from host_sim.claims import judge
from host_sim.engines import MicroPythonEngine
from host_sim.flight import fly
from host_sim.scenario import load_scenario, shipped_scenarios

SCENARIOS = shipped_scenarios()
CLOSED_LOOP = sorted(SCENARIOS, key=lambda path: load_scenario(path).duration_s)[:4]


@cache
def micropython_engine():
    """One process for all flights of a test process; it ends with it."""
    engine = MicroPythonEngine()
    atexit.register(engine.close)
    return engine


@pytest.mark.sr("SR-36", "acts")
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_claims_hold_and_both_engines_agree(path):
    scenario = load_scenario(path)
    trace, kept = fly_and_keep(scenario)
    assert [str(verdict) for verdict in judge(scenario, trace) if not verdict.holds] == []
    assert trace.mass_balance_error < 1e-12
    assert replay(kept, micropython_engine()) == ""


@pytest.mark.sr("SR-36", "acts")
@pytest.mark.parametrize("path", CLOSED_LOOP, ids=lambda path: path.stem)
def test_closed_loop_on_both_engines_gives_one_trace(path):
    same_trace(load_scenario(path))


@pytest.mark.deep
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_closed_loop_of_every_scenario(path):
    same_trace(load_scenario(path))


def same_trace(scenario):
    """Flown with the controller in each engine: every column of every row is equal."""
    own = fly(scenario)
    other = fly(scenario, micropython_engine())
    assert len(own.rows) == len(other.rows) > 0
    for number, (a, b) in enumerate(zip(own.rows, other.rows, strict=True)):
        assert a == b, f"row {number}"
    assert own.resets == other.resets
    assert own.csv_text() == other.csv_text()


def test_a_replay_names_the_first_field_that_differs():
    """A control: one output spoilt in the kept flight is found and named."""
    _, kept = fly_and_keep(load_scenario(SCENARIOS[0]))
    assert replay(kept[:300], micropython_engine()) == ""
    _, inputs, outputs = kept[201]
    spoilt = outputs[:]
    spoilt[10] ^= 1
    kept[201] = (kept[201][0], inputs, spoilt)
    assert replay(kept[:300], micropython_engine()).startswith("tick 200: gear_command is 1 on CPython and 0 on")
    assert codes.UP == 1
