"""The gear channel: pulses to valid frames, frames to the link's grade and the switch position.

A frame is a fresh gear pulse seen at a tick. It is valid when 800-2200 us wide and, with a receiver that sends a
preset on loss, accompanied by a pulse on the signature channel that lies outside the signature window. The pulses of
one receiver frame end at different moments, so that a tick may fall between them: the companion may be up to
`signature_age` old. Only valid frames carry a position (SR-06 to SR-09).
"""

from .codes import DOWN, GEAR, LINK_DEGRADED, LINK_GOOD, LINK_LOST, POSITION_UNKNOWN, UP

PULSE_LOW_US = 800
PULSE_HIGH_US = 2200


class Frames:
    """Is there a valid frame at this tick? `valid` 0 or 1."""

    __slots__ = ("valid", "_channel", "_low_us", "_high_us", "_age_need", "_age", "_outside")

    def __init__(self, settings, limits):
        self._channel = settings.signature_channel
        self._low_us = settings.signature_low_us
        self._high_us = settings.signature_high_us
        self._age_need = limits.signature_age_ticks
        self._age = self._age_need
        self._outside = 0
        self.valid = 0

    def step(self, inputs):
        self.valid = 0
        if self._channel != 0:
            self._watch_signature(inputs)
            if self._outside == 0:
                return
        if inputs.fresh[GEAR] != 1:
            return
        width_us = inputs.pulse_us[GEAR]
        if width_us < PULSE_LOW_US:
            return
        if width_us > PULSE_HIGH_US:
            return
        self.valid = 1

    def _watch_signature(self, inputs):
        # A companion that is too old counts as one inside the window: its wire may be off.
        self._age += 1
        if self._age >= self._age_need:
            self._age = self._age_need
            self._outside = 0
        if inputs.fresh[self._channel] != 1:
            return
        width_us = inputs.pulse_us[self._channel]
        if width_us < PULSE_LOW_US:
            return
        if width_us > PULSE_HIGH_US:
            return
        self._age = 0
        self._outside = 1
        if width_us >= self._low_us:
            if width_us <= self._high_us:
                self._outside = 0


class Link:
    """Good, degraded or lost (SR-06).

    `outage` is the one timer of time without valid frames, in ticks. It counts every gap of `link_degraded` or longer
    as a whole, stands still while frames arrive, and is cleared only by a good link, so that stutter adds up.
    """

    __slots__ = ("state", "outage", "broke", "was_good", "_silence", "_recover", "_degraded", "_need", "_force")

    def __init__(self, limits):
        self._degraded = limits.link_degraded_ticks
        self._need = limits.link_recover_ticks
        self._force = limits.link_force_ticks
        self.state = LINK_LOST
        self.outage = 0
        self.broke = 0
        self.was_good = 0
        # As if a gap had just been counted: nothing is known of the time before power-on.
        self._silence = self._degraded + 1
        self._recover = 0

    def step(self, valid):
        """One tick. `broke` is 1 in the tick in which a gap of `link_degraded` is complete."""
        self.broke = 0
        if valid == 1:
            self._silence = 0
        else:
            self._silence += 1
        if self._silence == self._degraded:
            self.broke = 1
            self.outage += self._degraded
        if self._silence > self._degraded:
            # The gap's own length is in `outage`; here it only needs to stay longer than `link_degraded`.
            self._silence = self._degraded + 1
            self.outage += 1
        if self.outage > self._force:
            self.outage = self._force
        self._grade()

    def _count_recovery(self):
        # Frames have to span the time: the silence after the last one is no part of a recovery.
        if self._recover < self._need:
            self._recover += 1
        if self._silence > 0:
            return
        if self._recover < self._need:
            return
        self._recover = 0
        self.state = LINK_GOOD
        self.was_good = 1

    def _grade(self):
        if self._silence >= self._degraded:
            self._recover = 0
            if self.state == LINK_GOOD:
                self.state = LINK_DEGRADED
        else:
            if self.state != LINK_GOOD:
                self._count_recovery()
        if self.state == LINK_GOOD:
            self.outage = 0
            return
        if self.outage >= self._force:
            self.state = LINK_LOST


class Switch:
    """The pilot's gear switch, decoded by runs of agreeing valid frames (SR-08, SR-09).

    frame       position that this tick's valid frame carries, POSITION_UNKNOWN without one
    position    last confirmed position
    down_run    1 in each tick whose frame completes or continues a run to DOWN
    up_done     1 in the one tick whose frame completes a run to UP
    """

    __slots__ = (
        "frame",
        "position",
        "down_run",
        "up_done",
        "_seen",
        "_zone",
        "_run",
        "_need",
        "_low_us",
        "_high_us",
        "_up_high",
    )

    def __init__(self, settings):
        self._need = settings.switch_frames
        self._low_us = settings.gear_low_us
        self._high_us = settings.gear_high_us
        self._up_high = settings.gear_up_high
        self.frame = POSITION_UNKNOWN
        self.position = POSITION_UNKNOWN
        self.down_run = 0
        self.up_done = 0
        self._seen = POSITION_UNKNOWN
        self._zone = POSITION_UNKNOWN
        self._run = 0

    def step(self, valid, broke, width_us):
        self.frame = POSITION_UNKNOWN
        self.down_run = 0
        self.up_done = 0
        if broke == 1:
            # A gap restarts a run to UP, never one to DOWN; and what was shown before it counts for nothing.
            self._zone = POSITION_UNKNOWN
            if self._seen == UP:
                self._run = 0
        if valid == 0:
            return
        self.frame = self._classify(width_us)
        if self.frame == POSITION_UNKNOWN:
            return
        if self.frame != self._seen:
            self._seen = self.frame
            self._run = 0
        self._run += 1
        if self._run < self._need:
            return
        self.position = self.frame
        self._zone = self.frame
        if self.frame == DOWN:
            self._run = self._need
            self.down_run = 1
            return
        if self._run == self._need:
            self.up_done = 1
        # One past the need, so that a run that goes on does not complete a second time.
        self._run = self._need + 1

    def _classify(self, width_us):
        if width_us <= self._low_us:
            if self._up_high == 1:
                return DOWN
            return UP
        if width_us >= self._high_us:
            if self._up_high == 1:
                return UP
            return DOWN
        return self._zone
