"""Strokes with stand-ins for sensors, for the tests of strokes."""

from types import SimpleNamespace as As

from controller.codes import DOWN, UP
from controller.limits import Limits
from controller.strokes import Strokes

from .driver import settings_with

# Ticks of 20 ms.
STROKE, SECOND, BRAKE_SETTLE, WINDOW = 175, 50, 30, 25


class Probe:
    """Stands in for a Sensor; remembers what it is told of spans."""

    def __init__(self):
        self.mbar, self.ready, self.failed = 7000, 1, 0
        self.watched = 0
        self.judged = []

    def watch_span(self):
        self.watched += 1

    def judge_span(self, expected_mbar):
        self.judged.append(expected_mbar)


class Bench:
    """Strokes with `count` sensors that read `mbar`."""

    def __init__(self, count=1, **changes):
        self.settings = settings_with(sensor_count=count, **changes)
        self.limits = Limits(self.settings)
        self.strokes = Strokes(self.settings, self.limits)
        self.probes = [Probe(), Probe()]
        self.pressure = As(mbar=7000, sensors=self.probes)
        self.command = DOWN
        self.brake = (0, 0)

    def step(self, ticks=1, *mbar, command=None, brake=None):
        """`mbar`: one for all sensors, or one each; None for a sensor without a sample."""
        self.command = self.command if command is None else command
        for index, value in enumerate(mbar if len(mbar) != 1 else mbar * 2):
            self.probes[index].ready = int(value is not None)
            if value is not None:
                self.probes[index].mbar = value
        self.pressure.mbar = min(probe.mbar for probe in self.probes)
        for _ in range(ticks):
            self.strokes.step(self.command, self.pressure, *(brake or (0, 0)))
        return self.strokes

    def fall(self, mbar_a_tick, ticks, start=None):
        """An even fall of all sensors; [(burst_now, loss_now)] of each tick."""
        start = self.probes[0].mbar if start is None else start
        seen = []
        for tick in range(1, ticks + 1):
            strokes = self.step(1, start - mbar_a_tick * tick)
            seen.append((strokes.burst_now, strokes.loss_now))
        return seen

    def settled_up(self, mbar=7000):
        self.step(300, mbar)
        self.step(1, command=UP)
        self.step(STROKE + SECOND + 99)
        assert self.strokes.in_progress == 0
        return self
