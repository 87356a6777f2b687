"""Lock switches of switches.py for one and for four legs, any levels and any times (SR-14, SR-34).

open_, shut   each leg's timers; `down` counts the time since the command turned DOWN, up to when every leg is due
"""

from types import SimpleNamespace

import z3

from controller.codes import DOWN, LOCK_CLOSED, LOCK_DISTRUSTED, LOCK_OPEN, UP
from controller.switches import Locks

from .contracts import flags, ticks, within
from .proving import Proof
from .symbolic import LIMIT, term
from .timers import PersistModel, SteadyModel

STATE = "all overdue distrusted down was_locked".split()
TWO = z3.IntVal(2)


class FixedNeed(SteadyModel):
    """A Steady of two ticks."""

    def build(self, explorer):
        timer = super().build(explorer)
        timer.need = 2
        return timer


def prove_locks(legs):
    s = SimpleNamespace(**{n: z3.Int(f"l_{n}") for n in (*STATE, "level", "due", "up_ticks", "command", "since")})
    open_ = [PersistModel(f"l_open{index}") for index in range(legs)]
    shut = [FixedNeed(f"l_shut{index}", TWO) for index in range(legs)]
    leg = [z3.Int(f"l_leg{index}") for index in range(legs)]
    level = [z3.Int(f"l_level{index}") for index in range(legs)]
    for timer in open_:
        timer.need = open_[0].need

    def invariant(n, states):
        return z3.And(
            *[z3.Or(state == LOCK_OPEN, state == LOCK_CLOSED, state == LOCK_DISTRUSTED) for state in states],
            flags(n.overdue, n.distrusted, n.was_locked),
            within(0, n.down, s.due),
            z3.Or(n.all == LOCK_OPEN, n.all == LOCK_CLOSED, n.all == LOCK_DISTRUSTED),
        )

    timers = [rule for timer in (*open_, *shut) for rule in timer.assumptions]
    proof = Proof(
        f"locks: {legs} leg{'s' * (legs > 1)}",
        [
            *timers,
            *[timer.heal == 2 for timer in open_],
            ticks(s.due, s.up_ticks),
            flags(s.command, s.level),
            s.since >= 0,
            *[within(-LIMIT + 1, value, LIMIT - 1) for value in level],
            invariant(s, leg),
        ],
        [(Locks, "_step_leg"), (Locks, "_sum_up"), (Locks, "step")],
        ["ticks"],
    )

    def step():
        fresh = proof.explorer.fresh
        locks = Locks.__new__(Locks)
        locks._n, locks._level, locks._due, locks._up_ticks = (
            legs,
            fresh("l_level"),
            fresh("l_due"),
            fresh("l_up_ticks"),
        )
        locks.all, locks.overdue, locks.distrusted = fresh("l_all"), fresh("l_overdue"), fresh("l_distrusted")
        locks._down, locks._was_locked = fresh("l_down"), fresh("l_was_locked")
        locks.leg = [fresh(f"l_leg{index}") for index in range(legs)]
        locks._open = [timer.build(proof.explorer) for timer in open_]
        locks._closed = [timer.build(proof.explorer) for timer in shut]
        inputs = SimpleNamespace(lock_level=[fresh(f"l_level{index}") for index in range(legs)])
        locks.step(inputs, fresh("l_command"), SimpleNamespace(since_change=fresh("l_since")))
        return locks

    def goals(locks):
        n = SimpleNamespace(all=term(locks.all), overdue=term(locks.overdue), distrusted=term(locks.distrusted))
        n.down, n.was_locked = term(locks._down), term(locks._was_locked)
        states = [term(state) for state in locks.leg]
        named = {"invariant is inductive": invariant(n, states)}
        for index, (before, after) in enumerate(zip(leg, states, strict=True)):
            closed = level[index] == s.level
            run = z3.If(closed, shut[index].run + 1, 0)
            yes, _ = open_[index].observe(z3.If(closed, 0, 1))
            named[f"SR-14 leg {index} counts as locked only by its switch with the gear down"] = z3.Implies(
                z3.And(after == LOCK_CLOSED, before != LOCK_CLOSED),
                z3.And(closed, run >= 2, s.command == DOWN, before != LOCK_DISTRUSTED),
            )
            named[f"SR-14 leg {index} closed after the up stroke is not believed until seen open"] = z3.And(
                z3.Implies(
                    z3.And(s.command == UP, s.since >= s.up_ticks, closed, run >= 2, yes < open_[index].need),
                    after == LOCK_DISTRUSTED,
                ),
                z3.Implies(
                    z3.And(before == LOCK_DISTRUSTED, after != before),
                    z3.And(after == LOCK_OPEN, yes >= open_[index].need),
                ),
            )
        locked = z3.And(s.command == DOWN, *[state == LOCK_CLOSED for state in states])
        named["SR-14 locked is every leg locked with the gear commanded down"] = (n.all == LOCK_CLOSED) == locked
        named["SR-14 overdue is a leg not locked in time, or opened, with the gear commanded down"] = (
            n.overdue == 1
        ) == z3.And(s.command == DOWN, z3.Not(locked), z3.Or(s.was_locked == 1, s.down + 1 >= s.due))
        return named

    return proof.run(step, goals)
