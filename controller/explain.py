"""Why the pilot was overridden: the first cause, the reading that did it, and since when. Decides nothing."""

from .codes import (
    CAUSE_BURST,
    CAUSE_CLOCK,
    CAUSE_LATE,
    CAUSE_LINK,
    CAUSE_LOW_AIR,
    CAUSE_NONE,
    CAUSE_PRESSURE,
    CAUSE_STROKE_LOSS,
    CAUSE_SUPPLY,
    N_CAUSES,
    REFUSAL_NONE,
    REFUSAL_SUPPLY,
)
from .frames import NOT_KNOWN


class Explain:
    """Keeps the first cause while anything is latched, and the latest refusal while it shows."""

    __slots__ = ("cause", "_value", "_tick", "_refusal_value", "_refusal_tick")

    def __init__(self):
        self.cause = CAUSE_NONE
        self._value = 0
        self._tick = 0
        self._refusal_value = 0
        self._refusal_tick = 0

    def step(self, tick, gear, pressure, strokes, link, supply_mv, health, tick_ms, outputs):
        """One tick; returns 1 in the tick in which a first cause is found."""
        new = 0
        if self.cause != CAUSE_NONE:
            # One that was released while others stay is not the reason any more.
            if gear.latched[self.cause] == 0:
                self.cause = CAUSE_NONE
        if gear.held == 0:
            self.cause = CAUSE_NONE
            self._value = 0
        elif self.cause == CAUSE_NONE:
            new = 1
            self._tick = tick
            self._find(gear, pressure, strokes, link, supply_mv, health, tick_ms)
        if gear.refused_now == 1:
            self._refusal_tick = tick
            self._refusal_value = NOT_KNOWN
            if pressure.read == 1:
                self._refusal_value = pressure.mbar
            if gear.refusal == REFUSAL_SUPPLY:
                self._refusal_value = supply_mv
        self._fill(gear, outputs)
        return new

    def _find(self, gear, pressure, strokes, link, supply_mv, health, tick_ms):
        # In the order of the codes: where two come in one tick, the one that needs the pilot most comes first.
        for cause in range(N_CAUSES - 1, -1, -1):
            if gear.latched[cause] == 1:
                self.cause = cause
        self._value = 0
        if self.cause == CAUSE_LOW_AIR:
            self._value = pressure.mbar
            if pressure.doubted == 1:
                self._value = pressure.doubted_mbar
        if self.cause == CAUSE_BURST:
            self._value = strokes.burst_rate
        if self.cause == CAUSE_STROKE_LOSS:
            self._value = strokes.fall_mbar
        if self.cause == CAUSE_PRESSURE:
            self._value = pressure.sensors[0].grade
        if self.cause == CAUSE_LINK:
            self._value = link.outage * tick_ms
        if self.cause == CAUSE_SUPPLY:
            self._value = supply_mv
        if self.cause == CAUSE_LATE:
            self._value = health.late_ms
        if self.cause == CAUSE_CLOCK:
            self._value = health.period_sum_ms

    def _fill(self, gear, outputs):
        latched = gear.latched
        told = outputs.latched
        for cause in range(N_CAUSES):
            told[cause] = latched[cause]
        outputs.cause = self.cause
        outputs.cause_value = self._value
        outputs.cause_tick = self._tick
        outputs.refusal = gear.refusal
        if gear.refusal == REFUSAL_NONE:
            self._refusal_value = 0
            self._refusal_tick = 0
        outputs.refusal_value = self._refusal_value
        outputs.refusal_tick = self._refusal_tick
