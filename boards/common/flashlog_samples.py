"""Samples for the journal (SR-35): with the controller's own one a second, ten a second when it matters.

The controller's Scribe writes a sample in every tick whose number is a multiple of the ticks of a second. This adds the
ones between, with the gear up or a stroke under way, by the same record.

Costs: a few comparisons a tick, at most one record. Memory: 100 bytes. Time on a board: not measured.
"""

from controller.codes import UP
from controller.journal import KIND_SAMPLE
from controller.limits import ticks_up

BETWEEN_MS = 100


class Sampler:
    """Call `step` once after each tick, before Flashlog.step."""

    __slots__ = ("_tick_ms", "_second_ticks", "_since_ms")

    def __init__(self, tick_ms):
        self._tick_ms = tick_ms
        self._second_ticks = ticks_up(1000, tick_ms)
        self._since_ms = 0

    def step(self, journal, outputs, in_stroke, thin):
        """`in_stroke` is Strokes.in_progress, `thin` Flashlog.thin."""
        self._since_ms += self._tick_ms
        if outputs.tick % self._second_ticks == 0:
            self._since_ms = 0
            return
        if self._since_ms < BETWEEN_MS:
            return
        self._since_ms -= BETWEEN_MS
        if thin == 1:
            return
        if outputs.gear_command != UP:
            if in_stroke == 0:
                return
        journal.write(KIND_SAMPLE, 0, outputs.supply_mv, outputs)
