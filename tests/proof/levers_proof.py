"""levers.py and the ground switch, for any pulse, level and settings (SR-09, SR-16, SR-21, SR-34)."""

from types import SimpleNamespace

import z3

from controller.codes import NO, UNKNOWN, YES
from controller.frames import ABSENT, NOT_KNOWN
from controller.levers import Beyond, Lever
from controller.switches import Ground

from .contracts import flags, ticks, within
from .proving import Proof
from .symbolic import LIMIT, term
from .timers import SteadyModel

CHANNEL = 2


def prove_lever():
    """o_quiet: ticks since the last valid pulse, or since power-on."""
    s = SimpleNamespace(
        **{name: z3.Int(name) for name in "rest travel age need permille fitted fresh width lost o_quiet".split()}
    )
    known = z3.Or(s.permille == NOT_KNOWN, within(0, s.permille, 1000))

    def invariant(age, permille, lost, quiet):
        return z3.And(
            within(0, age, s.need),
            quiet >= 0,
            age == z3.If(quiet < s.need, quiet, s.need),
            z3.If(s.fitted == 1, z3.Or(permille == NOT_KNOWN, within(0, permille, 1000)), permille == ABSENT),
            flags(lost),
            z3.Implies(lost == 1, permille == NOT_KNOWN),
        )

    proof = Proof(
        "lever",
        [
            ticks(s.need),
            flags(s.fitted),
            within(800, s.rest, 2200),
            z3.Or(within(200, s.travel, 1400), within(-1400, s.travel, -200)),
            *[within(-LIMIT + 1, value, LIMIT - 1) for value in (s.fresh, s.width)],
            invariant(s.age, s.permille, s.lost, s.o_quiet),
        ],
        [(Lever, "_take")],
        ["ticks", "travel"],
    )

    def step():
        fresh = proof.explorer.fresh
        lever = Lever.__new__(Lever)
        lever._channel, lever._fitted, lever._rest_us = CHANNEL, fresh("fitted"), fresh("rest")
        lever._travel_us, lever._need, lever._age = fresh("travel"), fresh("need"), fresh("age")
        lever.permille, lever.lost, lever.seen, lever.width_us = fresh("permille"), fresh("lost"), 0, 0
        inputs = SimpleNamespace(fresh=[0] * 5, pulse_us=[0] * 5)
        inputs.fresh[CHANNEL], inputs.pulse_us[CHANNEL] = fresh("fresh"), fresh("width")
        lever.step(inputs)
        return lever

    def goals(lever):
        seen = z3.And(s.fitted == 1, s.fresh == 1, within(800, s.width, 2200))
        quiet = z3.If(s.fitted == 0, s.o_quiet, z3.If(seen, 0, s.o_quiet + 1))
        permille, lost = term(lever.permille), term(lever.lost)
        return {
            "invariant is inductive": invariant(term(lever._age), permille, lost, quiet),
            "SR-21 seen is a fresh pulse of the right width": (term(lever.seen) == 1) == seen,
            "SR-21 lost after half a second without a valid pulse, never before": z3.Implies(
                s.fitted == 1, (lost == 1) == (quiet >= s.need)
            ),
            "SR-21 a position that is known stays within its range": z3.Implies(
                z3.And(s.fitted == 1, lost == 0, known), within(NOT_KNOWN, permille, 1000)
            ),
        }

    return proof.run(step, goals)


def prove_beyond():
    """The dead zone: on above `on`, off below `off`, else as it was; unknown without a position."""
    on, off, was, permille = (z3.Int(name) for name in ("on", "off", "was", "permille"))
    proof = Proof(
        "lever: beyond a point",
        [within(0, off, on), on <= 1000, within(NO, was, YES), within(ABSENT, permille, 1000)],
    )

    def step():
        beyond = Beyond.__new__(Beyond)
        fresh = proof.explorer.fresh
        beyond._on, beyond._off, beyond._was = fresh("on"), fresh("off"), fresh("was")
        beyond.step(fresh("permille"))
        return beyond

    def goals(beyond):
        expected = z3.If(permille < 0, UNKNOWN, z3.If(permille > on, YES, z3.If(permille < off, NO, was)))
        return {
            "SR-21 the dead zone keeps what was, a lost channel is unknown": term(beyond.fact) == expected,
            "invariant is inductive": within(NO, term(beyond._was), YES),
        }

    return proof.run(step, goals)


def prove_ground():
    model = SteadyModel("ground")
    fitted, level, clear_level = z3.Int("fitted"), z3.Int("level"), z3.Int("clear_level")
    proof = Proof(
        "ground switch",
        [*model.assumptions, flags(fitted, clear_level), within(-LIMIT + 1, level, LIMIT - 1)],
        assumes=["ticks"],
    )

    def step():
        fresh = proof.explorer.fresh
        ground = Ground.__new__(Ground)
        ground.clear, ground._fitted, ground._level = 0, fresh("fitted"), fresh("clear_level")
        ground._steady = model.build(proof.explorer)
        ground.step(fresh("level"))
        return ground

    def goals(ground):
        run = z3.If(fitted == 1, z3.If(level == clear_level, model.run + 1, 0), model.run)
        clear = term(ground.clear)
        return {
            "invariant is inductive": model.tied(ground._steady, run),
            "SR-16 clear only after ground_clear without a break, where fitted": z3.Implies(
                fitted == 1, (clear == 1) == (run >= model.need)
            ),
            "SR-16 clear where none is fitted": z3.Implies(fitted == 0, clear == 1),
            "contract: ground": flags(clear),
        }

    return proof.run(step, goals)
