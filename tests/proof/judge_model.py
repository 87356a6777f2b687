"""The judge of facts.py under proof: unknown timers, unknown readings, and observers of what each flag has to mean."""

from types import SimpleNamespace

import z3

from controller.codes import (
    CAUSE_BURST,
    CAUSE_CLOCK,
    CAUSE_LATE,
    CAUSE_LINK,
    CAUSE_LOW_AIR,
    CAUSE_PRESSURE,
    CAUSE_SECOND_PATH,
    CAUSE_STROKE_LOSS,
    CAUSE_SUPPLY,
    LINK_GOOD,
    LINK_LOST,
    N_CAUSES,
    NO,
    UNKNOWN,
    UP,
    YES,
)
from controller.facts import Facts, Judge
from controller.frames import ABSENT
from controller.pressure import Pressure

from . import contracts
from .contracts import flags, within
from .symbolic import LIMIT, term
from .timers import PersistModel, SteadyModel

FLAGS = "read lost disagree doubted burst_now loss_now charging clear late_latch clock_bad leave settings_ok wiring_ok".split()
OTHERS = (
    "link_good down_run up_done settings_ok wiring_ok pressure_known sensors_agree air_ok not_charging supply_ok "
    "ground_clear leave"
).split()
FREE = "command mbar doubted_mbar supply_mv force_below retract_above supply_force supply_permit".split()
LINK_AND_SWITCH = "state was_good frame down_run up_done".split()


class JudgeModel:
    """Unknowns by name in `s`; timers low, lost, supply (faults), air, supplied (permits)."""

    def __init__(self):
        self.s = SimpleNamespace(**{name: z3.Int(f"j_{name}") for name in (*FLAGS, *FREE, *LINK_AND_SWITCH)})
        self.low = PersistModel("j_low")
        self.lost = PersistModel("j_lost", self.low.heal)
        self.supply = PersistModel("j_supply", self.low.heal)
        self.air = SteadyModel("j_air")
        self.supplied = SteadyModel("j_supplied", self.air.need)
        self.timers = (self.low, self.lost, self.supply, self.air, self.supplied)
        s = self.s
        self.inputs = [
            flags(*[getattr(s, name) for name in (*FLAGS, "command")]),
            *[within(-LIMIT + 1, value, LIMIT - 1) for value in (s.mbar, s.doubted_mbar, s.supply_mv)],
            within(500, s.force_below, 15000),
            within(s.force_below, s.retract_above, 15000),
            within(2500, s.supply_force, 20000),
            s.supply_permit == s.supply_force + 300,
        ]
        self.link_and_switch = [
            contracts.link_state(s.state, s.was_good),
            contracts.switch(s.frame, s.down_run, s.up_done),
        ]
        self.state = [rule for timer in self.timers for rule in timer.assumptions]

    def build(self, explorer, **given):
        """(judge, arguments of its step); `given` replaces unknowns by objects of a larger run."""

        def holder(**names):
            return SimpleNamespace(**{name: explorer.fresh(f"j_{unknown}") for name, unknown in names.items()})

        def named(text):
            return holder(**{name: name for name in text.split()})

        judge = Judge.__new__(Judge)
        judge.facts = Facts()
        judge.facts.settings_ok = explorer.fresh("j_settings_ok")
        judge.facts.wiring_ok = explorer.fresh("j_wiring_ok")
        judge._s = holder(
            force_below_mbar="force_below", retract_above_mbar="retract_above", supply_force_mv="supply_force"
        )
        judge._l = holder(supply_permit_mv="supply_permit")
        judge._low, judge._pressure = self.low.build(explorer), self.lost.build(explorer)
        judge._supply, judge._air = self.supply.build(explorer), self.air.build(explorer)
        judge._supply_ok = self.supplied.build(explorer)
        pressure = Pressure.__new__(Pressure)
        for name in ("read", "lost", "mbar", "disagree", "doubted", "doubted_mbar"):
            setattr(pressure, name, explorer.fresh(f"j_{name}"))
        parts = {
            "command": explorer.fresh("j_command"),
            "link": named("state was_good"),
            "switch": named("frame down_run up_done"),
            "pressure": pressure,
            "strokes": named("burst_now loss_now"),
            "tank": named("charging"),
            "supply_mv": explorer.fresh("j_supply_mv"),
            "ground": named("clear"),
            "health": named("late_latch clock_bad"),
            "leave": explorer.fresh("j_leave"),
        }
        parts.update(given)
        return judge, parts

    def after(self, judge):
        """Facts and observers after the tick."""
        s, n = self.s, SimpleNamespace()
        facts = judge.facts
        n.present = [term(value) for value in facts.present]
        n.absent = [term(value) for value in facts.absent]
        n.others = {name: term(getattr(facts, name)) for name in OTHERS}
        n.frame = term(facts.frame)
        up = s.command == UP
        # A sensor that is not believed may say that air is low, and nothing else.
        doubted = z3.And(s.doubted == 1, s.doubted_mbar < s.force_below)
        low = z3.If(s.read == 0, z3.If(doubted, YES, UNKNOWN), z3.If(s.mbar < s.force_below, YES, NO))
        lost = z3.If(s.lost == 1, YES, z3.If(s.read == 0, UNKNOWN, NO))
        n.enough = z3.And(s.read == 1, s.mbar >= s.retract_above)
        n.measured = s.supply_mv != ABSENT
        # SR-03 and SR-05 ask "with UP": with DOWN they begin from nothing.
        n.low = [z3.If(up, value, 0) for value in self.low.observe(low)]
        n.lost = [z3.If(up, value, 0) for value in self.lost.observe(lost)]
        weak = self.supply.observe(z3.If(s.supply_mv < s.supply_force, YES, NO))
        n.weak = [z3.If(n.measured, new, old) for new, old in zip(weak, (self.supply.yes, self.supply.no), strict=True)]
        n.supplied_now = s.supply_mv >= s.supply_permit
        n.air = self.air.observe(z3.If(n.enough, YES, NO))
        n.supplied = z3.If(n.measured, self.supplied.observe(z3.If(n.supplied_now, YES, NO)), self.supplied.run)
        return n

    def invariant(self, judge, n):
        return z3.And(
            self.low.tied(judge._low, *n.low),
            self.lost.tied(judge._pressure, *n.lost),
            self.supply.tied(judge._supply, *n.weak),
            self.air.tied(judge._air, n.air),
            self.supplied.tied(judge._supply_ok, n.supplied),
        )


def absent_meanings(s, n):
    """Per cause that can be released: what SR-07 calls known absent."""
    return {
        CAUSE_LOW_AIR: n.enough,
        CAUSE_PRESSURE: z3.And(s.read == 1, s.lost == 0),
        CAUSE_LINK: s.state == LINK_GOOD,
        CAUSE_SUPPLY: z3.Or(z3.Not(n.measured), n.supplied_now),
        CAUSE_LATE: s.late_latch == 0,
    }


def meaning_goals(model, n):
    """{name: term}: what each present, absent and permit flag means."""
    s = model.s
    up = s.command == UP
    low_air = z3.And(up, n.low[0] >= model.low.need)
    blind = z3.And(up, n.lost[0] >= model.lost.need)
    present, absent, others = n.present, n.absent, n.others
    named = {
        "SR-03 low air is low_confirm below force_below with UP, unhealed": (present[CAUSE_LOW_AIR] == 1) == low_air,
        "SR-05 pressure unknown is sensor_force without a believed sensor with UP": (present[CAUSE_PRESSURE] == 1)
        == blind,
        "SR-13 supply low is supply_confirm below the forcing point": z3.Implies(
            n.measured, (present[CAUSE_SUPPLY] == 1) == (n.weak[0] >= model.supply.need)
        ),
        "SR-13 supply that is not measured is no cause": z3.Implies(z3.Not(n.measured), present[CAUSE_SUPPLY] == 0),
        "SR-06 the link's cause is a link lost that was good": (present[CAUSE_LINK] == 1)
        == z3.And(s.state == LINK_LOST, s.was_good == 1),
        "SR-04 burst and loss are passed on": z3.And(
            present[CAUSE_BURST] == s.burst_now, present[CAUSE_STROKE_LOSS] == s.loss_now
        ),
        "SR-31 SR-33 lateness and clock are passed on": z3.And(
            present[CAUSE_LATE] == s.late_latch, present[CAUSE_CLOCK] == s.clock_bad
        ),
        "SR-11 a veto is leave gone with UP and no run to DOWN": (present[CAUSE_SECOND_PATH] == 1)
        == z3.And(up, s.leave == 0, s.down_run == 0),
        "SR-07 what is present is not absent": z3.And(*[absent[c] + present[c] <= 1 for c in range(N_CAUSES)]),
        "SR-07 unknown pressure is never absence": z3.Implies(
            s.read == 0, z3.And(absent[CAUSE_LOW_AIR] == 0, absent[CAUSE_PRESSURE] == 0)
        ),
        "SR-02 SR-17 air is enough after permit_confirm at or above retract_above": (others["air_ok"] == 1)
        == (n.air >= model.air.need),
        "SR-02 SR-13 supply is enough after permit_confirm, or not measured": (others["supply_ok"] == 1)
        == z3.Or(z3.Not(n.measured), n.supplied >= model.supplied.need),
        "SR-02 SR-05 pressure is known when a believed sensor reads": (others["pressure_known"] == 1)
        == z3.And(s.read == 1, s.lost == 0),
        "SR-05 sensors that disagree refuse": (others["sensors_agree"] == 1) == (s.disagree == 0),
        "SR-02 SR-16 the other permits are passed on": z3.And(
            others["not_charging"] == 1 - s.charging,
            others["ground_clear"] == s.clear,
            others["leave"] == s.leave,
            (others["link_good"] == 1) == (s.state == LINK_GOOD),
            others["settings_ok"] == s.settings_ok,
            others["wiring_ok"] == s.wiring_ok,
        ),
        "SR-08 the switch is passed on": z3.And(
            n.frame == s.frame, others["down_run"] == s.down_run, others["up_done"] == s.up_done
        ),
    }
    for cause, meaning in absent_meanings(s, n).items():
        named[f"SR-07 absent[{cause}] is known absence"] = (absent[cause] == 1) == z3.And(meaning, present[cause] == 0)
    return named
