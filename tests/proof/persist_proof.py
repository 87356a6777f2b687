"""The three timers of persist.py, for any facts and any state (SR-17, SR-02, SR-09)."""

import z3

from controller.codes import NO, YES
from controller.persist import Consecutive

from .contracts import within
from .proving import Proof
from .symbolic import LIMIT, term
from .timers import PersistModel, SteadyModel

FACT = z3.Int("fact")
# Whatever is neither NO nor YES counts as unknown.
ANY_FACT = within(-LIMIT + 1, FACT, LIMIT - 1)


def prove_persist():
    model = PersistModel("fault")
    proof = Proof("persist", [*model.assumptions, ANY_FACT], assumes=["ticks"])

    def step():
        timer = model.build(proof.explorer)
        return timer, term(timer.step(proof.explorer.fresh("fact")))

    def goals(outcome):
        timer, confirmed = outcome
        yes, no = model.observe(FACT)
        unknown = z3.And(FACT != YES, FACT != NO)
        before = model.yes >= model.need
        return {
            "invariant is inductive": model.tied(timer, yes, no),
            "SR-17 confirmed from the need-th sight on, until clear for heal": (confirmed == 1) == (yes >= model.need),
            "the answer is a flag": within(0, confirmed, 1),
            "SR-17 unknown neither confirms nor clears": z3.Implies(unknown, (confirmed == 1) == before),
            "SR-17 only heal opposites in a row clear": z3.Implies(
                z3.And(before, confirmed == 0), z3.And(FACT == NO, model.no + 1 >= model.heal)
            ),
            "SR-09 one sight changes nothing from clear": z3.Implies(model.yes == 0, confirmed == 0),
        }

    return proof.run(step, goals)


def prove_persist_reset():
    model = PersistModel("fault")
    proof = Proof("persist: reset", model.assumptions, assumes=["ticks"])

    def step():
        timer = model.build(proof.explorer)
        timer.reset()
        return timer

    return proof.run(
        step, lambda timer: {"SR-17 a reset begins from nothing": model.tied(timer, z3.IntVal(0), z3.IntVal(0))}
    )


def prove_steady():
    model = SteadyModel("permit")
    proof = Proof("steady", [*model.assumptions, ANY_FACT], assumes=["ticks"])

    def step():
        timer = model.build(proof.explorer)
        return timer, term(timer.step(proof.explorer.fresh("fact")))

    def goals(outcome):
        timer, granted = outcome
        run = model.observe(FACT)
        return {
            "invariant is inductive": model.tied(timer, run),
            "SR-17 a permit needs its whole time of what is known": (granted == 1) == (run >= model.need),
            "the answer is a flag": within(0, granted, 1),
        }

    return proof.run(step, goals)


def prove_consecutive():
    count, need, seen = z3.Int("count"), z3.Int("need"), z3.Int("seen")

    def tie(count, seen):
        return z3.And(seen >= 0, count == z3.If(seen < need, seen, need))

    proof = Proof("consecutive", [within(2, need, 6000), tie(count, seen), ANY_FACT])

    def step():
        timer = Consecutive.__new__(Consecutive)
        timer.count, timer.need = proof.explorer.fresh("count"), proof.explorer.fresh("need")
        return timer, term(timer.step(proof.explorer.fresh("fact")))

    def goals(outcome):
        timer, complete = outcome
        after = z3.If(FACT == NO, 0, z3.If(FACT == YES, seen + 1, seen))
        return {
            "invariant is inductive": tie(term(timer.count), after),
            "SR-04 an event takes that many samples, none against it between": (complete == 1)
            == z3.And(FACT == YES, after >= need),
        }

    return proof.run(step, goals)
