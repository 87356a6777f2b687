"""Both paths in one tick, from sensors and switch to the last word: pressure.py, facts.py, interlock.py as they are.

Sensors, switch and mode logic stand for themselves by what is proved of them (contracts "lockstep", "failed", "cause
forces"): unknown values that obey it.
"""

from types import SimpleNamespace

import z3

from controller.codes import NO, UNKNOWN, UP, YES
from controller.interlock import Interlock

from . import contracts
from .contracts import flags, within
from .judge_model import JudgeModel
from .pressure_proof import OWN as PRESSURE
from .pressure_proof import Deaf, bounds, build_pressure
from .symbolic import LIMIT, term
from .timers import PersistModel

STATE = ("leave", "_ready", "_ground", "_low", "_low_away", "_blind", "_blind_away")
NEEDS = ("_ground_need", "_low_need", "_blind_need", "_gaps_need", "_away_need")
SWITCH = ("good", "gaps", "shown_down", "moved_up")
OTHER = (
    "retract",
    "slack",
    "clear_level",
    "ground_fitted",
    "usable",
    "level",
    "wanted",
    "out",
    "outage",
    "force",
    "was_good",
)


class VetoModel:
    def __init__(self, count):
        self.count = count
        self.judge = JudgeModel()
        self.s = SimpleNamespace(**{n: z3.Int(f"v_{n}") for n in (*STATE, *NEEDS, *SWITCH, *OTHER)})
        self.p = SimpleNamespace(**{name: z3.Int(f"p_{name}") for name in PRESSURE})
        self.apart = PersistModel("p_apart", self.judge.low.heal)
        self.sensors = []
        need = z3.Int("sensor_need")
        for index in range(count):
            one = SimpleNamespace(**{n: z3.Int(f"v_{n}{index}") for n in ("mbar", "ready", "bad", "frozen")})
            one.confirm = PersistModel(f"v_confirm{index}", self.judge.low.heal)
            one.confirm.need = need
            fault = z3.Or(one.bad == 1, one.frozen == 1)
            one.fact = z3.If(fault, YES, z3.If(one.ready == 1, NO, UNKNOWN))
            one.yes, one.no = one.confirm.observe(one.fact)
            one.failed = z3.If(one.yes >= need, 1, 0)
            self.sensors.append(one)
        self.sensor_need = need

    def assumptions(self):
        s, j = self.s, self.judge
        return [
            *j.inputs,
            *j.link_and_switch,
            *j.state,
            bounds(self.p),
            contracts.ticks(self.sensor_need),
            contracts.second_times(*[getattr(s, name) for name in NEEDS]),
            contracts.air_rules(z3.IntVal(200), j.s.force_below, s.retract, s.slack),
            2 * s._low_need >= 3 * j.low.need,
            2 * s._blind_need >= 3 * (self.sensor_need + j.lost.need),
            s._gaps_need >= s.force,
            s._away_need == j.low.heal,
            s.force >= 4,
            *self.apart.assumptions,
            within(50, z3.Int("p_gap"), 2000),
            flags(s.clear_level, s.ground_fitted, s.usable, s.wanted, s.out, s.was_good),
            within(-LIMIT + 1, s.level, LIMIT - 1),
            s.gaps < LIMIT,
            *[flags(one.bad, one.frozen) for one in self.sensors],
            *[contracts.sensor(one.mbar, one.ready, one.failed) for one in self.sensors],
            *[contracts.lockstep_sensor(one.mbar, one.ready, one.bad, one.ready, one.mbar) for one in self.sensors],
            *[
                one.confirm._tie(one.confirm.count, one.confirm.clear, one.confirm.yes, one.confirm.no)
                for one in self.sensors
            ],
            z3.Implies(
                j.s.was_good == 1,
                contracts.lockstep_switch(
                    j.s.state, s.outage, s.force, j.s.down_run, j.s.up_done, s.good, s.gaps, s.shown_down, s.moved_up
                ),
            ),
            contracts.raw_switch(s.good, s.shown_down, s.moved_up),
            contracts.was_good_stays(s.was_good, j.s.was_good),
            j.s.command == s.out,
            self.invariant(s, j.low, j.lost, self.sensors),
        ]

    def invariant(self, n, low, lost, sensors):
        """`low`, `lost` and each sensor's `confirm` have yes and no of the mode logic's timers."""
        need = self.sensor_need
        out = n.out == UP
        clear = [z3.If(timer.no < self.judge.low.heal, timer.no, self.judge.low.heal) for timer in (low, lost)]
        confirms = [sensor.confirm for sensor in sensors]
        healed = [z3.If(c.no < self.judge.low.heal, c.no, self.judge.low.heal) for c in confirms]
        mine = [z3.Implies(c.yes < need, n._blind <= c.yes + lost.yes) for c in confirms]
        return z3.And(
            flags(n.leave, n._ready, n.out),
            (n.leave == 1) == out,
            z3.Implies(out, n.was_good == 1),
            z3.Implies(n.leave == 1, n._ready == 0),
            *[getattr(n, name) >= 0 for name in STATE],
            n._ground <= n._ground_need,
            z3.And(n._low_away <= n._away_need, n._blind_away <= n._away_need),
            # while UP, the mode logic has counted at least what the second path has, and not yet to its end
            z3.Implies(
                out,
                z3.And(
                    n._low <= low.yes,
                    low.yes < self.judge.low.need,
                    lost.yes < self.judge.lost.need,
                    clear[0] <= n._low_away,
                    *mine,
                    n._blind <= need + lost.yes,
                    z3.Implies(
                        n._blind > 0,
                        z3.And(clear[1] <= n._blind_away, *[done <= n._blind_away for done in healed]),
                    ),
                ),
            ),
        )

    def build(self, explorer):
        fresh = explorer.fresh
        path = Interlock.__new__(Interlock)
        for name in (*STATE, *NEEDS):
            setattr(path, name, fresh(f"v_{name}"))
        path._usable = fresh("v_usable")
        path._s = SimpleNamespace(
            sensor_count=self.count,
            ground_clear_level=fresh("v_clear_level"),
            ground_fitted=fresh("v_ground_fitted"),
            retract_above_mbar=fresh("v_retract"),
            begin_slack_mbar=fresh("v_slack"),
            force_below_mbar=fresh("j_force_below"),
        )
        path._switch = Deaf()
        for name in SWITCH:
            setattr(path._switch, name, fresh(f"v_{name}"))
        path._sensors, believed = [Deaf(), Deaf()], [Deaf(), Deaf()]
        for index in range(self.count):
            raw, own = path._sensors[index], believed[index]
            raw.known, raw.mbar, raw.bad = fresh(f"v_ready{index}"), fresh(f"v_mbar{index}"), fresh(f"v_bad{index}")
            own.ready, own.mbar = fresh(f"v_ready{index}"), fresh(f"v_mbar{index}")
            own.failed = type(own.ready)(explorer, self.sensors[index].failed)
        pressure = build_pressure(explorer, self.count, self.apart, believed, Deaf())
        inputs = SimpleNamespace(counts=[0, 0], rail_counts=0, ground_level=fresh("v_level"))
        return path, pressure, inputs

    def after(self, path, judged, output):
        """State after the tick; `judged` is JudgeModel.after."""
        n = SimpleNamespace(**vars(self.s))
        for name in STATE:
            setattr(n, name, term(getattr(path, name)))
        n.out, n.was_good = output, self.judge.s.was_good
        low = SimpleNamespace(yes=judged.low[0], no=judged.low[1])
        lost = SimpleNamespace(yes=judged.lost[0], no=judged.lost[1])
        sensors = [SimpleNamespace(confirm=SimpleNamespace(yes=one.yes, no=one.no)) for one in self.sensors]
        return n, low, lost, sensors
