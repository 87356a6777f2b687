"""Slopes of pressure (strokes.py, slopes.py): BOUNDED searches, since a smoothed pressure has no small set of values.

Both begin at a gear that has long been up, or at the tick in which a retraction begins, and try every row of letters up
to a number of ticks. One sensor, whose median is the letter.
"""

from types import SimpleNamespace

from controller.limits import Limits
from controller.strokes import Strokes

from .made import SHORT_50, settings_with
from .nets_outputs import together
from .network import Letter
from .see_slopes import Falls, StrokeLoss

START_MBAR = 7000
QUICK_MBAR = 400
SETTINGS = settings_with(
    SHORT_50, burst_window_ms=200, extend_ms=200, stroke_ms=200, stroke_settle_ms=100, lock_margin_ms=100
)


class Tank:
    """What the sensor reads: the start and what has been let out since."""

    def __init__(self):
        self.mbar = START_MBAR

    def fall(self, by_mbar):
        self.mbar = max(0, self.mbar - by_mbar)


def _pressure(mbar):
    sensor = SimpleNamespace(
        ready=int(mbar is not None), failed=0, mbar=mbar or 0, watch_span=lambda: None, judge_span=lambda _: None
    )
    return SimpleNamespace(sensors=[sensor, sensor], mbar=mbar or 0, read=int(mbar is not None), lost=0, jumped=0)


def _flown(command, ticks):
    """Strokes after so many quiet ticks of a command."""
    limits = Limits(SETTINGS)
    strokes = Strokes(SETTINGS, limits)
    for _ in range(ticks):
        strokes.step(command, _pressure(START_MBAR), 1, 1100)
    return strokes, limits


def burst_network(name):
    strokes, limits = _flown(1, 60)
    tank = Tank()
    # 400 mbar a tick from 7 bar: three ticks until the lock minimum is near, three samples.
    falls = Falls(SETTINGS, START_MBAR, -(-600 // SETTINGS.tick_ms), 6)

    def run(fall, read, brake):
        tank.fall(fall)
        mbar = tank.mbar if read else None
        strokes.step(1, _pressure(mbar), 1, 1100 + 100 * brake)
        moved = brake == 1
        return falls.see(mbar, read == 1 and fall == QUICK_MBAR, moved, strokes.burst_now)

    letters = [
        Letter("pressure still", fall=0, read=1, brake=0),
        Letter("a slow leak", fall=4, read=1, brake=0),
        Letter("a torn line", fall=QUICK_MBAR, read=1, brake=0),
        Letter("no sample", fall=0, read=0, brake=0),
        Letter("a torn line, no sample", fall=QUICK_MBAR, read=0, brake=0),
        Letter("brake", fall=30, read=1, brake=1),
    ]
    roots = {"strokes": strokes, "tank": tank, "falls": falls}
    return together(name, letters, roots, ("fall", "read", "brake"), run, (SETTINGS, limits))


def loss_network(name):
    strokes, limits = _flown(0, 60)
    strokes.step(1, _pressure(START_MBAR), 1, 1100)
    tank = Tank()
    loss = StrokeLoss(
        SETTINGS, START_MBAR, -(-(SETTINGS.stroke_ms + SETTINGS.stroke_settle_ms) // SETTINGS.tick_ms) - 1
    )

    def run(fall, read):
        tank.fall(fall)
        mbar = tank.mbar if read else None
        strokes.step(1, _pressure(mbar), 1, 1100)
        return loss.see(mbar, strokes.loss_now)

    letters = [
        Letter("pressure still", fall=0, read=1),
        Letter("400 mbar lower", fall=QUICK_MBAR, read=1),
        Letter("400 mbar higher", fall=-QUICK_MBAR, read=1),
        Letter("no sample", fall=0, read=0),
    ]
    roots = {"strokes": strokes, "tank": tank, "loss": loss}
    return together(name, letters, roots, ("fall", "read"), run, (SETTINGS, limits))
