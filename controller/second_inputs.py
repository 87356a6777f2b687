"""The second path's own reading of the raw inputs (SR-11): a sensor's median and the gear switch, written apart from
channels.py and sensor.py so that one wrong line cannot mislead both paths."""

from .codes import DOWN, GEAR, POSITION_UNKNOWN, UP

NO_SAMPLE_MBAR = -32000


def at_least_two(ticks):
    """No time is below two ticks."""
    if ticks < 2:
        return 2
    return ticks


def half_more(ticks):
    """One and a half times, rounded up, of a confirm time that is at least two ticks."""
    return (3 * at_least_two(ticks) + 1) // 2


class RawSensor:
    """Median of the last three raw samples. `known` 1 while all three were within the windows, `bad` 1 while the latest
    one was not."""

    __slots__ = (
        "known",
        "bad",
        "mbar",
        "_zero",
        "_codes",
        "_span",
        "_low",
        "_high",
        "_nominal",
        "_rail",
        "_x",
        "_y",
        "_z",
        "_run",
    )

    def __init__(self, zero, full, span, settings):
        self._zero = zero
        self._codes = full - zero
        self._span = span
        self._low = settings.sensor_open_counts
        self._high = settings.sensor_short_counts
        self._nominal = settings.rail_nominal_counts
        self._rail = settings.rail_fitted
        self._x = NO_SAMPLE_MBAR
        self._y = NO_SAMPLE_MBAR
        self._z = NO_SAMPLE_MBAR
        self._run = 0
        self.known = 0
        self.bad = 0
        self.mbar = 0

    def step(self, raw, rail_raw):
        self.known = 0
        self.bad = 1
        code = self._scaled(raw, rail_raw)
        if code < self._low:
            self._run = 0
            return
        if code > self._high:
            self._run = 0
            return
        self.bad = 0
        self._x = self._y
        self._y = self._z
        self._z = (code - self._zero) * self._span // self._codes
        if self._run < 3:
            self._run += 1
        if self._run == 3:
            self.known = 1
            self.mbar = self._middle()

    def _scaled(self, raw, rail_raw):
        """Code at the nominal rail; -1 when it cannot be one."""
        if raw < 0:
            return -1
        if raw > 4095:
            return -1
        if self._rail == 0:
            return raw
        if rail_raw > 4095:
            return -1
        # The rail's own code is never multiplied: it may be any negative number (SR-34).
        if rail_raw < self._nominal * 4 // 5:
            return -1
        if rail_raw > self._nominal * 6 // 5:
            return -1
        return raw * self._nominal // rail_raw

    def _middle(self):
        top = self._x
        if self._y > top:
            top = self._y
        if self._z > top:
            top = self._z
        bottom = self._x
        if self._y < bottom:
            bottom = self._y
        if self._z < bottom:
            bottom = self._z
        return self._x + self._y + self._z - top - bottom


class RawSwitch:
    """The gear channel, from pulses to moves.

    good          1 while the link is good
    gaps          ticks spent in gaps of `link_degraded` or longer since it was last good
    shown_down    1 in a tick whose frame completes or continues a run to DOWN
    moved_up      1 in the one tick whose frame completes a run to UP
    """

    __slots__ = (
        "good",
        "gaps",
        "shown_down",
        "moved_up",
        "_s",
        "_downs",
        "_ups",
        "_shown",
        "_quiet",
        "_steady",
        "_mark_age",
        "_mark_ok",
        "_gap_need",
        "_steady_need",
        "_gaps_most",
        "_mark_need",
    )

    def __init__(self, settings, gaps_most):
        self._s = settings
        tick = settings.tick_ms
        self._gap_need = at_least_two(settings.link_degraded_ms // tick)
        self._steady_need = at_least_two(-(-settings.link_recover_ms // tick))
        self._mark_need = at_least_two(settings.signature_age_ms // tick)
        self._gaps_most = gaps_most
        self.good = 0
        self.gaps = 0
        self.shown_down = 0
        self.moved_up = 0
        self._downs = 0
        self._ups = 0
        self._shown = POSITION_UNKNOWN
        self._quiet = self._gap_need
        self._steady = 0
        self._mark_age = self._mark_need
        self._mark_ok = 0

    def step(self, inputs):
        self.shown_down = 0
        self.moved_up = 0
        width_us = self._frame_width(inputs)
        self._watch_link(width_us)
        if width_us == 0:
            return
        side = self._side(width_us)
        if side == UP:
            self._count_up()
        if side == DOWN:
            self._count_down()

    def _count_up(self):
        self._downs = 0
        if self._ups <= self._s.switch_frames:
            self._ups += 1
        if self._ups == self._s.switch_frames:
            self._shown = UP
            self.moved_up = 1

    def _count_down(self):
        self._ups = 0
        self._downs += 1
        if self._downs >= self._s.switch_frames:
            self._downs = self._s.switch_frames
            self._shown = DOWN
            self.shown_down = 1

    def _side(self, width_us):
        side = self._shown
        if width_us <= self._s.gear_low_us:
            side = 1 - self._s.gear_up_high
        if width_us >= self._s.gear_high_us:
            side = self._s.gear_up_high
        return side

    def _frame_width(self, inputs):
        """Width of this tick's valid frame, 0 for none."""
        channel = self._s.signature_channel
        if channel != 0:
            self._watch_mark(inputs.fresh[channel], inputs.pulse_us[channel])
            if self._mark_ok == 0:
                return 0
        return self._in_bounds(inputs.fresh[GEAR], inputs.pulse_us[GEAR])

    def _watch_mark(self, fresh, pulse_us):
        if self._mark_age < self._mark_need:
            self._mark_age += 1
        mark_us = self._in_bounds(fresh, pulse_us)
        if mark_us != 0:
            self._mark_age = 0
            self._mark_ok = self._is_outside(mark_us)
        if self._mark_age == self._mark_need:
            self._mark_ok = 0

    def _in_bounds(self, fresh, width_us):
        if fresh != 1:
            return 0
        if width_us < 800:
            return 0
        if width_us > 2200:
            return 0
        return width_us

    def _is_outside(self, width_us):
        if width_us < self._s.signature_low_us:
            return 1
        if width_us > self._s.signature_high_us:
            return 1
        return 0

    def _watch_link(self, width_us):
        if width_us != 0:
            self._quiet = 0
        else:
            self._count_quiet()
        if self._quiet >= self._gap_need:
            self.good = 0
            self._steady = 0
        elif self.good == 0:
            if self._steady < self._steady_need:
                self._steady += 1
            # Only a frame makes the link good, never the pause after one.
            if self._quiet == 0:
                if self._steady == self._steady_need:
                    self.good = 1
                    self._steady = 0
        if self.good == 1:
            self.gaps = 0
        if self.gaps > self._gaps_most:
            self.gaps = self._gaps_most

    def _count_quiet(self):
        if self._quiet <= self._gap_need:
            self._quiet += 1
        if self._quiet == self._gap_need:
            # A gap is complete: it counts as a whole, and what led to an UP counts for nothing.
            self.gaps += self._gap_need
            self._ups = 0
            self._shown = POSITION_UNKNOWN
        if self._quiet > self._gap_need:
            self.gaps += 1
