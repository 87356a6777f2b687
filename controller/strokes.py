"""What a stroke costs in air, and what a fall of pressure says: burst, lost stroke, leak, filling, a stroke too cheap.

Runs before the mode logic, so it sees a change of command one tick later; the tank has hardly moved by then.

in_progress   1 from a change of command until the slowest stroke and its settling are over
burst         fact for SR-04 (a), burst_rate its mbar/s
stroke_loss   fact for SR-04 (b), fall_mbar since the start of the stroke
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

FEW_MBAR = 25


class Window:
    """Ring of smooth pressures, one a tick, for the mean fall over `burst_window`."""

    __slots__ = ("full", "oldest", "_ring", "_at", "_filled", "_need")

    def __init__(self, need):
        self._need = need
        self._ring = [0] * need
        self._at = 0
        self._filled = 0
        self.full = 0
        self.oldest = 0

    def restart(self):
        self._filled = 0
        self.full = 0

    def push(self, value):
        """Store `value`; with `full` 1, `oldest` is the one from `need` ticks ago, all of them since the restart."""
        if self._filled == self._need:
            self.full = 1
            self.oldest = self._ring[self._at]
        else:
            self._filled += 1
        self._ring[self._at] = value
        self._at += 1
        if self._at == self._need:
            self._at = 0


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
        "_s",
        "_l",
        "last",
        "_from_settled",
        "_start_smooth",
        "_start_known",
        "_braked",
        "_brake_us",
        "_window",
        "_burst",
        "_loss",
    )

    def __init__(self, settings, limits):
        self._s = settings
        self._l = limits
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
        self._start_smooth = 0
        self._start_known = 0
        self._braked = 0
        self._brake_us = 0
        self._window = Window(limits.window_ticks)
        self._burst = Consecutive(BURST_SAMPLES)
        self._loss = Consecutive(BURST_SAMPLES)

    def step(self, command, pressure, brake_seen, brake_us):
        """One tick. `command` is the output of the last tick; `brake_seen` 1 with a fresh valid brake pulse."""
        self._watch_brake(brake_seen, brake_us)
        if command != self.last:
            self._begin(command, pressure)
        else:
            self._go_on(pressure)
        self.last = command
        self._weigh_burst(command, pressure)
        self._weigh_loss(command, pressure)

    def _watch_brake(self, brake_seen, brake_us):
        if self.brake_age < self._l.brake_settle_ticks:
            self.brake_age += 1
        if brake_seen == 0:
            return
        moved_us = brake_us - self._brake_us
        if moved_us < 0:
            moved_us = -moved_us
        # Receivers jitter by a few microseconds; a lever that moves air moves further.
        if moved_us > 30:
            self._brake_us = brake_us
            self.brake_age = 0
            self._braked = 1

    def _begin(self, command, pressure):
        self._from_settled = 0
        if self.since_change > self._l.stroke_ticks + self._l.second_ticks:
            self._from_settled = 1
        self.since_change = 0
        self.in_progress = 1
        self._start_smooth = pressure.smooth
        self._start_known = pressure.primed
        self._braked = 0
        self._window.restart()
        self._burst.reset()
        self._loss.reset()
        for sensor in pressure.sensors:
            sensor.watch_span()

    def _go_on(self, pressure):
        if self.since_change <= self._l.stroke_ticks + self._l.second_ticks:
            self.since_change += 1
        if self.since_change == self._l.stroke_ticks:
            self.in_progress = 0
            self._judge_span(pressure)
        if self.since_change == self._l.stroke_ticks + self._l.second_ticks:
            self._judge_cost(pressure)

    def expected_mbar(self):
        """What the stroke that began last should cost once settled, mbar; 0 where its start is not known."""
        if self._start_known == 0:
            return 0
        start_mbar = self._start_smooth // 16
        if self.last == UP:
            return isothermal_drop_mbar(start_mbar, self._l.retract_ratio, self._l.retract_dead)
        return isothermal_drop_mbar(start_mbar, self._l.extend_ratio, self._l.extend_dead)

    def _judge_span(self, pressure):
        if self._from_settled == 0:
            return
        expected_mbar = self.expected_mbar()
        for sensor in pressure.sensors:
            sensor.judge_span(expected_mbar)

    def _judge_cost(self, pressure):
        # SR-15: only a whole stroke, from a settled end, without brakes, large enough to be seen in the noise.
        if self._from_settled == 0:
            return
        if self._braked == 1:
            return
        if pressure.read == 0:
            return
        expected_mbar = self.expected_mbar()
        if expected_mbar < FEW_MBAR:
            return
        if expected_mbar < 8 * self._s.sensor_noise_mbar:
            return
        self.too_cheap = 0
        dropped_mbar = (self._start_smooth - pressure.smooth) // 16
        if dropped_mbar * 1000 < expected_mbar * self._s.stroke_fraction_permille:
            self.too_cheap = 1

    def _weigh_burst(self, command, pressure):
        if pressure.jumped == 1:
            self._window.restart()
            self._start_known = 0
        self._window.push(pressure.smooth)
        if self.in_progress == 1:
            self._window.restart()
        self.burst_now = self._burst.step(self._burst_fact(command, pressure))

    def _burst_fact(self, command, pressure):
        if command != UP:
            return NO
        if self._window.full == 0:
            return NO
        if self.brake_age < self._l.brake_settle_ticks:
            return NO
        if pressure.read == 0:
            return UNKNOWN
        # A fall that only one of two sensors shows says nothing of the tank: no forcing of its own (SR-05).
        if pressure.apart == 1:
            return UNKNOWN
        fall_mbar = (self._window.oldest - pressure.smooth) // 16
        rate = fall_mbar * 1000 // self._s.burst_window_ms
        if rate < self._s.burst_floor_mbar_s:
            return NO
        # Bounds the product below; any rate like this is a burst.
        if rate > MAX_RATE_MBAR_S:
            rate = MAX_RATE_MBAR_S
        self.burst_rate = rate
        lost_mbar = rate * (self._s.extend_ms + self._s.burst_lead_ms) // 1000
        if pressure.mbar - lost_mbar < self._s.lock_min_mbar:
            return YES
        return NO

    def _weigh_loss(self, command, pressure):
        self.loss_now = self._loss.step(self._loss_fact(command, pressure))

    def _loss_fact(self, command, pressure):
        if command != UP:
            return NO
        if self.in_progress == 0:
            return NO
        if self._start_known == 0:
            return NO
        if pressure.read == 0:
            return UNKNOWN
        if pressure.apart == 1:
            return UNKNOWN
        start_mbar = self._start_smooth // 16
        expected_mbar = adiabatic_drop_mbar(start_mbar, self._l.retract_ratio, self._l.retract_dead)
        allowed_mbar = expected_mbar * STROKE_LOSS_PERCENT // 100 + STROKE_LOSS_MBAR + self._s.brake_mbar
        self.fall_mbar = start_mbar - pressure.mbar
        if self.fall_mbar > allowed_mbar:
            return YES
        return NO
