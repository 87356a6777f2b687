"""What a stroke costs in air, and what a fall of pressure says: burst, lost stroke, frozen sensor, a stroke too cheap.

Runs before the mode logic, so it sees a change of command one tick later; the tank has hardly moved by then.

in_progress   1 from a change of command until the slowest stroke and its settling are over
burst_now     1 in a tick in which SR-04 (a) is met, burst_rate its mbar/s
loss_now      1 in a tick in which SR-04 (b) is met, fall_mbar since the start of the stroke
too_cheap     1 after a whole stroke that cost too little (SR-15), until one that did not

Every question is put to each sensor that has a say (slopes.py). A NO of one is a NO: a fall that only one of two
sensors shows says nothing of the tank (SR-05).
"""

from .codes import DOWN, NO, UNKNOWN, UP, YES
from .limits import (
    BURST_SAMPLES,
    MAX_RATE_MBAR_S,
    STROKE_LOSS_MBAR,
    STROKE_LOSS_PERCENT,
    adiabatic_drop_mbar,
    isothermal_drop_mbar,
)
from .persist import Consecutive
from .slopes import Slope

FEW_MBAR = 25
# Receivers jitter by a few microseconds; a lever that moves air moves further.
BRAKE_MOVED_US = 30


class Strokes:
    """Follows the command that the valve was given; `last` is the one of the tick before."""

    __slots__ = (
        "in_progress",
        "burst_now",
        "burst_rate",
        "loss_now",
        "fall_mbar",
        "since_change",
        "brake_age",
        "too_cheap",
        "last",
        "_s",
        "_l",
        "_count",
        "_slopes",
        "_from_settled",
        "_braked",
        "_brake_us",
        "_burst",
        "_loss",
    )

    def __init__(self, settings, limits):
        self._s = settings
        self._l = limits
        self._count = settings.sensor_count
        self._slopes = [Slope(limits.window_ticks) for _ in range(self._count)]
        self.in_progress = 0
        self.burst_now = 0
        self.burst_rate = 0
        self.loss_now = 0
        self.fall_mbar = 0
        # At boot the gear is down: no stroke, and the end is settled.
        self.since_change = limits.stroke_ticks + limits.second_ticks + 1
        self.brake_age = limits.brake_settle_ticks
        self.too_cheap = 0
        self.last = DOWN
        self._from_settled = 0
        self._braked = 0
        self._brake_us = 0
        self._burst = Consecutive(BURST_SAMPLES)
        self._loss = Consecutive(BURST_SAMPLES)

    def step(self, command, pressure, brake_seen, brake_us):
        """One tick. `command` is the output of the last tick; `brake_seen` 1 with a fresh valid brake pulse."""
        self._watch_brake(brake_seen, brake_us)
        for index in range(self._count):
            self._slopes[index].step(pressure.sensors[index])
        if command != self.last:
            self._begin(pressure)
        else:
            self._go_on(pressure)
        self.last = command
        if self.in_progress == 1:
            for slope in self._slopes:
                slope.window.restart()
        self.burst_now = self._burst.step(self._burst_fact(command, pressure))
        self.loss_now = self._loss.step(self._loss_fact(command))

    def _watch_brake(self, brake_seen, brake_us):
        if self.brake_age < self._l.brake_settle_ticks:
            self.brake_age += 1
        if brake_seen == 0:
            return
        moved_us = brake_us - self._brake_us
        if moved_us < 0:
            moved_us = -moved_us
        if moved_us > BRAKE_MOVED_US:
            self._brake_us = brake_us
            self.brake_age = 0
            self._braked = 1

    def _begin(self, pressure):
        self._from_settled = 0
        if self.since_change > self._l.stroke_ticks + self._l.second_ticks:
            self._from_settled = 1
        self.since_change = 0
        self.in_progress = 1
        self._braked = 0
        self._burst.reset()
        self._loss.reset()
        for index in range(self._count):
            self._slopes[index].begin()
            pressure.sensors[index].watch_span()

    def _go_on(self, pressure):
        if self.since_change <= self._l.stroke_ticks + self._l.second_ticks:
            self.since_change += 1
        if self.since_change == self._l.stroke_ticks:
            self.in_progress = 0
            self._judge_spans(pressure)
        if self.since_change == self._l.stroke_ticks + self._l.second_ticks:
            self._judge_cost()

    def _settled_cost_mbar(self, start_mbar):
        """What the stroke that began last should cost once settled, mbar."""
        if self.last == UP:
            return isothermal_drop_mbar(start_mbar, self._l.retract_ratio, self._l.retract_dead)
        return isothermal_drop_mbar(start_mbar, self._l.extend_ratio, self._l.extend_dead)

    def _judge_spans(self, pressure):
        # Only whole strokes, from a settled end, say what they should have cost (SR-05, SR-15).
        if self._from_settled == 0:
            return
        # One that stands still near zero must not hide behind the little that a stroke from there would cost.
        expected_mbar = 0
        for slope in self._slopes:
            if slope.start_known == 1:
                cost_mbar = self._settled_cost_mbar(slope.start_mbar)
                if cost_mbar > expected_mbar:
                    expected_mbar = cost_mbar
        for index in range(self._count):
            pressure.sensors[index].judge_span(expected_mbar)

    def _judge_cost(self):
        if self._from_settled == 0:
            return
        if self._braked == 1:
            return
        fact = UNKNOWN
        for slope in self._slopes:
            one = self._cheap_fact(slope)
            if one == NO:
                self.too_cheap = 0
                return
            if one == YES:
                fact = YES
        if fact == YES:
            self.too_cheap = 1

    def _cheap_fact(self, slope):
        # Only what is large enough to be seen in the noise.
        if slope.votes == 0:
            return UNKNOWN
        if slope.start_known == 0:
            return UNKNOWN
        expected_mbar = self._settled_cost_mbar(slope.start_mbar)
        if expected_mbar < FEW_MBAR:
            return UNKNOWN
        if expected_mbar < 8 * self._s.sensor_noise_mbar:
            return UNKNOWN
        if slope.dropped_mbar() * 1000 < expected_mbar * self._s.stroke_fraction_permille:
            return YES
        return NO

    def _burst_fact(self, command, pressure):
        if command != UP:
            return NO
        if self.in_progress == 1:
            return NO
        if self.brake_age < self._l.brake_settle_ticks:
            return NO
        fact = UNKNOWN
        for slope in self._slopes:
            one = self._burst_of(slope, pressure.mbar)
            if one == NO:
                return NO
            if one == YES:
                fact = YES
        return fact

    def _burst_of(self, slope, governing_mbar):
        if slope.votes == 0:
            return UNKNOWN
        if slope.window.full == 0:
            return UNKNOWN
        rate = slope.window_fall_mbar() * 1000 // self._s.burst_window_ms
        if rate < self._s.burst_floor_mbar_s:
            return NO
        # Bounds the product below; any rate like this is a burst.
        if rate > MAX_RATE_MBAR_S:
            rate = MAX_RATE_MBAR_S
        self.burst_rate = rate
        lost_mbar = rate * (self._s.extend_ms + self._s.burst_lead_ms) // 1000
        if governing_mbar - lost_mbar < self._s.lock_min_mbar:
            return YES
        return NO

    def _loss_fact(self, command):
        if command != UP:
            return NO
        if self.in_progress == 0:
            return NO
        fact = UNKNOWN
        for slope in self._slopes:
            one = self._loss_of(slope)
            if one == NO:
                return NO
            if one == YES:
                fact = YES
        return fact

    def _loss_of(self, slope):
        if slope.votes == 0:
            return UNKNOWN
        if slope.start_known == 0:
            return UNKNOWN
        expected_mbar = adiabatic_drop_mbar(slope.start_mbar, self._l.retract_ratio, self._l.retract_dead)
        allowed_mbar = expected_mbar * STROKE_LOSS_PERCENT // 100 + STROKE_LOSS_MBAR + self._s.brake_mbar
        self.fall_mbar = slope.start_mbar - slope.mbar
        if self.fall_mbar > allowed_mbar:
            return YES
        return NO
