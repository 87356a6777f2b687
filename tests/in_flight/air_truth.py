"""What the true tank pressure asks for: SR-03, SR-04 and SR-12 from the plant, not from the sensor.

The demands are written as the requirements give them, on the plant's own pressure, with margins for what a sound sensor
and its filter may differ: DEAF_MBAR of noise and smoothing, and a few ticks. Between "must" and "may" lies twice the
margin, in which either is right. They hold for every failure that leaves the sensors sound.
"""

from collections import deque

from controller import codes

LOW_AIR, BURST, STROKE_LOSS = 1, 2, 4
BITS = {LOW_AIR: "low air", BURST: "burst", STROKE_LOSS: "air lost in stroke"}
DEAF_MBAR = 40
LATE_TICKS = 6
SMOOTH_TICKS = 10
AMBIENT_MBAR = 1013
BRAKE_QUIET_MS = 600


def cause_names(bits):
    """Causes of MUST or MAY bits, a set of words."""
    return {word for bit, word in BITS.items() if bits & bit}


class AirTruth:
    """`see` once a tick; `must` and `may` are bits of causes that must, or may, have forced by now; `low` whether
    *air low* is due."""

    def __init__(self, settings):
        self._s = settings
        self._tick = settings.tick_ms
        self._window_ticks = -(-settings.burst_window_ms // settings.tick_ms)
        self._settle_us = (settings.stroke_ms + settings.stroke_settle_ms) * 1000
        self._window = deque(maxlen=self._window_ticks + 1)
        self._before = codes.DOWN
        self._begun_us = -(10**9)
        self._start_mbar = 0.0
        self._brake, self._brake_us = 0.0, -(10**9)
        self._counts = {"low": 0, "burst": 0, "loss": 0, "warn": 0}
        self.must = self.may = 0
        self.low = False

    def restart(self):
        """The controller starts again: what it has to confirm, it confirms from here on."""
        self._counts = dict.fromkeys(self._counts, 0)
        self._before = codes.DOWN

    def see(self, t_us, command, mbar, brake):
        """One tick: time, output, true tank pressure (mbar gauge), brake (0 to 1)."""
        if abs(brake - self._brake) > 0.02:
            self._brake, self._brake_us = brake, t_us
        up = self._before == codes.UP
        if command != self._before:
            self._before, self._begun_us, self._start_mbar = command, t_us, mbar
        self._window.append(mbar)
        self.must = self.may = 0
        self.low = self._for("warn", mbar < self._s.warn_below_mbar - DEAF_MBAR, self._s.warn_confirm_ms)
        if not up:
            self._counts.update({"low": 0, "burst": 0, "loss": 0})
            return
        self._low_air(mbar)
        begun_us = t_us - self._begun_us if command == codes.UP else self._settle_us
        if begun_us <= self._settle_us:
            self._stroke_loss(mbar)
        self._burst(mbar, t_us, begun_us)

    def _for(self, name, holds, time_ms, late_ticks=LATE_TICKS):
        self._counts[name] = self._counts[name] + 1 if holds else 0
        return self._counts[name] >= time_ms // self._tick + late_ticks

    def _low_air(self, mbar):
        if self._for("low", mbar < self._s.force_below_mbar - DEAF_MBAR, self._s.low_confirm_ms):
            self.must |= LOW_AIR
        if mbar < self._s.force_below_mbar + DEAF_MBAR:
            self.may |= LOW_AIR

    def _stroke_loss(self, mbar):
        s = self._s
        dead = s.retract_dead_ul / (s.tank_ml * 1000.0)
        filled = dead + s.retract_swept_ul / (s.tank_ml * 1000.0)
        due = 1.4 * ((self._start_mbar + AMBIENT_MBAR) * filled - AMBIENT_MBAR * dead)
        over = self._start_mbar - mbar - (1.3 * due + 50 + s.brake_mbar)
        if self._for("loss", over > DEAF_MBAR, 0, SMOOTH_TICKS):
            self.must |= STROKE_LOSS
        if over > -DEAF_MBAR:
            self.may |= STROKE_LOSS

    def _burst(self, mbar, t_us, begun_us):
        s = self._s
        inside = begun_us > self._settle_us + (self._window_ticks + 1) * self._tick * 1000
        quiet = t_us - self._brake_us > (BRAKE_QUIET_MS + 60) * 1000
        rate = (self._window[0] - mbar) * 1000.0 / s.burst_window_ms
        reach_s = (s.extend_ms + s.burst_lead_ms) / 1000.0
        over = rate - s.burst_floor_mbar_s
        short = s.lock_min_mbar - (mbar - rate * reach_s)
        if self._for("burst", inside and quiet and over > DEAF_MBAR and short > DEAF_MBAR * reach_s, 0, SMOOTH_TICKS):
            self.must |= BURST
        if over > -2 * DEAF_MBAR and short > -2 * DEAF_MBAR * reach_s:
            self.may |= BURST
