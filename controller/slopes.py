"""How fast, and how far, one sensor falls: over the last `burst_window`, and since a stroke began.

Falls are judged sensor by sensor. A step from one sensor to another is then never taken for a fall of the tank, two
sensors that read apart still show a fall that both see, and a sensor that drops samples hides nothing from the other.
"""

# One bad sample costs three ticks of the median; anything longer is a pause of which nothing is known.
PAUSE_TICKS = 5


class Window:
    """Ring of smooth pressures, one a tick, for the mean fall over `burst_window`."""

    __slots__ = ("full", "oldest", "_ring", "_at", "_filled", "_need")

    def __init__(self, need):
        self._need = need
        self._ring = [0] * need
        self._at = 0
        self._filled = 0
        self.full = 0
        self.oldest = 0

    def restart(self):
        self._filled = 0
        self.full = 0

    def push(self, value):
        """Store `value`; with `full` 1, `oldest` is the one from `need` ticks ago, all of them since the restart."""
        if self._filled == self._need:
            self.full = 1
            self.oldest = self._ring[self._at]
        else:
            self._filled += 1
        self._ring[self._at] = value
        self._at += 1
        if self._at == self._need:
            self._at = 0


class Slope:
    """One sensor's falls.

    votes        1 when the sensor is believed and gave a sample at this tick
    mbar         its median, gauge
    smooth       the same, first order over four ticks, in 1/16 mbar; held while it gives no sample
    window       the last `burst_window` of `smooth`, all of it outside strokes and without a pause
    start_mbar   where it stood when the stroke began; `start_known` 0 when it gave no samples then
    """

    __slots__ = ("votes", "mbar", "smooth", "window", "start_mbar", "start_known", "_pause")

    def __init__(self, window_ticks):
        self.window = Window(window_ticks)
        self.votes = 0
        self.mbar = 0
        self.smooth = 0
        self.start_mbar = 0
        self.start_known = 0
        self._pause = PAUSE_TICKS

    def step(self, sensor):
        """One tick of a sensor.Sensor."""
        self.votes = 0
        if sensor.ready == 0:
            if self._pause < PAUSE_TICKS:
                self._pause += 1
        else:
            self._take(sensor.mbar)
            self.votes = 1 - sensor.failed
        self.window.push(self.smooth)

    def _take(self, mbar):
        self.mbar = mbar
        if self._pause >= PAUSE_TICKS:
            # What fell during a pause fell over the whole of it, not since the last sample.
            self.smooth = mbar * 16
            self.window.restart()
        else:
            self.smooth += (mbar * 16 - self.smooth) // 4
        self._pause = 0

    def begin(self):
        """A stroke begins."""
        self.start_mbar = self.smooth // 16
        self.start_known = 0
        if self._pause < PAUSE_TICKS:
            self.start_known = 1

    def window_fall_mbar(self):
        """Fall over the window, which has to be full."""
        return (self.window.oldest - self.smooth) // 16

    def dropped_mbar(self):
        """Smoothed fall since the stroke began."""
        return self.start_mbar - self.smooth // 16
