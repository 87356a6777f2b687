"""Models of the timers of persist.py: unknown state, observers written from SR-17 and SR-02, the tie between the two.

yes   how often the condition was seen since it last was clear for `heal` ticks without a break (SR-17)
no    ticks that its opposite has been seen without a break
run   ticks that a permit has been seen without a break (SR-02)
"""

import z3

from controller.codes import NO, YES
from controller.persist import Persist, Steady

from .contracts import ticks
from .symbolic import term


class PersistModel:
    """A Persist whose state, times and history are unknown."""

    def __init__(self, name, heal=None):
        self.name = name
        self.count, self.clear, self.yes, self.no = (
            z3.Int(f"{name}_{part}") for part in ("count", "clear", "yes", "no")
        )
        self.need = z3.Int(f"{name}_need")
        self.heal = z3.Int(f"{name}_heal") if heal is None else heal
        self.assumptions = [ticks(self.need, self.heal), self._tie(self.count, self.clear, self.yes, self.no)]

    def build(self, explorer):
        timer = Persist.__new__(Persist)
        timer.count, timer.clear = explorer.fresh(str(self.count)), explorer.fresh(str(self.clear))
        timer.need, timer.heal = explorer.fresh(str(self.need)), explorer.fresh(str(self.heal))
        return timer

    def _tie(self, count, clear, yes, no):
        return z3.And(
            yes >= 0,
            no >= 0,
            count == z3.If(yes < self.need, yes, self.need),
            clear == z3.If(no < self.heal, no, self.heal),
            z3.Implies(no >= self.heal, yes == 0),
        )

    def observe(self, fact):
        """(yes, no) after a tick in which `fact` was seen."""
        no = z3.If(fact == NO, self.no + 1, 0)
        yes = z3.If(no >= self.heal, 0, z3.If(fact == YES, self.yes + 1, self.yes))
        return yes, no

    def tied(self, timer, yes, no):
        """The invariant after the tick."""
        return self._tie(term(timer.count), term(timer.clear), yes, no)


class SteadyModel:
    """A Steady whose state, time and history are unknown."""

    def __init__(self, name, need=None):
        self.count, self.run = z3.Int(f"{name}_count"), z3.Int(f"{name}_run")
        self.need = z3.Int(f"{name}_need") if need is None else need
        self.assumptions = [ticks(self.need), self._tie(self.count, self.run)]

    def build(self, explorer):
        timer = Steady.__new__(Steady)
        timer.count, timer.need = explorer.fresh(str(self.count)), explorer.fresh(str(self.need))
        return timer

    def _tie(self, count, run):
        return z3.And(run >= 0, count == z3.If(run < self.need, run, self.need))

    def observe(self, fact):
        return z3.If(fact == YES, self.run + 1, 0)

    def tied(self, timer, run):
        return self._tie(term(timer.count), run)
