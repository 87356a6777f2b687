"""The second path (SR-11): its own decoding, its own settings copy, its own counters, from raw inputs to one word.

`leave` 1 means UP is possible. It begins only in the tick in which its own fresh move completes and its own reading of
the inputs allows it; it ends by its own run to DOWN, by low air, unknown pressure or a missing link after one and a
half times the mode logic's confirm times, or in the first tick in which the mode logic makes no use of it. It returns
only with the next fresh move. `gate` has the last word on the output and can only turn UP into DOWN.

Nothing here reads the mode logic or shares a decision with it; codes and raw records are all that is shared.
"""

from .codes import DOWN, GEAR, POSITION_UNKNOWN, SETTINGS_GOOD, SETTINGS_ONE_COPY, UP

FLICKER_MBAR = -32000


class RawSensor:
    """Median of the last three raw samples of one sensor. `known` 1 while all three were within the windows."""

    __slots__ = ("known", "mbar", "_zero", "_codes", "_span", "_low", "_high", "_nominal", "_rail", "_x", "_y", "_z", "_run")

    def __init__(self, zero, full, span, settings):
        self._zero = zero
        self._codes = full - zero
        self._span = span
        self._low = settings.sensor_open_counts
        self._high = settings.sensor_short_counts
        self._nominal = settings.rail_nominal_counts
        self._rail = settings.rail_fitted
        self._x = FLICKER_MBAR
        self._y = FLICKER_MBAR
        self._z = FLICKER_MBAR
        self._run = 0
        self.known = 0
        self.mbar = 0

    def step(self, raw, rail_raw):
        self.known = 0
        code = self._scaled(raw, rail_raw)
        if code < self._low:
            self._run = 0
            return
        if code > self._high:
            self._run = 0
            return
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
        if rail_raw * 10 < self._nominal * 8 - 9:
            return -1
        if rail_raw * 10 > self._nominal * 12:
            return -1
        return raw * self._nominal // rail_raw

    def _middle(self):
        total = self._x + self._y + self._z
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
        return total - top - bottom


class Interlock:
    """State: its own switch runs, link timer, ground timer, three withdrawal counters, `ready` and `leave`."""

    __slots__ = (
        "leave",
        "_s",
        "_usable",
        "_sensors",
        "_ready",
        "_downs",
        "_ups",
        "_shown",
        "_quiet",
        "_steady",
        "_good",
        "_gaps",
        "_mark_age",
        "_mark_ok",
        "_ground",
        "_low",
        "_low_away",
        "_blind",
        "_blind_away",
        "_gap_need",
        "_steady_need",
        "_gaps_need",
        "_mark_need",
        "_ground_need",
        "_low_need",
        "_blind_need",
        "_away_need",
        "_moved_up",
    )

    def __init__(self, settings, settings_state):
        s = settings
        self._s = s
        self._usable = 0
        if settings_state == SETTINGS_GOOD:
            self._usable = 1
        if settings_state == SETTINGS_ONE_COPY:
            self._usable = 1
        self._sensors = [
            RawSensor(s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_a_span_mbar, s),
            RawSensor(s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_b_span_mbar, s),
        ]
        tick = s.tick_ms
        self._gap_need = _at_least_two(s.link_degraded_ms // tick)
        self._steady_need = _at_least_two(-(-s.link_recover_ms // tick))
        self._mark_need = _at_least_two(s.signature_age_ms // tick)
        self._ground_need = _at_least_two(-(-s.ground_clear_ms // tick))
        self._away_need = _at_least_two(-(-s.heal_ms // tick))
        # One and a half times what the mode logic needs, and never the same.
        self._gaps_need = _half_more(s.link_force_ms // tick)
        self._low_need = _half_more(s.low_confirm_ms // tick)
        self._blind_need = _half_more(s.sensor_confirm_ms // tick) + _half_more(s.sensor_force_ms // tick)
        self.leave = 0
        self._ready = 0
        self._downs = 0
        self._ups = 0
        self._shown = POSITION_UNKNOWN
        self._quiet = self._gap_need
        self._steady = 0
        self._good = 0
        self._gaps = 0
        self._mark_age = self._mark_need
        self._mark_ok = 0
        self._ground = 0
        self._low = 0
        self._low_away = 0
        self._blind = 0
        self._blind_away = 0
        self._moved_up = 0

    def step(self, inputs):
        """One tick of raw inputs; afterwards `leave` is this tick's word."""
        for index in range(self._s.sensor_count):
            self._sensors[index].step(inputs.counts[index], inputs.rail_counts)
        self._watch_ground(inputs.ground_level)
        self._watch_switch(inputs)
        if self._good == 0:
            self._ready = 0
        if self._moved_up == 1:
            self._weigh_begin()
        if self.leave == 1:
            self._weigh_end()

    def gate(self, wanted):
        """The last word: UP only with leave. Leave that is not used is gone."""
        if wanted != UP:
            self.leave = 0
            return DOWN
        if self.leave == 0:
            return DOWN
        return UP

    def _watch_ground(self, level):
        if level == self._s.ground_clear_level:
            if self._ground < self._ground_need:
                self._ground += 1
        else:
            self._ground = 0

    def _frame_width(self, inputs):
        """Width of this tick's valid frame, 0 for none."""
        channel = self._s.signature_channel
        if channel != 0:
            self._mark_age += 1
            if self._mark_age > self._mark_need:
                self._mark_age = self._mark_need
            mark = self._in_bounds(inputs.fresh[channel], inputs.pulse_us[channel])
            if mark != 0:
                self._mark_age = 0
                self._mark_ok = self._is_outside(mark)
            if self._mark_age == self._mark_need:
                self._mark_ok = 0
            if self._mark_ok == 0:
                return 0
        return self._in_bounds(inputs.fresh[GEAR], inputs.pulse_us[GEAR])

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

    def _watch_switch(self, inputs):
        self._moved_up = 0
        width_us = self._frame_width(inputs)
        self._watch_link(width_us)
        if width_us == 0:
            return
        side = self._side(width_us)
        if side == POSITION_UNKNOWN:
            return
        if side == UP:
            self._downs = 0
            self._ups += 1
            if self._ups > self._s.switch_frames:
                self._ups = self._s.switch_frames + 1
            if self._ups == self._s.switch_frames:
                self._shown = UP
                self._moved_up = 1
        else:
            self._ups = 0
            self._downs += 1
            if self._downs >= self._s.switch_frames:
                self._downs = self._s.switch_frames
                self._shown = DOWN
                self._ready = 1
                self.leave = 0

    def _side(self, width_us):
        side = self._shown
        if width_us <= self._s.gear_low_us:
            side = 1 - self._s.gear_up_high
        if width_us >= self._s.gear_high_us:
            side = self._s.gear_up_high
        return side

    def _watch_link(self, width_us):
        if width_us != 0:
            self._quiet = 0
        else:
            if self._quiet <= self._gap_need:
                self._quiet += 1
            if self._quiet == self._gap_need:
                # A gap is complete: it counts as a whole, and what led to an UP counts for nothing.
                self._gaps += self._gap_need
                self._ups = 0
            if self._quiet > self._gap_need:
                self._gaps += 1
        if self._quiet >= self._gap_need:
            self._good = 0
            self._steady = 0
        else:
            if self._good == 0:
                self._steady += 1
                if self._steady >= self._steady_need:
                    self._good = 1
                    self._steady = 0
        if self._good == 1:
            self._gaps = 0
        if self._gaps > self._gaps_need:
            self._gaps = self._gaps_need

    def _weigh_begin(self):
        ready = self._ready
        self._ready = 0
        if ready == 0:
            return
        if self._usable == 0:
            return
        if self._s.ground_fitted == 1:
            if self._ground < self._ground_need:
                return
        known = 0
        for index in range(self._s.sensor_count):
            sensor = self._sensors[index]
            if sensor.known == 1:
                known += 1
                if sensor.mbar < self._s.retract_above_mbar - self._s.begin_slack_mbar:
                    return
        if known == 0:
            return
        self.leave = 1
        self._low = 0
        self._low_away = 0
        self._blind = 0
        self._blind_away = 0

    def _weigh_end(self):
        known = 0
        low = 0
        for index in range(self._s.sensor_count):
            sensor = self._sensors[index]
            if sensor.known == 1:
                known += 1
                if sensor.mbar < self._s.force_below_mbar:
                    low += 1
        if known == 0:
            self._blind += 1
            self._blind_away = 0
            self._low_away = 0
        else:
            self._count_seen(known, low)
        if self._low >= self._low_need:
            self.leave = 0
        if self._blind >= self._blind_need:
            self.leave = 0
        if self._gaps >= self._gaps_need:
            self.leave = 0

    def _count_seen(self, known, low):
        """Every sensor that can be read counts: only when all of them are low is this path's leave at stake."""
        self._blind_away += 1
        if self._blind_away >= self._away_need:
            self._blind_away = self._away_need
            self._blind = 0
        if low == known:
            self._low += 1
            self._low_away = 0
            return
        self._low_away += 1
        if self._low_away >= self._away_need:
            self._low_away = self._away_need
            self._low = 0


def _at_least_two(ticks):
    if ticks < 2:
        return 2
    return ticks


def _half_more(ticks):
    """One and a half times, rounded up, of a confirm time that is at least two ticks."""
    if ticks < 2:
        return 3
    return (3 * ticks + 1) // 2
