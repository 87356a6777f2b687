"""What a worker process does: one proof, or one break."""

import time
import traceback

from .breaks import rejected_by
from .registry import PROOFS


class Outcome:
    """What a worker sends back of one proof."""

    def __init__(self, name):
        self.name = name
        self.paths = self.goals = self.bounded = self.lemmas = 0
        self.assumes, self.discharges, self.names, self.seconds = [], set(), set(), 0.0
        self.failures = []


def prove(name):
    """Runs one proof in this process. What is raised, for instance by a source that no longer fits, is a failure."""
    outcome = Outcome(name)
    began = time.process_time()
    try:
        proof = PROOFS[name]()
        outcome.paths, outcome.goals, outcome.bounded = proof.n_paths, proof.n_goals, proof.n_bounded
        outcome.lemmas, outcome.assumes, outcome.names = proof.explorer.lemmas, proof.assumes, proof.names
        outcome.failures = list(proof.failures)
        outcome.discharges = proof.discharges
    except Exception:
        outcome.failures.append(("the proof can be run", traceback.format_exc()))
    outcome.seconds = time.process_time() - began
    return outcome


def try_break(name):
    """(name, goal that rejects it or "", seconds)."""
    began = time.process_time()
    try:
        goal = rejected_by(name)
    except Exception:
        goal = ""
        traceback.print_exc()
    return name, goal, time.process_time() - began
