"""Integer stand-ins that run the controller's unmodified source and build z3 terms instead of numbers.

`Explorer.paths(run)` calls `run()` once for each feasible path: every truth value that the source asks for forks the
run, by re-execution with a list of decisions made so far. A path is its condition, a list of z3 terms. Each
intermediate result of an addition, subtraction or product is noted, so that it can be proved to stay below 2**30.
"""

import z3

LIMIT = 1 << 30


def term(value):
    """z3 term of a stand-in or a number."""
    if isinstance(value, Int):
        return value.term
    return z3.IntVal(value)


class Bool:
    """A condition; asking for its truth forks the path."""

    __slots__ = ("explorer", "term")

    def __init__(self, explorer, a_term):
        self.explorer = explorer
        self.term = a_term

    def __bool__(self):
        return self.explorer.decide(self.term)


class Int:
    """An integer that is not known. Supports what the controller's dialect uses, and nothing else."""

    __slots__ = ("explorer", "term")

    def __init__(self, explorer, a_term):
        self.explorer = explorer
        self.term = a_term

    def _result(self, a_term):
        self.explorer.results.append(a_term)
        return Int(self.explorer, a_term)

    def _flag(self, other, a_term):
        # `|` and `&` are used on flags only; that both sides are flags becomes something to prove.
        for side in (self.term, term(other)):
            self.explorer.flags.append(z3.And(side >= 0, side <= 1))
        return Int(self.explorer, a_term)

    def __add__(self, other):
        return self._result(self.term + term(other))

    __radd__ = __add__

    def __sub__(self, other):
        return self._result(self.term - term(other))

    def __rsub__(self, other):
        return self._result(term(other) - self.term)

    def __mul__(self, other):
        return self._result(self.term * term(other))

    __rmul__ = __mul__

    def __neg__(self):
        return self._result(-self.term)

    def __floordiv__(self, other):
        # z3 divides like Python for a positive divisor, which is all that is used.
        if not isinstance(other, Int):
            assert other > 0
        return Int(self.explorer, self.term / term(other))

    def __or__(self, other):
        return self._flag(other, z3.If(z3.Or(self.term == 1, term(other) == 1), z3.IntVal(1), z3.IntVal(0)))

    __ror__ = __or__

    def __and__(self, other):
        return self._flag(other, z3.If(z3.And(self.term == 1, term(other) == 1), z3.IntVal(1), z3.IntVal(0)))

    __rand__ = __and__

    def __eq__(self, other):
        return Bool(self.explorer, self.term == term(other))

    def __ne__(self, other):
        return Bool(self.explorer, self.term != term(other))

    def __lt__(self, other):
        return Bool(self.explorer, self.term < term(other))

    def __le__(self, other):
        return Bool(self.explorer, self.term <= term(other))

    def __gt__(self, other):
        return Bool(self.explorer, self.term > term(other))

    def __ge__(self, other):
        return Bool(self.explorer, self.term >= term(other))

    __hash__ = None

    def __bool__(self):
        raise TypeError("a bare integer was used as a condition")


class Explorer:
    """Enumerates the feasible paths of a run under `assumptions` (z3 terms)."""

    def __init__(self, assumptions):
        self.assumptions = list(assumptions)
        self.solver = z3.Solver()
        self.solver.add(*self.assumptions)
        self.checks = 0
        self.results = []
        self.flags = []
        self._plan = []
        self._taken = []
        self._open = []
        self.condition = []

    def fresh(self, name):
        """An unknown integer, the same term in every path."""
        return Int(self, z3.Int(name))

    def decide(self, condition):
        """Truth of `condition` on this path; the other side is left for later where it is possible too."""
        at = len(self._taken)
        if at < len(self._plan):
            choice = self._plan[at]
        else:
            can_be = self._possible(condition)
            can_not = self._possible(z3.Not(condition))
            if can_be and can_not:
                self._open.append([*self._taken, False])
            choice = can_be
        self._taken.append(choice)
        self.condition.append(condition if choice else z3.Not(condition))
        return choice

    def _possible(self, condition):
        self.checks += 1
        return self.solver.check(*self.condition, condition) != z3.unsat

    def paths(self, run):
        """Yield (condition, outcome of run()) for every feasible path."""
        self._open = [[]]
        while self._open:
            self._plan = self._open.pop()
            self._taken = []
            self.condition = []
            self.results = []
            self.flags = []
            outcome = run()
            yield list(self.condition), outcome


class Proof:
    """Collects paths and goals; `failures` names each goal that does not hold, with a counterexample."""

    def __init__(self, name, assumptions):
        self.name = name
        self.explorer = Explorer(assumptions)
        self.n_paths = 0
        self.n_goals = 0
        self.failures = []
        self._conditions = []
        self._prover = z3.Solver()
        self._prover.add(*self.explorer.assumptions)

    def run(self, step, goals):
        """`step()` runs the source and returns what `goals(outcome)` needs to give {name: z3 term to be proved}."""
        for condition, outcome in self.explorer.paths(step):
            self.n_paths += 1
            self._conditions.append(z3.And(*condition))
            named = dict(goals(outcome))
            if self.explorer.results:
                named["SR-34: intermediates stay below 2**30"] = z3.And(
                    *[z3.And(value > -LIMIT, value < LIMIT) for value in self.explorer.results]
                )
            if self.explorer.flags:
                named["| and & see flags only"] = z3.And(*self.explorer.flags)
            self._prove_all(condition, named)
        self._prove_cover()
        return self

    def _prove_all(self, condition, named):
        self.n_goals += len(named)
        # All at once first: nearly always they hold, and one question is asked instead of many.
        if self._holds(condition, z3.And(*named.values())) is None:
            return
        for name, goal in named.items():
            model = self._holds(condition, goal)
            if model is not None and name not in [known for known, _ in self.failures]:
                self.failures.append((name, model))

    def _holds(self, condition, goal):
        """None when proved, else a counterexample in words."""
        answer = self._prover.check(*condition, z3.Not(goal))
        if answer == z3.unsat:
            return None
        return str(self._prover.model()) if answer == z3.sat else f"not decided: {self._prover.reason_unknown()}"

    def _prove_cover(self):
        """The paths together cover every input that the assumptions allow."""
        self.n_goals += 1
        model = self._holds([], z3.Or(*self._conditions))
        if model is not None:
            self.failures.append(("the paths cover everything", model))

    def assert_proved(self):
        assert self.n_paths > 0
        assert not self.failures, "\n".join(f"{self.name}: {name}\n  {model}" for name, model in self.failures)
