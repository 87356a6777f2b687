"""slopes.py, for any sensor and any window (SR-04, SR-34).

One pushed value is followed through the ring, whichever it is: o_value, pushed o_age pushes ago into place o_place. What
holds for any one of them holds for all, so that `oldest` is proved to be the value of exactly `need` ticks ago.
o_kept   pushes since the window was restarted
"""

from types import SimpleNamespace

import z3

from controller.slopes import Slope, Window

from . import contracts
from .contracts import MOST_MBAR, flags, within
from .proving import Proof
from .symbolic import Ring, term

PAUSE = 5
MOST_SMOOTH = 16 * MOST_MBAR
STATE = "at filled need full oldest o_value o_age o_place o_kept".split()


class WindowModel:
    def __init__(self, name):
        self.name = name
        self.s = SimpleNamespace(**{part: z3.Int(f"{name}_{part}") for part in STATE})
        self.s.ring = z3.Array(f"{name}_ring", z3.IntSort(), z3.IntSort())
        self.rules = [contracts.ticks(self.s.need)]

    def build(self, explorer):
        window = Window.__new__(Window)
        fresh = lambda part: explorer.fresh(f"{self.name}_{part}")  # noqa: E731
        window._need, window._at, window._filled = fresh("need"), fresh("at"), fresh("filled")
        window.full, window.oldest = fresh("full"), fresh("oldest")
        window._ring = Ring(explorer, self.s.ring, window._need)
        return window

    def invariant(self, n):
        need = self.s.need
        inside = z3.And(n.o_age >= 1, n.o_age <= need)
        # where the followed value lies: `o_age` places behind the next one to be written
        place = z3.If(n.at >= n.o_age, n.at - n.o_age, n.at - n.o_age + need)
        return z3.And(
            within(0, n.at, need - 1),
            flags(n.full),
            n.o_kept >= 0,
            n.filled == z3.If(n.o_kept < need, n.o_kept, need),
            z3.Implies(n.full == 1, n.o_kept > need),
            n.o_age >= 1,
            within(-MOST_SMOOTH, n.oldest, MOST_SMOOTH),
            within(-MOST_SMOOTH, n.o_value, MOST_SMOOTH),
            z3.Implies(inside, z3.And(n.o_place == place, z3.Select(n.ring, n.o_place) == n.o_value)),
        )

    def after(self, window, pushed=True, restarted=None):
        """`restarted`: a term, true when the window was restarted in this step before or instead of the push."""
        s, n = self.s, SimpleNamespace(**vars(self.s))
        n.at, n.filled = term(window._at), term(window._filled)
        n.full, n.oldest, n.ring = term(window.full), term(window.oldest), window._ring.term
        if pushed:
            n.o_age = s.o_age + 1
            kept = s.o_kept if restarted is None else z3.If(restarted, 0, s.o_kept)
            n.o_kept = kept + 1
        else:
            n.o_kept = z3.IntVal(0)
        return n


def prove_window():
    model = WindowModel("w")
    s, value = model.s, z3.Int("value")
    proof = Proof(
        "window",
        [*model.rules, within(-MOST_SMOOTH, value, MOST_SMOOTH), model.invariant(s)],
        [(Window, "push")],
        ["ticks"],
    )

    def step():
        window = model.build(proof.explorer)
        window.push(proof.explorer.fresh("value"))
        return window

    def goals(window):
        n = model.after(window)
        # from now on it may as well be this value that is followed
        new = SimpleNamespace(**vars(n))
        new.o_value, new.o_age, new.o_place = value, z3.IntVal(1), s.at
        return {
            "invariant is inductive": z3.And(_without_oldest(model, n), _without_oldest(model, new)),
            "SR-04 oldest is the value of exactly one window ago": z3.Implies(
                z3.And(n.full == 1, s.o_age == s.need), n.oldest == s.o_value
            ),
            "contract: window": z3.Implies(z3.Or(s.o_age == s.need, n.full == 0), contracts.window(n.full, n.oldest)),
            "SR-04 full only when all of it came after the restart": z3.Implies(n.full == 1, s.o_kept >= s.need),
        }

    return proof.run(step, goals)


def _without_oldest(model, n):
    """What is read back is one of the followed values, and those are bounded; see the goal about `oldest`."""
    bounded = SimpleNamespace(**vars(n))
    bounded.oldest = z3.IntVal(0)
    return model.invariant(bounded)


def prove_window_restart():
    model = WindowModel("w")
    proof = Proof("window: restart", [*model.rules, model.invariant(model.s)], assumes=["ticks"])

    def step():
        window = model.build(proof.explorer)
        window.restart()
        return window

    return proof.run(
        step, lambda window: {"SR-04 a restart forgets everything": model.invariant(model.after(window, pushed=False))}
    )


class Recorder:
    """A window that only remembers what it was told in this step."""

    def __init__(self):
        self.restarted = 0
        self.pushes = 0
        self.pushed = 0

    def restart(self):
        self.restarted = 1

    def push(self, value):
        self.pushes += 1
        self.pushed = value


def prove_slope():
    """o_quiet: ticks since the last sample, as far as a pause counts."""
    names = "votes mbar smooth start_mbar start_known pause ready failed sample".split()
    s = SimpleNamespace(**{name: z3.Int(name) for name in names})
    own = names[:6]

    def invariant(n):
        return z3.And(
            contracts.slope(n.votes, n.mbar, n.smooth, n.start_mbar, n.start_known), within(0, n.pause, PAUSE)
        )

    proof = Proof(
        "slope",
        [contracts.sensor(s.sample, s.ready, s.failed), invariant(s)],
        [(Slope, "step"), (Slope, "_take"), (Slope, "begin")],
        ["sensor"],
    )

    def step():
        fresh = proof.explorer.fresh
        slope = Slope.__new__(Slope)
        for name in own[:5]:
            setattr(slope, name, fresh(name))
        slope._pause, slope.window = fresh("pause"), Recorder()
        slope.step(SimpleNamespace(ready=fresh("ready"), failed=fresh("failed"), mbar=fresh("sample")))
        stepped = SimpleNamespace(**{name: term(getattr(slope, name)) for name in own[:5]}, pause=term(slope._pause))
        slope.begin()
        return slope, stepped

    def goals(outcome):
        slope, n = outcome
        begun = SimpleNamespace(**{name: term(getattr(slope, name)) for name in own[:5]}, pause=term(slope._pause))
        window = slope.window
        back = z3.And(s.ready == 1, s.pause >= PAUSE)
        return {
            "invariant is inductive": z3.And(invariant(n), invariant(begun)),
            "contract: slope": contracts.slope(
                begun.votes, begun.mbar, begun.smooth, begun.start_mbar, begun.start_known
            ),
            "SR-04 a say is a sample of a believed sensor": (n.votes == 1) == z3.And(s.ready == 1, s.failed == 0),
            "SR-04 after a pause the window begins anew from the sample": z3.Implies(
                back, z3.And(term(window.restarted) == 1, n.smooth == s.sample * 16)
            ),
            "SR-04 one value a tick goes into the window": z3.And(
                term(window.pushes) == 1, term(window.pushed) == n.smooth
            ),
            "SR-04 what is not sampled is held": z3.Implies(
                s.ready == 0, z3.And(n.smooth == s.smooth, n.mbar == s.mbar)
            ),
            "SR-04 a stroke begins from the smooth value, known only without a pause": z3.And(
                begun.start_mbar == n.smooth / 16, (begun.start_known == 1) == (n.pause < PAUSE)
            ),
        }

    return proof.run(step, goals)
