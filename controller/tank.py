"""The slow side of tank pressure, looked at once a second: is the tank being filled (SR-19), is it leaking (SR-15)?

charging   1 from a rise that only a filling hose explains until 60 s after the rise ended
leaking    1 after a fall of 0.1 bar in 60 s with the gear up and nothing else spending air
"""

from .codes import UP
from .limits import CHARGE_HOLD_S, CHARGE_SPAN_S, LEAK_FILL_S, LEAK_MBAR, LEAK_QUIET_S, LEAK_SPAN_S

EMPTY = -1
# A rise goes on while a second brings more than this; slower warming is not filling.
RISING_MBAR = 5


def _lower(one, other):
    """The lower of two samples; EMPTY only if neither is known."""
    if other == EMPTY:
        return one
    if one == EMPTY:
        return other
    if other < one:
        return other
    return one


class Tank:
    """One-second samples of the smooth pressure over the last minute."""

    __slots__ = ("charging", "leaking", "_l", "_ring", "_at", "_ticks", "_hold_s", "_quiet_s", "_filled_s", "_last")

    def __init__(self, limits):
        self._l = limits
        self._ring = [EMPTY] * LEAK_SPAN_S
        self._at = 0
        self._ticks = 0
        self._hold_s = 0
        self._quiet_s = 0
        # A model is switched on just after filling, as far as anyone here knows.
        self._filled_s = 0
        self._last = EMPTY
        self.charging = 0
        self.leaking = 0

    def step(self, command, pressure, strokes):
        """One tick; works once a second."""
        if strokes.since_change == 0:
            self._quiet_s = 0
        if strokes.brake_age == 0:
            self._quiet_s = 0
        if pressure.jumped == 1:
            self._quiet_s = 0
        self._ticks += 1
        if self._ticks < self._l.second_ticks:
            return
        self._ticks = 0
        now = EMPTY
        if pressure.read == 1:
            now = pressure.smooth // 16
            if now < 0:
                now = 0
        self._count_seconds(strokes)
        self._watch_filling(now)
        self._watch_leak(command, now)
        self._ring[self._at] = now
        self._at += 1
        if self._at == LEAK_SPAN_S:
            self._at = 0
        self._last = now

    def _count_seconds(self, strokes):
        if self._quiet_s < LEAK_QUIET_S + LEAK_SPAN_S:
            self._quiet_s += 1
        if strokes.in_progress == 1:
            self._quiet_s = 0
        if self._filled_s < LEAK_FILL_S + LEAK_SPAN_S:
            self._filled_s += 1

    def _lowest(self):
        """Lowest known sample of the last 30 s, EMPTY if none is known."""
        lowest = EMPTY
        ring = self._ring
        at = self._at
        for back in range(1, CHARGE_SPAN_S + 1):
            # A place below 0 counts from the end of the ring.
            lowest = _lower(lowest, ring[at - back])
        return lowest

    def _watch_filling(self, now):
        if self._hold_s > 0:
            self._hold_s -= 1
        self._see_rise(now)
        self.charging = 0
        if self._hold_s > 0:
            self.charging = 1

    def _see_rise(self, now):
        if now == EMPTY:
            return
        lowest = self._lowest()
        if lowest == EMPTY:
            return
        if now - lowest <= self._l.charge_mbar:
            return
        if now - self._last <= RISING_MBAR:
            return
        self._hold_s = CHARGE_HOLD_S
        self._filled_s = 0

    def _watch_leak(self, command, now):
        if command != UP:
            self.leaking = 0
            return
        if now == EMPTY:
            return
        if self._quiet_s < LEAK_QUIET_S + LEAK_SPAN_S:
            return
        if self._filled_s < LEAK_FILL_S + LEAK_SPAN_S:
            return
        then = self._ring[self._at]
        if then == EMPTY:
            return
        if then - now >= LEAK_MBAR:
            self.leaking = 1
            return
        self.leaking = 0
