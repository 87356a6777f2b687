"""Aids to the pilot that never touch the gear: brakes on, gear not down, landing light (SR-21 to SR-23)."""

from .codes import DOWN, LOCK_CLOSED, LOCK_NOT_FITTED, NO, UNKNOWN, UP, YES
from .frames import ABSENT
from .levers import Beyond
from .limits import SUPPLY_DEADBAND_MV
from .persist import Persist

DEAD_ZONE_PERMILLE = 20
# The light switch is a switch, not a lever: a wide dead zone around the middle.
LIGHT_ON_PERMILLE = 600
LIGHT_OFF_PERMILLE = 400


def both(one, other):
    """YES if both are, NO if either is NO, else UNKNOWN."""
    if one == NO:
        return NO
    if other == NO:
        return NO
    if one == UNKNOWN:
        return UNKNOWN
    return other


class Aids:
    """brakes_on, not_down: 1 while confirmed. light: 1 while the landing light may be lit."""

    __slots__ = (
        "brakes_on",
        "not_down",
        "light",
        "_throttle",
        "_brake",
        "_light",
        "_brakes",
        "_idle",
        "_down",
        "_down_need",
        "_shed",
        "_shed_mv",
    )

    def __init__(self, settings, limits):
        idle = settings.throttle_idle_permille
        self._throttle = Beyond(idle, idle - DEAD_ZONE_PERMILLE)
        self._brake = Beyond(settings.brake_on_permille, settings.brake_on_permille - DEAD_ZONE_PERMILLE)
        self._light = Beyond(LIGHT_ON_PERMILLE, LIGHT_OFF_PERMILLE)
        self._brakes = Persist(limits.brake_ticks, limits.heal_ticks)
        self._idle = Persist(limits.approach_ticks, limits.heal_ticks)
        self.brakes_on = 0
        self.not_down = 0
        self.light = 0
        # Where the legs are at power-on is not known, so a boot counts as a change to DOWN.
        self._down = 0
        self._down_need = limits.stroke_ticks
        self._shed = 0
        self._shed_mv = limits.supply_permit_mv

    def step(self, command, throttle, brake, light, locks, supply_mv):
        """One tick. `command` is this tick's output; levers are levers.Lever."""
        self._throttle.step(throttle.permille)
        self._brake.step(brake.permille)
        self._light.step(light.permille)
        self.brakes_on = self._brakes.step(self._brake_fact(throttle.permille, brake.permille))
        self.not_down = self._idle.step(self._idle_fact(command, throttle.permille))
        self._watch_supply(supply_mv)
        self._light_step(command, locks)

    def _brake_fact(self, throttle_permille, brake_permille):
        if throttle_permille == ABSENT:
            return NO
        if brake_permille == ABSENT:
            return NO
        return both(self._brake.fact, self._throttle.fact)

    def _idle_fact(self, command, throttle_permille):
        if command == DOWN:
            return NO
        if throttle_permille == ABSENT:
            return NO
        if self._throttle.fact == UNKNOWN:
            return UNKNOWN
        if self._throttle.fact == YES:
            return NO
        return YES

    def _watch_supply(self, supply_mv):
        if supply_mv == ABSENT:
            return
        # Off at once; on again only a little higher, or the lamp's own load would make it flicker.
        if supply_mv < self._shed_mv:
            self._shed = 1
        if supply_mv >= self._shed_mv + SUPPLY_DEADBAND_MV:
            self._shed = 0

    def _light_step(self, command, locks):
        self.light = 0
        if command == UP:
            self._down = 0
            return
        if self._down < self._down_need:
            self._down += 1
        if self._light.fact != YES:
            return
        if self._shed == 1:
            return
        if locks.all == LOCK_NOT_FITTED:
            if self._down < self._down_need:
                return
        elif locks.all != LOCK_CLOSED:
            return
        self.light = 1
