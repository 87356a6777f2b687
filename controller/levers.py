"""Throttle, brake and light channels: pulses to a position in 1/1000, and to YES, NO or UNKNOWN with a dead zone.

The position is 0 at the taught rest and 1000 at the taught end, in either direction of the channel. Between two
pulses the last position is kept; half a second without a valid one makes it NOT_KNOWN.
"""

from .channels import PULSE_HIGH_US, PULSE_LOW_US
from .codes import NO, UNKNOWN, YES
from .frames import ABSENT, NOT_KNOWN


class Lever:
    """One channel. `permille` is ABSENT when not fitted; `seen` is 1 with a fresh valid pulse at this tick; `lost` is 1
    after half a second without one, from power-on too."""

    __slots__ = (
        "permille",
        "seen",
        "lost",
        "width_us",
        "_fitted",
        "_channel",
        "_rest_us",
        "_travel_us",
        "_age",
        "_need",
    )

    def __init__(self, channel, fitted, rest_us, end_us, limits):
        self._channel = channel
        self._fitted = fitted
        self._rest_us = rest_us
        self._travel_us = end_us - rest_us
        self._need = limits.lever_lost_ticks
        self._age = 0
        self.lost = 0
        self.permille = ABSENT
        if fitted == 1:
            self.permille = NOT_KNOWN
        self.seen = 0
        self.width_us = 0

    def step(self, inputs):
        self.seen = 0
        if self._fitted == 0:
            return
        self.lost = 0
        if self._age < self._need:
            self._age += 1
        if inputs.fresh[self._channel] == 1:
            self._take(inputs.pulse_us[self._channel])
        if self._age >= self._need:
            self.lost = 1
            self.permille = NOT_KNOWN

    def _take(self, width_us):
        if width_us < PULSE_LOW_US:
            return
        if width_us > PULSE_HIGH_US:
            return
        self.seen = 1
        self.width_us = width_us
        self._age = 0
        permille = (width_us - self._rest_us) * 1000 // self._travel_us
        if permille < 0:
            permille = 0
        if permille > 1000:
            permille = 1000
        self.permille = permille


class Beyond:
    """Is a lever beyond a point? With a dead zone: on above `on`, off below `off`, else as it was."""

    __slots__ = ("fact", "_on", "_off", "_was")

    def __init__(self, on_permille, off_permille):
        self._on = on_permille
        self._off = off_permille
        self._was = NO
        self.fact = UNKNOWN

    def step(self, permille):
        if permille < 0:
            self.fact = UNKNOWN
            return
        if permille > self._on:
            self._was = YES
        if permille < self._off:
            self._was = NO
        self.fact = self._was
