"""Proof of the mode logic for all facts, all settings and all states that can be reached (z3)."""

import pytest

from . import gear_model
from .gear_model import after, assumptions, build, goals, unknowns
from .proving import Proof
from .symbolic import term


def prove_gear():
    s = unknowns()
    merge = [
        (gear_model.Gear, "_first_refusal"),
        (gear_model.Gear, "_refuse_move"),
        (gear_model.Gear, "_watch_hold"),
        (gear_model.Gear, "_arm"),
    ]
    proof = Proof("gear", assumptions(s), merge, gear_model.ASSUMES)

    def step():
        gear, facts = build(proof.explorer, s)
        command = gear.step(facts)
        return after(s, gear, command, term)

    return proof.run(step, lambda n: goals(s, n))


@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-02", "acts")
@pytest.mark.sr("SR-07", "acts")
@pytest.mark.sr("SR-08", "acts")
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-16", "acts")
def test_gear_for_all_facts():
    proof = prove_gear()
    proof.assert_proved()
