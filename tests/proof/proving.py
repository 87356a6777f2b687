"""A proof: a run of the source from unknown state and inputs, its goals, and what it takes from other proofs.

A contract is a term that one proof assumes and another one has to prove, word for word: the same function gives the
term on both sides. `contracts.py` holds them; `python -m tests.proof` fails when one is assumed and not proved.
"""

import inspect
import time
from contextlib import ExitStack, contextmanager

import z3

from .explorer import TIMEOUT_MS, Explorer
from .symbolic import LIMIT


@contextmanager
def _merging(explorer, owner, name):
    original = inspect.getattr_static(owner, name)

    def wrapper(*arguments):
        return explorer.merged(arguments, lambda: original(*arguments))

    with replaced(owner, name, wrapper):
        yield


@contextmanager
def replaced(owner, name, function):
    """Within, `owner`.`name` is another function."""
    original = inspect.getattr_static(owner, name)
    setattr(owner, name, function)
    try:
        yield
    finally:
        setattr(owner, name, original)


class Proof:
    """Collects paths and goals; `failures` names each goal that does not hold, with a counterexample."""

    # Part of a goal's name; a proof in which such a goal has failed ends there. For deliberate breaks.
    stop_at = None

    def __init__(self, name, assumptions, merge=(), assumes=()):
        self.name = name
        self.explorer = Explorer(assumptions)
        self.merge = merge
        self.assumes = list(assumes)
        self.discharges = set()
        self.n_paths = 0
        self.n_goals = 0
        self.n_bounded = 0
        self.names = set()
        self.failures = []
        self.seconds = 0.0
        self._conditions = []
        self._lemmas = []
        self._prover = z3.Solver()
        self._prover.set("timeout", TIMEOUT_MS)
        self._prover.add(*self.explorer.assumptions)

    def run(self, step, goals):
        """`step()` runs the source and returns what `goals(outcome)` needs to give {name: z3 term to be proved}."""
        began = time.process_time()
        self._not_vacuous()
        with ExitStack() as stack:
            for owner, name in self.merge:
                stack.enter_context(_merging(self.explorer, owner, name))
            for condition, outcome in self.explorer.paths(step):
                self._one_path(condition, dict(goals(outcome)))
                if self._is_enough():
                    return self
        self._prove_cover()
        self.seconds += time.process_time() - began
        return self

    def _is_enough(self):
        return self.stop_at is not None and any(self.stop_at in name for name, _ in self.failures)

    def _one_path(self, condition, named):
        explorer = self.explorer
        self.n_paths += 1
        facts = list(explorer.facts)
        self._conditions.append(z3.And(*condition))
        self._lemmas += facts
        for key in [key for key in named if key.startswith("contract: ")]:
            self.discharges.add(key.removeprefix("contract: "))
        if explorer.results:
            self.n_bounded += len(explorer.results)
            named["SR-34 intermediates stay below 2**30"] = z3.And(
                *[z3.And(value > -LIMIT, value < LIMIT) for value in explorer.results]
            )
        if explorer.must:
            named["the stand-ins are faithful here"] = z3.And(*explorer.must)
        self._prove_all([*condition, *facts], named)

    def _prove_all(self, condition, named):
        self.n_goals += len(named)
        self.names.update(named)
        # All at once first: nearly always they hold, and one question is asked instead of many.
        if self._holds(condition, z3.And(*named.values())) is None:
            return
        for name, goal in named.items():
            model = self._holds(condition, goal)
            if model is not None and name not in [known for known, _ in self.failures]:
                self.failures.append((name, model))

    def _holds(self, condition, goal):
        """None when proved, else a counterexample in words."""
        self._prover.push()
        self._prover.add(*condition, z3.Not(goal))
        answer = self._prover.check()
        model = None
        if answer == z3.sat:
            model = str(self._prover.model())
        elif answer != z3.unsat:
            model = f"not decided: {self._prover.reason_unknown()}"
        self._prover.pop()
        return model

    def _not_vacuous(self):
        """Assumptions that contradict each other would prove anything."""
        self.n_goals += 1
        if self._prover.check() != z3.sat:
            self.failures.append(("the assumptions can be met", "no state and input meets them"))

    def _prove_cover(self):
        """The paths together cover every input that the assumptions allow."""
        self.n_goals += 1
        model = self._holds(self._lemmas, z3.Or(*self._conditions))
        if model is not None:
            self.failures.append(("the paths cover everything", model))

    def assert_proved(self):
        assert self.n_paths > 0
        assert not self.failures, "\n".join(f"{self.name}: {name}\n  {model}" for name, model in self.failures)
