"""strokes.py under proof: any slopes, any settings that pass, and observers written from SR-04.

o_since   ticks since the command changed, as long as a stroke and more when it never did
o_brake   ticks since the brake channel moved
o_burst, o_loss   samples that met the condition, none against it between
"""

from types import SimpleNamespace

import z3

from controller import strokes
from controller.codes import NO, UNKNOWN, UP, YES
from controller.limits import MAX_RATE_MBAR_S
from controller.persist import Consecutive
from controller.slopes import Slope
from controller.strokes import Strokes

from . import contracts
from .contracts import flags, within
from .symbolic import PRODUCT, QUOTIENT, term

STATE = (
    "since_change in_progress brake_age last from_settled braked brake_us burst loss too_cheap burst_rate fall".split()
)
TIMES = "stroke_ticks second_ticks brake_settle_ticks".split()
RATIOS = "retract_ratio retract_dead extend_ratio extend_dead".split()
SETTINGS = {
    "sensor_noise_mbar": (0, 200),
    "stroke_fraction_permille": (300, 750),
    "burst_window_ms": (200, 600),
    "burst_floor_mbar_s": (50, 2000),
    "extend_ms": (200, 10000),
    "burst_lead_ms": (0, 5000),
    "lock_min_mbar": (200, 15000),
    "brake_mbar": (0, 2000),
}
SLOPE = "votes mbar smooth start_mbar start_known".split()
SAMPLES = 3
# What is asked of one sensor at a time.
ANY_FACTS = ("_burst_of", "_loss_of", "_cheap_fact")


class FreeSlope(Slope):
    """A slope whose values are set from outside."""

    __slots__ = ("begun",)

    def step(self, sensor):
        pass

    def begin(self):
        self.begun = 1


class FreeWindow:
    __slots__ = ("full", "oldest", "restarted")

    def restart(self):
        self.restarted = 1


class FreeSensor:
    """Remembers the verdict that it was asked for."""

    __slots__ = ("watched", "judged", "expected")

    def __init__(self):
        self.watched = self.judged = self.expected = 0

    def watch_span(self):
        self.watched = 1

    def judge_span(self, expected_mbar):
        self.judged = 1
        self.expected = expected_mbar


class StrokesModel:
    """With `any_facts` what one sensor says of a burst, a loss and a cost is replaced by any function whatever."""

    def __init__(self, count, any_facts=False):
        self.count = count
        self.any_facts = any_facts
        names = [*STATE, *TIMES, *RATIOS, *SETTINGS, "command", "gov", "seen", "width"]
        names += ["o_since", "o_brake", "o_burst", "o_loss"]
        self.s = SimpleNamespace(**{name: z3.Int(f"k_{name}") for name in names})
        self.slopes = [
            SimpleNamespace(**{name: z3.Int(f"k_{name}{index}") for name in (*SLOPE, "full", "oldest")})
            for index in range(count)
        ]

    def assumptions(self):
        s = self.s
        return [
            contracts.ticks(*[getattr(s, name) for name in TIMES]),
            contracts.drops([getattr(s, name) for name in RATIOS], z3.IntVal(0), z3.IntVal(0), z3.IntVal(3000)),
            *[within(low, getattr(s, name), high) for name, (low, high) in SETTINGS.items()],
            flags(s.command, s.seen),
            within(-contracts.MOST_MBAR, s.gov, contracts.MOST_MBAR),
            z3.Implies(s.seen == 1, within(800, s.width, 2200)),
            *[contracts.slope(*[getattr(one, name) for name in SLOPE]) for one in self.slopes],
            *[contracts.window(one.full, one.oldest) for one in self.slopes],
            *[within(NO, self._fact(name, index), UNKNOWN) for name in ANY_FACTS for index in range(self.count)],
            contracts.cost(z3.Int("k_any_cost")),
            self.invariant(s),
        ]

    def invariant(self, n):
        s = self.s
        top = s.stroke_ticks + s.second_ticks + 1

        def tie(count, seen):
            return z3.And(seen >= 0, count == z3.If(seen < SAMPLES, seen, SAMPLES))

        return z3.And(
            flags(n.in_progress, n.last, n.from_settled, n.braked, n.too_cheap),
            n.o_since >= 0,
            n.since_change == z3.If(n.o_since < top, n.o_since, top),
            (n.in_progress == 1) == (n.o_since < s.stroke_ticks),
            n.o_brake >= 0,
            n.brake_age == z3.If(n.o_brake < s.brake_settle_ticks, n.o_brake, s.brake_settle_ticks),
            within(0, n.brake_us, 2200),
            tie(n.burst, n.o_burst),
            tie(n.loss, n.o_loss),
            within(0, n.burst_rate, MAX_RATE_MBAR_S),
            within(-2 * contracts.MOST_MBAR, n.fall, 2 * contracts.MOST_MBAR),
        )

    def build(self, explorer):
        fresh = lambda name: explorer.fresh(f"k_{name}")  # noqa: E731
        path = Strokes.__new__(Strokes)
        for name in ("since_change", "in_progress", "brake_age", "last", "too_cheap", "burst_rate"):
            setattr(path, name, fresh(name))
        path._from_settled, path._braked, path._brake_us = fresh("from_settled"), fresh("braked"), fresh("brake_us")
        path.fall_mbar, path.burst_now, path.loss_now = fresh("fall"), 0, 0
        path._burst, path._loss = Consecutive(SAMPLES), Consecutive(SAMPLES)
        path._burst.count, path._loss.count = fresh("burst"), fresh("loss")
        path._count = self.count
        path._l = SimpleNamespace(**{name: fresh(name) for name in (*TIMES, *RATIOS)})
        path._s = SimpleNamespace(**{name: fresh(name) for name in SETTINGS})
        path._slopes = []
        for index in range(self.count):
            slope = FreeSlope.__new__(FreeSlope)
            for name in SLOPE:
                setattr(slope, name, fresh(f"{name}{index}"))
            slope.begun, slope.window = 0, FreeWindow()
            slope.window.full, slope.window.oldest = fresh(f"full{index}"), fresh(f"oldest{index}")
            slope.window.restarted = 0
            path._slopes.append(slope)
        pressure = SimpleNamespace(sensors=[FreeSensor() for _ in range(self.count)], mbar=fresh("gov"))
        return path, (fresh("command"), pressure, fresh("seen"), fresh("width")), pressure.sensors

    def after(self, path):
        s, n = self.s, SimpleNamespace()
        for name in ("since_change", "in_progress", "brake_age", "last", "too_cheap", "burst_rate"):
            setattr(n, name, term(getattr(path, name)))
        n.from_settled, n.braked, n.brake_us = term(path._from_settled), term(path._braked), term(path._brake_us)
        n.burst, n.loss, n.fall = term(path._burst.count), term(path._loss.count), term(path.fall_mbar)
        n.burst_now, n.loss_now = term(path.burst_now) == 1, term(path.loss_now) == 1
        n.changed = s.command != s.last
        n.o_since = z3.If(n.changed, 0, s.o_since + 1)
        moved = z3.And(s.seen == 1, z3.Or(s.width - s.brake_us > 30, s.brake_us - s.width > 30))
        n.o_brake = z3.If(moved, 0, s.o_brake + 1)
        n.burst_fact = self.burst_fact(n)
        n.loss_fact = self.loss_fact(n)
        n.o_burst = self._count(z3.If(n.changed, 0, s.o_burst), n.burst_fact)
        n.o_loss = self._count(z3.If(n.changed, 0, s.o_loss), n.loss_fact)
        return n

    def _fact(self, name, index):
        return z3.Int(f"k{name}{index}")

    def replacements(self, explorer):
        """[(name, function)] for `any_facts`."""

        def any_fact(name):
            return lambda path, slope, *_: explorer.fresh(f"k{name}{path._slopes.index(slope)}")

        facts = [(name, any_fact(name)) for name in ANY_FACTS]
        return [*facts, ("_settled_cost_mbar", lambda *_: explorer.fresh("k_any_cost"))] if self.any_facts else []

    def _count(self, before, fact):
        return z3.If(fact == NO, 0, z3.If(fact == YES, before + 1, before))

    def _together(self, facts):
        """A NO of one sensor is a NO; without one, a YES of one is a YES (SR-05)."""
        no, yes = [z3.Or(*[fact == word for fact in facts]) for word in (NO, YES)]
        return z3.If(no, NO, z3.If(yes, YES, UNKNOWN))

    def burst_fact(self, n):
        """SR-04 (a) in the text's words."""
        s = self.s
        facts = []
        for one in self.slopes:
            rate = QUOTIENT((one.oldest - one.smooth) / 16 * 1000, s.burst_window_ms)
            time_ms = s.extend_ms + s.burst_lead_ms
            lost = z3.If(rate > MAX_RATE_MBAR_S, MAX_RATE_MBAR_S * time_ms, PRODUCT(rate, time_ms)) / 1000
            left = s.gov - lost
            meets = z3.And(rate >= s.burst_floor_mbar_s, left < s.lock_min_mbar)
            facts.append(z3.If(z3.Or(one.votes == 0, one.full == 0), UNKNOWN, z3.If(meets, YES, NO)))
        if self.any_facts:
            facts = [self._fact("_burst_of", index) for index in range(self.count)]
        outside = z3.And(s.command == UP, n.o_since >= s.stroke_ticks, n.o_brake >= s.brake_settle_ticks)
        return z3.If(outside, self._together(facts), NO)

    def loss_fact(self, n):
        """SR-04 (b) in the text's words: 1.3 times the adiabatic drop + 50 mbar + one brake application."""
        s = self.s
        facts = []
        for one in self.slopes:
            moved = PRODUCT(one.start_mbar + 1013, s.retract_ratio) - 1013 * s.retract_dead
            expected = (moved / 10000) * 14 / 10
            meets = one.start_mbar - one.mbar > expected * 130 / 100 + 50 + s.brake_mbar
            facts.append(z3.If(z3.Or(one.votes == 0, one.start_known == 0), UNKNOWN, z3.If(meets, YES, NO)))
        if self.any_facts:
            facts = [self._fact("_loss_of", index) for index in range(self.count)]
        inside = z3.And(s.command == UP, n.o_since < s.stroke_ticks)
        return z3.If(inside, self._together(facts), NO)

    def merges(self):
        free = ("_settled_cost_mbar", *ANY_FACTS) if self.any_facts else ()
        names = [n for n in vars(Strokes) if callable(vars(Strokes)[n]) and not n.startswith("__") and n not in free]
        return [
            *[(Strokes, name) for name in names],
            (strokes, "adiabatic_drop_mbar"),
            (strokes, "isothermal_drop_mbar"),
        ]
