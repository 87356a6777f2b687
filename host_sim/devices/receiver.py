"""Receiver: stick positions in, pulses out, each with the moment at which it ends."""

from controller import codes

from .streams import stream

CHANNELS = range(codes.N_CHANNELS)
LONGEST_PULSE_US = 2500
CLEAN = -1  # in place of a count of glitched frames: the next frame is clean


class Receiver:
    """A receiver and the radio link to it. Times are us since power-on; `transmitter_on` is the pilot's doing.

    `sample` runs every frame that has started up to now, and hands over the pulses that have ended: the width of the
    last one of each channel, and whether it ended since the sample before. fault_effects.py sets the fault fields.
    """

    __slots__ = (
        "spec",
        "transmitter_on",
        "link_off",
        "on_loss",
        "stutter_off_us",
        "stutter_on_us",
        "stutter_from_us",
        "wire_off",
        "stuck_us",
        "reversed",
        "order",
        "glitch",
        "frame_us",
        "_glitch_left",
        "_random",
        "_next_us",
        "_last",
        "_lost_us",
        "_pending",
        "_stagger_us",
    )

    def __init__(self, spec, seed):
        self.spec = spec
        self._random = stream(seed, "receiver")
        self._last = list(spec.low_us)
        self._lost_us = None
        self._pending = [[] for _ in CHANNELS]
        self._next_us = int(self._random.uniform(0.0, spec.frame_ms * 1000.0))
        self._glitch_left = [0] * codes.N_CHANNELS
        self.transmitter_on = True
        self.repair()

    def repair(self):
        """Back to the receiver without faults."""
        self.link_off = False
        self.on_loss = self.spec.on_loss
        self.stutter_off_us = 0
        self.stutter_on_us = 0
        self.stutter_from_us = 0
        self.wire_off = [False] * codes.N_CHANNELS
        self.stuck_us = [0] * codes.N_CHANNELS
        self.reversed = [False] * codes.N_CHANNELS
        self.order = list(CHANNELS)
        self.glitch = [None] * codes.N_CHANNELS
        self.set_frame_us(self.spec.frame_ms * 1000.0)

    def set_frame_us(self, frame_us):
        """Set the frame period; pulses move closer together where they would not fit one after the other."""
        self.frame_us = frame_us
        room_us = (frame_us - LONGEST_PULSE_US) / (codes.N_CHANNELS - 1)
        self._stagger_us = max(0.0, min(self.spec.stagger_ms * 1000.0, room_us))

    def sample(self, t_us, sticks, pulse_us, fresh):
        """Fill `pulse_us[5]` and `fresh[5]`. `sticks[5]` run from 0.0 (low end) to 1.0 (high end)."""
        while self._next_us <= t_us:
            self._frame(self._next_us, sticks)
            step = self.frame_us
            if self.spec.jitter_ms:
                step += self._random.uniform(-1000.0, 1000.0) * self.spec.jitter_ms
            self._next_us += max(1000, int(step))
        for channel in CHANNELS:
            pending = self._pending[channel]
            fresh[channel] = 0
            while pending and pending[0][0] <= t_us:
                pulse_us[channel] = pending.pop(0)[1]
                fresh[channel] = 1

    def discard(self, t_us, sticks):
        """Forget the pulses that ended while nobody listened, as after a reset of the board."""
        ignored = [0] * codes.N_CHANNELS
        self.sample(t_us, sticks, ignored, [0] * codes.N_CHANNELS)

    def _lost(self, t_us):
        if self.link_off or not self.transmitter_on:
            return True
        period = self.stutter_off_us + self.stutter_on_us
        return period > 0 and (t_us - self.stutter_from_us) % period < self.stutter_off_us

    def _widths(self, t_us, sticks):
        """Pulse widths that the receiver means to send in this frame, or None for silence."""
        spec = self.spec
        if not self._lost(t_us):
            self._lost_us = None
            for channel in CHANNELS:
                low, high = spec.low_us[channel], spec.high_us[channel]
                position = 1.0 - sticks[channel] if self.reversed[channel] else sticks[channel]
                self._last[channel] = self.stuck_us[channel] or low + (high - low) * position
            return self._last
        if self._lost_us is None:
            self._lost_us = t_us
        if t_us - self._lost_us < spec.failsafe_delay_ms * 1000.0 or self.on_loss == "hold":
            return self._last
        return spec.preset_us if self.on_loss == "preset" else None

    def _frame(self, t_us, sticks):
        widths = self._widths(t_us, sticks)
        if widths is None:
            return
        spec = self.spec
        gauss = self._random.gauss
        for channel in CHANNELS:
            width = widths[self.order[channel]]
            if spec.noise_us:
                width += gauss(0.0, spec.noise_us)
            if self.glitch[channel]:
                width = self._glitched(channel, width)
            width = int(int(width / spec.resolution_us + 0.5) * spec.resolution_us)
            if width > 0 and not self.wire_off[channel]:
                end_us = t_us + int(self._stagger_us * channel) + width
                self._pending[channel].append((end_us, width))

    def _glitched(self, channel, width):
        """The width, or a random one in a burst of `run` frames; `share` of all frames are hit.

        After a burst one frame at least is clean, so that `run` is the longest row of glitches there is.
        """
        share, run, shortest_us, longest_us = self.glitch[channel]
        left = self._glitch_left[channel]
        if left > 0:
            self._glitch_left[channel] = left - 1 if left > 1 else CLEAN
            return self._random.uniform(shortest_us, longest_us)
        # Clean frames before a burst: one, and then each begins a burst at a rate that gives the share.
        if left == CLEAN:
            self._glitch_left[channel] = 0
            return width
        clean = run * (1.0 - share) / share - 1.0
        if self._random.random() * (clean + 1.0) < 1.0:
            self._glitch_left[channel] = run
            return self._glitched(channel, width)
        return width
