"""Enumerates the feasible paths of a run of the source, and merges those of a call into one where asked.

`paths(run)` calls `run()` once for each feasible path: every truth value that the source asks for forks the run, by
re-execution with a list of decisions made so far. A path is its condition, a list of z3 terms.

`merged(roots, call)` explores all paths of `call()` by themselves and goes on with one: every integer reachable from
`roots`, and the value returned, become if-then-else terms over the conditions. Nothing is lost by that; it keeps the
number of paths a sum instead of a product.
"""

import time

import z3

from .lemmas import Nonlinear
from .symbolic import Int, Ring, term

# A question not answered by then counts as one that failed.
TIMEOUT_MS = 60000
# A proof of the unmodified source takes seconds; one that has not ended by then has failed.
MOST_SECONDS = 300
# Objects of these modules are walked for state: the controller's, plain records, and the proofs' own stand-ins.
WALKED = ("controller", "types", __package__)


def cells(roots):
    """[(holder, key)] of every integer and ring reachable from `roots`, in an order that depends on structure only."""
    found, seen, todo = [], set(), list(roots)
    while todo:
        holder = todo.pop(0)
        if id(holder) in seen:
            continue
        seen.add(id(holder))
        if isinstance(holder, (Explorer, Int, str, bytes)) or callable(holder):
            continue
        if isinstance(holder, (list, tuple)):
            keys = range(len(holder))
        else:
            slots = [name for kind in type(holder).__mro__ for name in getattr(kind, "__slots__", ())]
            keys = [name for name in (*slots, *getattr(holder, "__dict__", ())) if hasattr(holder, name)]
        for key in keys:
            value = get(holder, key)
            if isinstance(value, (int, Int, Ring)):
                if not isinstance(holder, tuple):
                    found.append((holder, key))
            elif isinstance(value, (list, tuple)) or type(value).__module__.startswith(WALKED):
                todo.append(value)
    return found


def get(holder, key):
    return holder[key] if isinstance(holder, (list, tuple)) else getattr(holder, key)


def put(holder, key, value):
    if isinstance(holder, list):
        holder[key] = value
    else:
        setattr(holder, key, value)


def same(a, b):
    if isinstance(a, int) and isinstance(b, int):
        return a == b
    if a is None or b is None:
        return a is b
    return not isinstance(a, Ring) and term(a).eq(term(b))


class Explorer(Nonlinear):
    """`results` are intermediates that have to stay small, `must` are terms that have to hold for the stand-ins to be
    faithful, `facts` are lemmas that hold; each of them is guarded by the condition under which it arose."""

    def __init__(self, assumptions):
        self.assumptions = list(assumptions)
        self.solver = z3.Solver()
        self.solver.set("timeout", TIMEOUT_MS)
        self.solver.add(*self.assumptions)
        self.checks = 0
        self._until = time.process_time() + MOST_SECONDS
        self.lemmas = 0
        self.results, self.must, self.facts = [], [], []
        self.condition = []
        self._context, self._asserted = [], []
        self._plan, self._taken, self._open = [], [], []
        self._calls = 0
        self._done = {}
        self._learnt = {}
        self._outer = ()

    def fresh(self, name):
        """An unknown integer, the same term in every path."""
        return Int(self, z3.Int(name))

    def decide(self, condition):
        """Truth of `condition` on this path; the other side is left for later where it is possible too."""
        plain = z3.simplify(condition)
        if z3.is_true(plain) or z3.is_false(plain):
            return z3.is_true(plain)
        at = len(self._taken)
        if at < len(self._plan):
            choice = self._plan[at]
        else:
            can_be = self._is_possible(condition)
            can_not = not can_be or self._is_possible(z3.Not(condition))
            if can_be and can_not:
                self._open.append([*self._taken, False])
            choice = can_be
        self._taken.append(choice)
        self.condition.append(condition if choice else z3.Not(condition))
        self._context.append(self.condition[-1])
        return choice

    def check(self, condition):
        """z3's answer to: is `condition` possible on this path?"""
        self.checks += 1
        if time.process_time() > self._until:
            raise TimeoutError(f"not decided after {MOST_SECONDS} s")
        common = 0
        for asserted, wanted in zip(self._asserted, self._context, strict=False):
            if asserted is not wanted and not asserted.eq(wanted):
                break
            common += 1
        if common < len(self._asserted):
            self.solver.pop(len(self._asserted) - common)
            del self._asserted[common:]
        for wanted in self._context[common:]:
            self.solver.push()
            self.solver.add(wanted)
            self._asserted.append(wanted)
        return self.solver.check(condition)

    def paths(self, run):
        """Yield (condition, outcome of run()) for every feasible path."""
        self._open = [[]]
        while self._open:
            self._plan = self._open.pop()
            self._taken = []
            self._calls = 0
            self.condition, self._context = [], []
            self.results, self.must, self.facts = [], [], []
            outcome = run()
            yield list(self.condition), outcome

    def merged(self, roots, call):
        """Value of `call()`, all of its paths in one."""
        self._calls += 1
        key = (self._outer, tuple(self._taken), self._calls)
        where = cells(roots)
        if key not in self._done:
            self._done[key] = self._explore(key, where, roots, call)
        value, values, results, must, facts = self._done[key]
        for (holder, name), new in zip(where, values, strict=True):
            if isinstance(new, Ring):
                get(holder, name).term = new.term
            elif get(holder, name) is not new:
                put(holder, name, new)
        self.results += results
        self.must += must
        self.know(facts)
        return value

    def know(self, facts):
        self.facts += facts
        self._context += facts

    def _same_cells(self, where, roots):
        after = cells(roots)
        if [(id(holder), key) for holder, key in where] != [(id(holder), key) for holder, key in after]:
            raise TypeError("a call that makes new fields cannot be merged")

    def _explore(self, key, where, roots, call):
        names = ("_plan", "_taken", "_open", "_calls", "condition", "_context", "results", "must", "facts", "_outer")
        kept = {name: getattr(self, name) for name in names}
        before = [self._held(holder, name) for holder, name in where]
        outcomes = []
        self._open = [[]]
        self._outer = key
        while self._open:
            self._plan = self._open.pop()
            self._taken, self._calls = [], 0
            self.condition, self._context = list(kept["condition"]), list(kept["_context"])
            self.results, self.must, self.facts = [], [], list(kept["facts"])
            self._restore(where, before)
            value = call()
            local = z3.And(*self.condition[len(kept["condition"]) :])
            self._same_cells(where, roots)
            after = [self._held(holder, name) for holder, name in where]
            facts = self.facts[len(kept["facts"]) :]
            outcomes.append((local, value, after, self.results, self.must, facts))
        self._restore(where, before)
        for name, value in kept.items():
            setattr(self, name, value)
        return self._join(outcomes)

    def _held(self, holder, name):
        value = get(holder, name)
        return value.with_term(value.term) if isinstance(value, Ring) else value

    def _restore(self, where, before):
        for (holder, name), value in zip(where, before, strict=True):
            if isinstance(value, Ring):
                get(holder, name).term = value.term
            else:
                put(holder, name, value)

    def _join(self, outcomes):
        if len(outcomes) == 1:
            return outcomes[0][1:]
        conditions = [outcome[0] for outcome in outcomes]
        value = self._choice(conditions, [outcome[1] for outcome in outcomes])
        columns = zip(*[outcome[2] for outcome in outcomes], strict=True)
        values = [self._choice(conditions, column) for column in columns]
        results = [z3.If(outcome[0], item, 0) for outcome in outcomes for item in outcome[3]]
        must = [z3.Implies(outcome[0], item) for outcome in outcomes for item in outcome[4]]
        facts = list({item.get_id(): item for outcome in outcomes for item in outcome[5]}.values())
        return value, values, results, must, facts

    def _choice(self, conditions, values):
        first = values[0]
        if all(same(first, value) for value in values):
            return first
        if isinstance(first, tuple):
            return tuple(self._choice(conditions, column) for column in zip(*values, strict=True))
        if isinstance(first, Ring):
            joined = values[-1].term
        else:
            joined = term(values[-1])
        for condition, value in reversed(list(zip(conditions[:-1], values[:-1], strict=True))):
            joined = z3.If(condition, value.term if isinstance(value, Ring) else term(value), joined)
        if isinstance(first, Ring):
            return first.with_term(joined)
        return Int(self, joined)
