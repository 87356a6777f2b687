"""The pulse table: the last servo pulse of each channel, and whether it ended since the last tick (SR-06, SR-09).

Whatever measures pulses writes here: hardware with `end`, interrupts with `edge`. Both only store. The one glitch
filter of all boards is `end`: what is no servo pulse by far never takes the place of one that came in the same tick. What
is nearly one goes through; the controller judges widths.

    shorter than 300 us    a spike, or a pulse that interference cut up: dropped and counted
    longer than 3000 us    a line that was stuck: dropped and counted

A tick sees the last pulse that ended before it. A pulse that waited while the loop stood still (an erase of the journal's
flash, only just after power-on) counts as fresh at the next tick.

Costs of `take`: 5 channels, see python -m tests.boards.figures; of `edge`: one interrupt handler, not measured on a
board. Memory: 6 lists or arrays of 5.
"""

from array import array

from controller.codes import N_CHANNELS

SHORTEST_US = 300
LONGEST_US = 3000
# time.ticks_us() of MicroPython wraps at 2**30.
TICKS_MASK = 0x3FFFFFFF
COUNT_MASK = 0xFFFF


class Pulses:
    """width_us[5] the last pulse, 0 before the first; ended[5] pulses so far and glitches[5] dropped, both modulo 65,536."""

    __slots__ = ("width_us", "ended", "glitches", "_rise_us", "_high", "_taken")

    def __init__(self):
        self.width_us = array("H", [0] * N_CHANNELS)
        self.ended = array("H", [0] * N_CHANNELS)
        self.glitches = array("H", [0] * N_CHANNELS)
        self._rise_us = array("i", [0] * N_CHANNELS)
        self._high = bytearray(N_CHANNELS)
        self._taken = array("H", [0] * N_CHANNELS)

    def end(self, channel, width_us):
        """A pulse of that width has ended."""
        if width_us < SHORTEST_US:
            self.glitches[channel] = (self.glitches[channel] + 1) & COUNT_MASK
            return
        if width_us > LONGEST_US:
            self.glitches[channel] = (self.glitches[channel] + 1) & COUNT_MASK
            return
        # The width first: a tick that looks in between takes it next time.
        self.width_us[channel] = width_us
        self.ended[channel] = (self.ended[channel] + 1) & COUNT_MASK

    def edge(self, channel, level, now_us):
        """The line went to that level at `now_us` of time.ticks_us(). A fall without its rise is nothing."""
        if level == 1:
            self._rise_us[channel] = now_us
            self._high[channel] = 1
            return
        if self._high[channel] == 0:
            return
        self._high[channel] = 0
        self.end(channel, (now_us - self._rise_us[channel]) & TICKS_MASK)

    def take(self, pulse_us, fresh):
        """Fill Inputs.pulse_us and Inputs.fresh; once a tick."""
        ended = self.ended
        taken = self._taken
        width_us = self.width_us
        for channel in range(N_CHANNELS):
            count = ended[channel]
            fresh[channel] = 0
            if count != taken[channel]:
                taken[channel] = count
                fresh[channel] = 1
            pulse_us[channel] = width_us[channel]
