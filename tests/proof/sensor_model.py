"""One pressure sensor as both paths read it, for any code and any rail: unknown state, lockstep, observers.

o_have   good samples in a row, up to three; o_a, o_b the last and the one before, in mbar
"""

from types import SimpleNamespace

import z3

from controller.codes import NO, SENSOR_FROZEN, SENSOR_GOOD, SENSOR_OPEN, SENSOR_RAIL, SENSOR_SHORT, UNKNOWN, YES
from controller.second_inputs import RawSensor
from controller.sensor import Rail, Sensor

from . import contracts
from .contracts import MOST_MBAR, flags, within
from .symbolic import LIMIT, term
from .timers import PersistModel

OWN = "mbar ready grade failed frozen raw_low raw_high newer newest have".split()
RAW = "known bad raw_mbar x y z run".split()
SETTINGS = "zero full span open short nominal fitted".split()
RAIL = "rail_good rail_now".split()


class SensorModel:
    def __init__(self, name, heal=None, need=None, rail=None):
        self.name = name
        shared = rail.s if rail else None
        self.s = SimpleNamespace()
        for part in (*OWN, *RAW, *SETTINGS, *RAIL, "counts", "rail_counts"):
            own = part in (*OWN, *RAW, "zero", "full", "span", "counts")
            setattr(self.s, part, z3.Int(f"{name}_{part}") if own or shared is None else getattr(shared, part))
        self.confirm = PersistModel(f"{name}_confirm", heal)
        if need is not None:
            self.confirm.need = need
        s = self.s
        self.rules = [
            contracts.sensor_rules(s.zero, s.full, s.open, s.short),
            within(100, s.zero, 2000),
            within(2000, s.span, 16000),
            within(1000, s.nominal, 4000),
            flags(s.fitted),
            *[within(-LIMIT + 1, value, LIMIT - 1) for value in (s.counts, s.rail_counts)],
        ]

    def assumptions(self):
        return [*self.rules, *self.confirm.assumptions, self.invariant(self.s)]

    def invariant(self, n):
        s = self.s
        low, high = s.nominal * 8 / 10, s.nominal * 12 / 10
        good = z3.Or(n.grade == SENSOR_GOOD, n.grade == SENSOR_FROZEN)
        return z3.And(
            contracts.sensor(n.mbar, n.ready, n.failed),
            contracts.raw_sensor(n.known, n.bad, n.raw_mbar),
            flags(n.frozen, n.rail_good),
            *[within(-MOST_MBAR, value, MOST_MBAR) for value in (n.newer, n.newest, n.x, n.y, n.z)],
            *[within(0, value, 4095) for value in (n.raw_low, n.raw_high)],
            within(SENSOR_GOOD, n.grade, SENSOR_FROZEN),
            within(0, n.have, 3),
            z3.And(within(low, n.rail_now, high), n.rail_now <= 4095),
            z3.Implies(s.fitted == 0, z3.And(n.rail_now == s.nominal, n.rail_good == 1)),
            # both paths hold the same samples
            n.run == n.have,
            z3.Implies(n.have >= 1, n.z == n.newest),
            z3.Implies(n.have >= 2, n.y == n.newer),
            z3.Implies(n.have == 3, z3.And(n.mbar == n.raw_mbar)),
            n.known == n.ready,
            z3.Implies(n.ready == 1, z3.And(n.have == 3, good)),
        )

    def build_rail(self, explorer):
        rail = Rail.__new__(Rail)
        s = self.s
        fresh = lambda part: explorer.fresh(str(getattr(s, part)))  # noqa: E731
        rail.good, rail._now, rail._nominal, rail._fitted = map(fresh, ("rail_good", "rail_now", "nominal", "fitted"))
        rail._low, rail._high = rail._nominal * 8 // 10, rail._nominal * 12 // 10
        return rail

    def build(self, explorer):
        """(sensor.Sensor, second_inputs.RawSensor, counts)."""
        s = self.s
        fresh = lambda part: explorer.fresh(str(getattr(s, part)))  # noqa: E731
        mine = Sensor.__new__(Sensor)
        for part in ("mbar", "ready", "grade", "failed", "frozen", "raw_low", "raw_high"):
            setattr(mine, part, fresh(part))
        mine._newer, mine._newest, mine._have = fresh("newer"), fresh("newest"), fresh("have")
        mine._zero, mine._full, mine._span_mbar = fresh("zero"), fresh("full"), fresh("span")
        mine._open, mine._short = fresh("open"), fresh("short")
        mine.code_mbar_x16 = 0
        mine._confirm = self.confirm.build(explorer)
        raw = RawSensor.__new__(RawSensor)
        raw.known, raw.bad, raw.mbar = fresh("known"), fresh("bad"), fresh("raw_mbar")
        raw._x, raw._y, raw._z, raw._run = fresh("x"), fresh("y"), fresh("z"), fresh("run")
        raw._zero, raw._span = fresh("zero"), fresh("span")
        raw._codes = fresh("full") - fresh("zero")
        raw._low, raw._high, raw._nominal, raw._rail = fresh("open"), fresh("short"), fresh("nominal"), fresh("fitted")
        return mine, raw, fresh("counts")

    def after(self, mine, raw, rail):
        n = SimpleNamespace(**vars(self.s))
        for part in ("mbar", "ready", "grade", "failed", "frozen", "raw_low", "raw_high"):
            setattr(n, part, term(getattr(mine, part)))
        n.newer, n.newest, n.have = term(mine._newer), term(mine._newest), term(mine._have)
        n.known, n.bad, n.raw_mbar = term(raw.known), term(raw.bad), term(raw.mbar)
        n.x, n.y, n.z, n.run = term(raw._x), term(raw._y), term(raw._z), term(raw._run)
        n.rail_good, n.rail_now = term(rail.good), term(rail._now)
        bad = z3.And(n.grade != SENSOR_GOOD, n.grade != SENSOR_FROZEN)
        fault = z3.Or(bad, n.frozen == 1)
        n.fact = z3.If(fault, YES, z3.If(n.ready == 1, NO, UNKNOWN))
        n.yes, n.no = self.confirm.observe(n.fact)
        return n

    def merges(self):
        return [
            (Rail, "step"),
            (Sensor, "_graded"),
            (Sensor, "_take"),
            (Sensor, "step"),
            (RawSensor, "_scaled"),
            (RawSensor, "_middle"),
            (RawSensor, "step"),
        ]


def sample_goals(model, n):
    """What one tick of a sensor has to satisfy."""
    s = model.s
    good = z3.Or(n.grade == SENSOR_GOOD, n.grade == SENSOR_FROZEN)
    three = (s.newer, s.newest, n.newest)
    inside = [z3.And(n.mbar <= z3.If(a > b, a, b), n.mbar >= z3.If(a < b, a, b)) for a, b in PAIRS(three)]
    rail_off = z3.And(s.fitted == 1, z3.Or(s.rail_counts * 10 > s.nominal * 12, s.rail_counts * 10 + 9 < s.nominal * 8))
    return {
        "SR-11 both paths call the same samples bad": (n.bad == 1) == z3.Not(good),
        "SR-11 both paths read the same pressure": z3.Implies(n.ready == 1, n.mbar == n.raw_mbar),
        "SR-05 failed is sensor_confirm of bad or frozen, unhealed": (n.failed == 1) == (n.yes >= model.confirm.need),
        "SR-05 a code below the range is open, above it short": z3.And(
            z3.Implies(s.counts < 0, n.grade == SENSOR_OPEN), z3.Implies(s.counts > 4095, n.grade == SENSOR_SHORT)
        ),
        "SR-05 a rail off by more than a fifth is no reading": z3.Implies(
            z3.And(within(0, s.counts, 4095), rail_off), n.grade == SENSOR_RAIL
        ),
        "SR-05 without a rail, good is between open and short": z3.Implies(
            s.fitted == 0, good == z3.And(within(0, s.counts, 4095), s.counts >= s.open, s.counts <= s.short)
        ),
        "SR-09 the reading lies between any two of the last three good samples": z3.Implies(
            n.ready == 1, z3.And(*inside)
        ),
        "SR-09 a reading needs three good samples in a row": z3.Implies(n.ready == 1, z3.And(good, s.have >= 2)),
        "SR-09 what was failed or not stays so for one sample": z3.Implies(
            z3.And(s.failed == 0, model.confirm.yes == 0), n.failed == 0
        ),
    }


def PAIRS(three):
    a, b, c = three
    return ((a, b), (b, c), (a, c))
