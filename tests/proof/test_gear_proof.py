"""Proof of the mode logic for all facts, all settings and all states that can be reached (z3)."""

from .gear_model import after, assumptions, build, goals, unknowns
from .symbolic import Proof, term


def prove_gear():
    s = unknowns()
    proof = Proof("gear", assumptions(s))

    def step():
        gear, facts = build(proof.explorer, s)
        command = gear.step(facts)
        return after(s, gear, command, term)

    return proof.run(step, lambda n: goals(s, n))


def test_gear_for_all_facts():
    proof = prove_gear()
    print(proof.n_paths, proof.n_goals, proof.explorer.checks)
    proof.assert_proved()
