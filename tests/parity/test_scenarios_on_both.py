"""Every shipped scenario: its claims hold, and MicroPython gives every output of every tick as CPython does (SR-36).

The quick suite flies all but the longest and replays the first half minute of each; all of every flight is flown with the
controller in MicroPython in the deep one. `python -m tests.evidence` flies them all.
"""

import atexit
from functools import cache

import pytest
from replay import ReplayEngine, fly_and_keep, replay
from shipped import PATHS, quick_and_deep, shipped, shortest

from controller import codes
from host_sim.claims import judge
from host_sim.flight import fly

HALF_MINUTE_TICKS = 1500


@cache
def micropython_engine():
    """One process for all flights of a test process; it ends with it."""
    engine = ReplayEngine()
    atexit.register(engine.close)
    return engine


@pytest.mark.sr("SR-36", "acts")
@pytest.mark.parametrize("path", quick_and_deep(60), ids=lambda path: path.stem)
def test_claims_hold_and_both_engines_agree(path):
    scenario = shipped(path)
    trace, kept = fly_and_keep(scenario)
    assert [str(verdict) for verdict in judge(scenario, trace) if not verdict.holds] == []
    assert trace.mass_balance_error < 1e-12
    assert replay(kept[:HALF_MINUTE_TICKS], micropython_engine()) == ""


@pytest.mark.sr("SR-36", "acts")
@pytest.mark.parametrize("path", shortest(4), ids=lambda path: path.stem)
def test_closed_loop_on_both_engines_gives_one_trace(path):
    same_trace(shipped(path))


@pytest.mark.deep
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_closed_loop_of_every_scenario(path):
    same_trace(shipped(path))


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
    _, kept = fly_and_keep(shipped(PATHS[0]))
    assert replay(kept[:300], micropython_engine()) == ""
    _, inputs, outputs = kept[201]
    spoilt = outputs[:]
    spoilt[10] ^= 1
    kept[201] = (kept[201][0], inputs, spoilt)
    assert replay(kept[:300], micropython_engine()).startswith("tick 200: gear_command is 1 on CPython and 0 on")
    assert codes.UP == 1
