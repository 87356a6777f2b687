"""What raises each alert (SR-12 to SR-15, SR-20 to SR-25, SR-30): from the tick's state to Alerts.wanted.

Deadbands of level alerts are here; how long they stay is in alerts.py.
"""

from .codes import (
    ALERT_AIR_LOW,
    ALERT_BRAKE_CHANNEL,
    ALERT_BRAKES,
    ALERT_CHARGING,
    ALERT_DISAGREE,
    ALERT_FORCED,
    ALERT_HELD,
    ALERT_LATE,
    ALERT_LEAK,
    ALERT_LIGHT_CHANNEL,
    ALERT_LINK,
    ALERT_LOCK_SWITCH,
    ALERT_LOCKED_OUT,
    ALERT_NOT_DOWN,
    ALERT_NOT_LOCKED,
    ALERT_PRESSURE,
    ALERT_REFUSED,
    ALERT_RESTARTED,
    ALERT_SENSOR,
    ALERT_SETTINGS_DIFFER,
    ALERT_SETTINGS_NONE,
    ALERT_SETTINGS_ONE,
    ALERT_STROKE,
    ALERT_SUPPLY,
    ALERT_THROTTLE,
    ALERT_WIRING,
    LINK_LOST,
    LOCKED_OUT,
    NO,
    REFUSAL_NONE,
    SETTINGS_DIFFER,
    SETTINGS_NONE,
    SETTINGS_ONE_COPY,
    UNKNOWN,
    UP,
    VALVE_INVALID,
    YES,
)
from .frames import ABSENT
from .limits import SUPPLY_DEADBAND_MV
from .persist import Persist


def is_equal(value, other):
    """1 or 0."""
    if value == other:
        return 1
    return 0


class Conditions:
    """Fills `wanted` of an Alerts. Boot-time alerts are set once."""

    __slots__ = ("wanted", "_s", "_l", "_low", "_supply")

    def __init__(self, settings, limits, alerts, settings_state, valve_kind):
        self._s = settings
        self._l = limits
        self._low = Persist(limits.warn_ticks, limits.heal_ticks)
        self._supply = Persist(2, limits.heal_ticks)
        wanted = alerts.wanted
        wanted[ALERT_SETTINGS_NONE] = is_equal(settings_state, SETTINGS_NONE)
        wanted[ALERT_SETTINGS_DIFFER] = is_equal(settings_state, SETTINGS_DIFFER)
        wanted[ALERT_SETTINGS_ONE] = is_equal(settings_state, SETTINGS_ONE_COPY)
        wanted[ALERT_WIRING] = is_equal(valve_kind, VALVE_INVALID)
        self.wanted = wanted

    def step(self, gear, switch, link, pressure, supply_mv, strokes, tank, locks, aids, health, restarts):
        """One tick."""
        wanted = self.wanted
        self._gear(gear, switch, link)
        self._air(pressure)
        self._sensors(pressure)
        self._supply_step(supply_mv)
        wanted[ALERT_NOT_LOCKED] = locks.overdue
        wanted[ALERT_LOCK_SWITCH] = locks.distrusted
        wanted[ALERT_NOT_DOWN] = aids.not_down
        wanted[ALERT_BRAKES] = aids.brakes_on
        wanted[ALERT_LEAK] = tank.leaking
        wanted[ALERT_CHARGING] = tank.charging
        wanted[ALERT_STROKE] = strokes.too_cheap
        wanted[ALERT_LATE] = health.late
        wanted[ALERT_RESTARTED] = 1 - is_equal(restarts.count, 0)

    def levers(self, throttle, brake, light):
        """A fitted channel without pulses gets an advisory, never silence (SR-21)."""
        self.wanted[ALERT_THROTTLE] = throttle.lost
        self.wanted[ALERT_BRAKE_CHANNEL] = brake.lost
        self.wanted[ALERT_LIGHT_CHANNEL] = light.lost

    def _gear(self, gear, switch, link):
        wanted = self.wanted
        wanted[ALERT_FORCED] = 0
        wanted[ALERT_HELD] = 0
        # The sequence of SR-31 goes through waking with its cause latched.
        if gear.held == 1:
            if switch.position == UP:
                wanted[ALERT_FORCED] = 1
            else:
                wanted[ALERT_HELD] = 1
        wanted[ALERT_LOCKED_OUT] = is_equal(gear.mode, LOCKED_OUT)
        wanted[ALERT_REFUSED] = 1 - is_equal(gear.refusal, REFUSAL_NONE)
        wanted[ALERT_LINK] = is_equal(link.state, LINK_LOST) & link.was_good

    def _air(self, pressure):
        fact = pressure.below(self._s.warn_below_mbar)
        if fact == NO:
            # Between the point and the deadband above it, nothing is learnt.
            if pressure.mbar < self._s.warn_below_mbar + self._l.deadband_mbar:
                fact = UNKNOWN
        self.wanted[ALERT_AIR_LOW] = self._low.step(fact)

    def _sensors(self, pressure):
        self.wanted[ALERT_PRESSURE] = pressure.lost
        self.wanted[ALERT_DISAGREE] = pressure.disagree
        failed = 0
        for index in range(self._s.sensor_count):
            failed = failed | pressure.sensors[index].failed
        self.wanted[ALERT_SENSOR] = failed & (1 - pressure.lost)

    def _supply_step(self, supply_mv):
        if supply_mv == ABSENT:
            return
        fact = YES
        if supply_mv >= self._l.supply_permit_mv:
            fact = UNKNOWN
        if supply_mv >= self._l.supply_permit_mv + SUPPLY_DEADBAND_MV:
            fact = NO
        self.wanted[ALERT_SUPPLY] = self._supply.step(fact)
