"""From graded readings to what the mode logic may know: flags 0 or 1, and nothing else.

present[c]   1 while the condition of cause c is confirmed now; gear.py latches it
absent[c]    1 while cause c is known to be absent; unknown is not absent (SR-07)
permits      1 while the permit holds (SR-02)

A condition that SR-03, 04 and 05 ask for "with UP" starts from nothing at every retraction: its counters stand still
at zero while the command is DOWN.
"""

from .codes import (
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
    POSITION_UNKNOWN,
    SETTINGS_GOOD,
    SETTINGS_ONE_COPY,
    UNKNOWN,
    UP,
    VALVE_INVALID,
    VALVE_SPRING,
    YES,
)
from .frames import ABSENT
from .limits import SUPPLY_CONFIRM_DRIVEN_MS, ticks_down
from .persist import Persist, Steady


class Facts:
    """Everything that gear.py reads. Plain flags, so that a proof or a search can set each one freely."""

    __slots__ = (
        "present",
        "absent",
        "link_good",
        "frame",
        "down_run",
        "up_done",
        "settings_ok",
        "wiring_ok",
        "pressure_known",
        "sensors_agree",
        "air_ok",
        "not_charging",
        "supply_ok",
        "ground_clear",
        "leave",
    )

    def __init__(self):
        self.present = [0] * N_CAUSES
        self.absent = [0] * N_CAUSES
        self.link_good = 0
        self.frame = POSITION_UNKNOWN
        self.down_run = 0
        self.up_done = 0
        self.settings_ok = 0
        self.wiring_ok = 0
        self.pressure_known = 0
        self.sensors_agree = 0
        self.air_ok = 0
        self.not_charging = 0
        self.supply_ok = 0
        self.ground_clear = 0
        self.leave = 0


def flag(is_it):
    """1 for a fact that is YES, 0 for NO and UNKNOWN: unknown is never fine."""
    if is_it == YES:
        return 1
    return 0


def _supply_need(limits, valve_kind):
    """Ticks of low supply that force: fewer where the valve has to be driven to fall (SR-13)."""
    if valve_kind == VALVE_SPRING:
        return limits.supply_ticks
    driven_ticks = ticks_down(SUPPLY_CONFIRM_DRIVEN_MS, limits.tick_ms)
    if limits.supply_ticks < driven_ticks:
        return limits.supply_ticks
    return driven_ticks


class Judge:
    """Holds the persistence counters of the causes and permits, and fills Facts."""

    __slots__ = ("facts", "_s", "_l", "_low", "_pressure", "_supply", "_air", "_supply_ok")

    def __init__(self, settings, limits, settings_state, valve_kind):
        self._s = settings
        self._l = limits
        self._low = Persist(limits.low_ticks, limits.heal_ticks)
        self._pressure = Persist(limits.sensor_force_ticks, limits.heal_ticks)
        self._supply = Persist(_supply_need(limits, valve_kind), limits.heal_ticks)
        self._air = Steady(limits.permit_ticks)
        self._supply_ok = Steady(limits.permit_ticks)
        facts = Facts()
        if settings_state == SETTINGS_GOOD:
            facts.settings_ok = 1
        if settings_state == SETTINGS_ONE_COPY:
            facts.settings_ok = 1
        if valve_kind != VALVE_INVALID:
            facts.wiring_ok = 1
        self.facts = facts

    def step(self, command, link, switch, pressure, strokes, tank, supply_mv, ground, health, leave):
        """One tick. `command` is the output of the last tick; `leave` is the second path's word on this one."""
        facts = self.facts
        present = facts.present
        absent = facts.absent
        facts.frame = switch.frame
        facts.down_run = switch.down_run
        facts.up_done = switch.up_done
        facts.ground_clear = ground.clear
        facts.leave = leave
        self._link(link)
        self._air_facts(command, pressure, strokes, tank)
        self._supply_facts(supply_mv)
        present[CAUSE_LATE] = health.late_latch
        present[CAUSE_CLOCK] = health.clock_bad
        # Released by waking again, not by absence (SR-31); never (SR-33); never (SR-11).
        absent[CAUSE_LATE] = 1
        absent[CAUSE_CLOCK] = 0
        absent[CAUSE_SECOND_PATH] = 0
        present[CAUSE_SECOND_PATH] = 0
        if command == UP:
            if leave == 0:
                # The pilot's own DOWN ends the leave as well, and is no veto.
                present[CAUSE_SECOND_PATH] = 1 - switch.down_run
        # What is still confirmed is not absent, even where the latest sample alone would say so.
        for cause in range(N_CAUSES):
            absent[cause] = absent[cause] & (1 - present[cause])

    def _link(self, link):
        facts = self.facts
        facts.link_good = 0
        facts.present[CAUSE_LINK] = 0
        if link.state == LINK_GOOD:
            facts.link_good = 1
        if link.state == LINK_LOST:
            # Before the first good link nothing has been lost; the gear is down anyway (SR-01).
            if link.was_good == 1:
                facts.present[CAUSE_LINK] = 1
        facts.absent[CAUSE_LINK] = facts.link_good

    def _air_facts(self, command, pressure, strokes, tank):
        facts = self.facts
        present = facts.present
        absent = facts.absent
        if command == UP:
            present[CAUSE_LOW_AIR] = self._low.step(pressure.below(self._s.force_below_mbar))
            present[CAUSE_PRESSURE] = self._pressure.step(self._lost_fact(pressure))
        else:
            self._low.reset()
            self._pressure.reset()
            present[CAUSE_LOW_AIR] = 0
            present[CAUSE_PRESSURE] = 0
        present[CAUSE_BURST] = strokes.burst_now
        present[CAUSE_STROKE_LOSS] = strokes.loss_now
        absent[CAUSE_BURST] = 0
        absent[CAUSE_STROKE_LOSS] = 0
        enough = pressure.at_least(self._s.retract_above_mbar)
        absent[CAUSE_LOW_AIR] = flag(enough)
        facts.air_ok = self._air.step(enough)
        facts.pressure_known = pressure.read & (1 - pressure.lost)
        absent[CAUSE_PRESSURE] = facts.pressure_known
        facts.sensors_agree = 1 - pressure.disagree
        facts.not_charging = 1 - tank.charging

    def _lost_fact(self, pressure):
        if pressure.lost == 1:
            return YES
        # A fault that is not confirmed yet is no proof of health.
        if pressure.read == 0:
            return UNKNOWN
        return NO

    def _supply_facts(self, supply_mv):
        facts = self.facts
        if supply_mv == ABSENT:
            facts.present[CAUSE_SUPPLY] = 0
            facts.absent[CAUSE_SUPPLY] = 1
            facts.supply_ok = 1
            return
        low = NO
        if supply_mv < self._s.supply_force_mv:
            low = YES
        enough = NO
        if supply_mv >= self._l.supply_permit_mv:
            enough = YES
        facts.present[CAUSE_SUPPLY] = self._supply.step(low)
        facts.absent[CAUSE_SUPPLY] = flag(enough)
        facts.supply_ok = self._supply_ok.step(enough)
