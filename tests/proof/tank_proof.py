"""tank.py, for any pressure and any history (SR-19, SR-15, SR-34).

Every place of the ring holds a sample: that what is written is one is proved, what is read is taken to be one. The
lowest second is any sample in the first proof, and what it is in the second.
o_rise   seconds since the last second of a rise, as long as the hold when there was none
"""

from types import SimpleNamespace

import z3

from controller import tank
from controller.codes import UP
from controller.limits import CHARGE_HOLD_S, CHARGE_SPAN_S, LEAK_FILL_S, LEAK_MBAR, LEAK_QUIET_S, LEAK_SPAN_S
from controller.tank import EMPTY, Tank

from . import contracts
from .contracts import MOST_MBAR, flags, within
from .proving import Proof, replaced
from .symbolic import Ring, term

STATE = "at ticks hold_s quiet_s filled_s last charging leaking".split()
QUIET = LEAK_QUIET_S + LEAK_SPAN_S
FILLED = LEAK_FILL_S + LEAK_SPAN_S


def is_sample(value):
    return z3.And(value >= EMPTY, value <= MOST_MBAR)


class SampleRing(Ring):
    """A ring of samples."""

    __slots__ = ()

    def __getitem__(self, at):
        value = super().__getitem__(at)
        self.explorer.know([is_sample(value.term)])
        return value

    def __setitem__(self, at, value):
        self.explorer.must.append(is_sample(term(value)))
        super().__setitem__(at, value)


def prove_tank():
    ring = z3.Array("t_ring", z3.IntSort(), z3.IntSort())
    names = [*STATE, *"second charge_mbar command since brake_age jumped in_progress read smooth o_rise lowest".split()]
    s = SimpleNamespace(**{name: z3.Int(f"t_{name}") for name in names})

    def invariant(n):
        return z3.And(
            within(0, n.at, LEAK_SPAN_S - 1),
            within(0, n.ticks, s.second - 1),
            within(0, n.quiet_s, QUIET),
            within(0, n.filled_s, FILLED),
            is_sample(n.last),
            flags(n.charging, n.leaking),
            n.o_rise >= 0,
            n.hold_s == z3.If(n.o_rise < CHARGE_HOLD_S, CHARGE_HOLD_S - n.o_rise, 0),
            (n.charging == 1) == (n.hold_s > 0),
        )

    proof = Proof(
        "tank",
        [
            contracts.ticks(s.second),
            within(-200, s.charge_mbar, 7100),
            flags(s.command, s.jumped, s.in_progress, s.read),
            z3.And(s.since >= 0, s.brake_age >= 0),
            within(-16 * MOST_MBAR, s.smooth, 16 * MOST_MBAR),
            is_sample(s.lowest),
            invariant(s),
        ],
        [(Tank, name) for name in ("_count_seconds", "_see_rise", "_watch_filling", "_watch_leak", "step")],
        ["ticks", "drops", "readings", "stroke flags"],
    )

    def step():
        explorer = proof.explorer
        fresh = lambda name: explorer.fresh(f"t_{name}")  # noqa: E731
        slow = Tank.__new__(Tank)
        for name in STATE:
            setattr(slow, name if name in ("charging", "leaking") else f"_{name}", fresh(name))
        slow._l = SimpleNamespace(second_ticks=fresh("second"), charge_mbar=fresh("charge_mbar"))
        slow._ring = SampleRing(explorer, ring, LEAK_SPAN_S)
        strokes = SimpleNamespace(
            since_change=fresh("since"), brake_age=fresh("brake_age"), in_progress=fresh("in_progress")
        )
        pressure = SimpleNamespace(jumped=fresh("jumped"), read=fresh("read"), smooth=fresh("smooth"))
        with replaced(Tank, "_lowest", lambda _: fresh("lowest")):
            slow.step(fresh("command"), pressure, strokes)
        return slow

    def goals(slow):
        n = SimpleNamespace(
            **{name: term(getattr(slow, name if name in ("charging", "leaking") else f"_{name}")) for name in STATE}
        )
        due = s.ticks + 1 >= s.second
        disturbed = z3.Or(s.since == 0, s.brake_age == 0, s.jumped == 1)
        rises = z3.And(due, n.hold_s == CHARGE_HOLD_S)
        n.o_rise = z3.If(rises, 0, z3.If(due, s.o_rise + 1, s.o_rise))
        starts = z3.And(n.leaking == 1, s.leaking == 0)
        return {
            "invariant is inductive": invariant(n),
            "contract: filling": flags(n.charging),
            "SR-19 filling lasts until 60 s after the last second that rises": (n.charging == 1)
            == (n.o_rise < CHARGE_HOLD_S),
            "SR-19 only a known pressure rises, and faster than it warms": z3.Implies(
                z3.And(rises, s.hold_s != CHARGE_HOLD_S), z3.And(s.read == 1, n.last - s.last > 5)
            ),
            "SR-15 a leak is 0.1 bar, with UP, in a quiet minute": z3.Implies(
                starts,
                z3.And(s.command == UP, s.read == 1, z3.Not(disturbed), n.quiet_s == QUIET, n.filled_s == FILLED),
            ),
            "SR-15 a leak is a fall of that much in 60 s": z3.Implies(
                starts, z3.Select(ring, s.at) - n.last >= LEAK_MBAR
            ),
        }

    return proof.run(step, goals)


def lower_of(result, one, other):
    """What _lower gives: the lower known one, EMPTY only if neither is known."""
    both = z3.And(one != EMPTY, other != EMPTY)
    lower = z3.If(one < other, one, other)
    return result == z3.If(both, lower, z3.If(one != EMPTY, one, other))


def prove_lower():
    one, other = z3.Int("one"), z3.Int("other")
    proof = Proof("tank: lower of two", [is_sample(one), is_sample(other)])

    def step():
        return term(tank._lower(proof.explorer.fresh("one"), proof.explorer.fresh("other")))

    return proof.run(step, lambda result: {"contract: lower": lower_of(result, one, other)})


def prove_lowest():
    """For each place that is written next; `_lower` stands for itself by its contract."""
    at = z3.Int("at")
    ring = z3.Array("ring", z3.IntSort(), z3.IntSort())
    proof = Proof("tank: lowest second", [within(0, at, LEAK_SPAN_S - 1)], assumes=["lower"])
    explorer = proof.explorer

    def lower(one, other):
        result = explorer.fresh(f"lower{len(explorer.facts)}")
        explorer.know([lower_of(result.term, term(one), term(other))])
        return result

    def step():
        slow = Tank.__new__(Tank)
        slow._at, slow._ring = explorer.fresh("at"), SampleRing(explorer, ring, LEAK_SPAN_S)
        for place in range(LEAK_SPAN_S):
            if slow._at == place:
                slow._at = place
                break
        with replaced(tank, "_lower", lower):
            return slow._at, term(slow._lowest())

    def goals(outcome):
        place, lowest = outcome
        seconds = [z3.Select(ring, (place - back) % LEAK_SPAN_S) for back in range(1, CHARGE_SPAN_S + 1)]
        known = [second != EMPTY for second in seconds]
        return {
            "SR-19 the lowest known second of the last thirty": z3.If(
                z3.Or(*known),
                z3.And(
                    lowest != EMPTY,
                    z3.Or(*[lowest == second for second in seconds]),
                    *[z3.Implies(is_known, lowest <= second) for is_known, second in zip(known, seconds, strict=True)],
                ),
                lowest == EMPTY,
            ),
            "it is a sample": is_sample(lowest),
        }

    return proof.run(step, goals)
