"""health.py, for any clock values and any stages (SR-31, SR-32, SR-33).

Clock values are what cycle.py asks of a board: 0 .. 2**30 - 1. o_one, o_two are the true milliseconds since the last
late tick and the one before it, without a cap; o_sum and o_n the periods counted towards the mean.
"""

from types import SimpleNamespace

import z3

from controller.health import CHECK_WORD, HEALTHY_MS, MEAN_TICKS, N_STAGES, RESTART_LIMIT, Health, Restarts

from .contracts import flags, within
from .proving import Proof
from .symbolic import LIMIT, term

SPAN_MS = 1000
MERGES = ("_judge_late", "_aged", "_judge_rate")


# The longest tick that is not late: one and a half.
LONGEST_MS = 75


def clock_invariant(one, two, total, n, bad, o_one, o_two):
    def capped(age, true):
        return age == z3.If(true < SPAN_MS, true, SPAN_MS)

    return z3.And(
        z3.And(o_one >= 0, o_two >= o_one),
        capped(one, o_one),
        capped(two, o_two),
        within(0, n, MEAN_TICKS - 1),
        within(0, total, LONGEST_MS * n),
        flags(bad),
    )


def prove_clock():
    names = "tick last now started one two sum n bad o_one o_two".split()
    s = SimpleNamespace(**{name: z3.Int(name) for name in names})
    proof = Proof(
        "clock",
        [
            within(10, s.tick, 50),
            within(0, s.last, LIMIT - 1),
            within(0, s.now, LIMIT - 1),
            flags(s.started),
            clock_invariant(s.one, s.two, s.sum, s.n, s.bad, s.o_one, s.o_two),
        ],
        [(Health, name) for name in MERGES],
    )

    def step():
        fresh = proof.explorer.fresh
        health = Health(0)
        health._tick_ms, health._last_ms, health._started = fresh("tick"), fresh("last"), fresh("started")
        health._since_one, health._since_two = fresh("one"), fresh("two")
        health._sum_ms, health._n, health.clock_bad = fresh("sum"), fresh("n"), fresh("bad")
        health.begin(fresh("now"))
        return health

    def goals(health):
        # The true time that went by, whichever of the two clock values is the larger one.
        elapsed = z3.If(s.now >= s.last, s.now - s.last, s.now - s.last + LIMIT)
        started = s.started == 1
        late = z3.And(started, elapsed - s.tick > s.tick / 2)
        one, two = s.o_one + elapsed, s.o_two + elapsed
        far = elapsed - s.tick > 100
        third = z3.And(late, two < SPAN_MS)
        total, n = s.sum + elapsed, s.n + 1
        counted = z3.And(started, z3.Not(late))
        full = z3.And(counted, n == MEAN_TICKS)
        off = z3.Or(total * 5 > MEAN_TICKS * s.tick * 6, total * 5 < MEAN_TICKS * s.tick * 4)
        return {
            "invariant is inductive": clock_invariant(
                term(health._since_one),
                term(health._since_two),
                term(health._sum_ms),
                term(health._n),
                term(health.clock_bad),
                z3.If(started, z3.If(late, 0, one), s.o_one),
                z3.If(started, z3.If(late, one, two), s.o_two),
            ),
            "SR-33 the clock is compared rightly across its wrap": (term(health.late) == 1) == late,
            "SR-33 how late is told rightly": z3.Implies(late, term(health.late_ms) == elapsed - s.tick),
            "SR-31 a far late tick, or the third in a second, and no other, starts SR-01 again": (
                term(health.late_latch) == 1
            )
            == z3.And(late, z3.Or(far, third)),
            "SR-33 a mean period off by more than a fifth, and no other, is a wrong clock": (
                term(health.clock_bad) == 1
            )
            == z3.Or(s.bad == 1, z3.And(full, off)),
            "contract: lateness": flags(term(health.late_latch), term(health.clock_bad)),
        }

    return proof.run(step, goals)


def prove_feed():
    """Any number of marks, by induction: o_right is 1 while every mark so far was the next stage in health."""
    s = SimpleNamespace(**{name: z3.Int(name) for name in "next sick late stage state highest o_right".split()})

    def invariant(following, sick, right):
        return z3.And(flags(sick, right), within(0, following, LIMIT - 2), (right == 1) == (sick == 0))

    proof = Proof(
        "watchdog leave",
        [
            invariant(s.next, s.sick, s.o_right),
            flags(s.late),
            s.next < LIMIT - 2,
            *[within(-LIMIT + 1, value, LIMIT - 1) for value in (s.stage, s.state, s.highest)],
        ],
    )

    def step():
        fresh = proof.explorer.fresh
        health = Health(20)
        health._next, health._sick, health.late = fresh("next"), fresh("sick"), fresh("late")
        health.finish()
        leave = term(health.feed_leave)
        health.mark(fresh("stage"), fresh("state"), fresh("highest"))
        return health, leave

    def goals(outcome):
        health, leave = outcome
        right = z3.And(s.o_right == 1, s.stage == s.next, s.state >= 0, s.state <= s.highest)
        return {
            "invariant is inductive": invariant(term(health._next), term(health._sick), z3.If(right, 1, 0)),
            "a mark is one stage further": term(health._next) == s.next + 1,
            "SR-31 leave to feed only when every stage ran once, in order, in health, on time": (leave == 1)
            == z3.And(s.o_right == 1, s.next == N_STAGES, s.late == 0),
        }

    return proof.run(step, goals)


def prove_feed_begins():
    """A tick begins with no stage marked, whatever the last one left."""
    names = "next sick late latch now last".split()
    s = SimpleNamespace(**{name: z3.Int(name) for name in names})
    proof = Proof(
        "watchdog leave: begin",
        [*[within(0, value, LIMIT - 1) for value in vars(s).values()]],
        [(Health, name) for name in MERGES],
    )

    def step():
        fresh = proof.explorer.fresh
        health = Health(20)
        health._next, health._sick, health._last_ms = fresh("next"), fresh("sick"), fresh("last")
        health.late, health.late_latch = fresh("late"), fresh("latch")
        health.begin(fresh("now"))
        return health

    return proof.run(
        step,
        lambda health: {
            "SR-31 a tick begins with nothing marked": z3.And(term(health._next) == 0, term(health._sick) == 0)
        },
    )


def prove_restarts_at_boot():
    count, check = z3.Int("count"), z3.Int("check")
    proof = Proof(
        "restarts: at boot",
        [within(-LIMIT + 1, count, LIMIT - 1), within(-LIMIT + 1, check, LIMIT - 1)],
    )

    def step():
        return Restarts(proof.explorer.fresh("count"), proof.explorer.fresh("check"))

    def goals(restarts):
        word = z3.IntVal(-LIMIT)
        for small in range(RESTART_LIMIT + 1):
            word = z3.If(count == small, CHECK_WORD ^ small, word)
        kept = z3.And(within(0, count, RESTART_LIMIT), check == word)
        return {
            "SR-32 locked out at the third restart whose count was kept": (term(restarts.locked_out) == 1)
            == z3.And(kept, count + 1 >= RESTART_LIMIT),
            "SR-32 a count that does not check is a power-on": z3.Implies(z3.Not(kept), term(restarts.count) == 0),
            "SR-32 each boot of one power cycle counts": z3.Implies(
                kept, term(restarts.count) == z3.If(count + 1 < RESTART_LIMIT, count + 1, RESTART_LIMIT)
            ),
        }

    return proof.run(step, goals)


def prove_restarts():
    """o_run: milliseconds of healthy ticks without a break."""
    s = SimpleNamespace(**{name: z3.Int(name) for name in "count locked ms healthy tick o_run".split()})

    def invariant(count, locked, ms, run):
        return z3.And(
            within(0, count, RESTART_LIMIT),
            flags(locked),
            within(0, ms, HEALTHY_MS + 49),
            run >= 0,
            z3.Implies(locked == 1, count == RESTART_LIMIT),
            ms == z3.If(run < HEALTHY_MS, run, ms),
            z3.Implies(run >= HEALTHY_MS, ms >= HEALTHY_MS),
        )

    proof = Proof(
        "restarts",
        [invariant(s.count, s.locked, s.ms, s.o_run), flags(s.healthy), within(10, s.tick, 50)],
    )

    def step():
        fresh = proof.explorer.fresh
        restarts = Restarts(0, 0)
        restarts.count, restarts.locked_out, restarts._healthy_ms = fresh("count"), fresh("locked"), fresh("ms")
        restarts.step(fresh("healthy"), fresh("tick"))
        return restarts

    def goals(restarts):
        run = z3.If(s.locked == 1, s.o_run, z3.If(s.healthy == 1, s.o_run + s.tick, 0))
        count, locked = term(restarts.count), term(restarts.locked_out)
        return {
            "invariant is inductive": invariant(count, locked, term(restarts._healthy_ms), run),
            "SR-32 a lock-out is never forgiven": z3.Implies(s.locked == 1, z3.And(locked == 1, count == s.count)),
            "SR-32 only a minute of healthy running forgives": z3.Implies(
                count != s.count, z3.And(count == 0, s.healthy == 1, s.o_run >= HEALTHY_MS)
            ),
        }

    return proof.run(step, goals)
