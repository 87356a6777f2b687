"""The second path (SR-11): its own decoding, its own settings copy, its own counters, from raw inputs to one word.

`leave` 1 means UP is possible. It begins only in the tick in which its own fresh move completes and its own reading of
the inputs allows it; it ends by its own run to DOWN, by low air, unknown pressure or a missing link after one and a
half times the mode logic's confirm times, or in the first tick in which the mode logic makes no use of it. It returns
only with the next fresh move. `gate` has the last word on the output and can only turn UP into DOWN.

Nothing here reads the mode logic or shares a decision with it; codes and raw records are all that is shared.
"""

from .codes import DOWN, SETTINGS_GOOD, SETTINGS_ONE_COPY, UP
from .second_inputs import RawSensor, RawSwitch, at_least_two, half_more


class Interlock:
    """State: its own switch and sensors, a ground timer, two withdrawal counters, `ready` and `leave`."""

    __slots__ = (
        "leave",
        "_s",
        "_usable",
        "_sensors",
        "_switch",
        "_ready",
        "_ground",
        "_low",
        "_low_away",
        "_blind",
        "_blind_away",
        "_gaps_need",
        "_ground_need",
        "_low_need",
        "_blind_need",
        "_away_need",
    )

    def __init__(self, settings, settings_state):
        s = settings
        self._s = s
        self._usable = 0
        if settings_state == SETTINGS_GOOD:
            self._usable = 1
        if settings_state == SETTINGS_ONE_COPY:
            self._usable = 1
        tick = s.tick_ms
        self._ground_need = at_least_two(-(-s.ground_clear_ms // tick))
        self._away_need = at_least_two(-(-s.heal_ms // tick))
        # One and a half times what the mode logic needs, so that it always comes first while it is sound.
        self._gaps_need = half_more(s.link_force_ms // tick)
        self._low_need = half_more(s.low_confirm_ms // tick)
        self._blind_need = half_more(s.sensor_confirm_ms // tick) + half_more(s.sensor_force_ms // tick)
        self._sensors = [
            RawSensor(s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_a_span_mbar, s),
            RawSensor(s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_b_span_mbar, s),
        ]
        self._switch = RawSwitch(s, self._gaps_need)
        self.leave = 0
        self._ready = 0
        self._ground = 0
        self._low = 0
        self._low_away = 0
        self._blind = 0
        self._blind_away = 0

    def step(self, inputs):
        """One tick of raw inputs; afterwards `leave` is this tick's word."""
        for index in range(self._s.sensor_count):
            self._sensors[index].step(inputs.counts[index], inputs.rail_counts)
        self._watch_ground(inputs.ground_level)
        self._switch.step(inputs)
        if self._switch.shown_down == 1:
            self._ready = 1
            self.leave = 0
        if self._switch.good == 0:
            self._ready = 0
        if self._switch.moved_up == 1:
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
        bad = 0
        for index in range(self._s.sensor_count):
            sensor = self._sensors[index]
            bad += sensor.bad
            if sensor.known == 1:
                known += 1
                if sensor.mbar < self._s.force_below_mbar:
                    low += 1
        if known == 0:
            # Blind is what sees only bad samples; good ones too few for a median clear nothing.
            if bad == self._s.sensor_count:
                self._blind += 1
            self._blind_away = 0
            self._low_away = 0
        else:
            self._count_seen(known, low)
        if self._low >= self._low_need:
            self.leave = 0
        if self._blind >= self._blind_need:
            self.leave = 0
        if self._switch.gaps >= self._gaps_need:
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
