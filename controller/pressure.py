"""The pressure that governs, of one sensor or two.

mbar     median of the last three good samples of the governing sensor, gauge; the lower one of two governs
read     1 if a believed sensor gave a sample at this tick
lost     1 when no sensor is believed (SR-05)
disagree 1 while two believed sensors are confirmed to read further apart than `sensor_disagree`
doubted  1 when nothing is read but a sensor that is not believed reads within its range; `doubted_mbar` the lowest
jumped   1 when what is read was put together anew: another set of sensors, or back after a pause
smooth   `mbar`, first order over four ticks, in 1/16 mbar, for the slow side (tank.py); held while nothing is read
"""

from .codes import N_SENSORS, NO, SENSOR_ABSENT, UNKNOWN, YES
from .frames import NOT_KNOWN
from .persist import Persist
from .sensor import Rail, Sensor
from .slopes import PAUSE_TICKS


class Pressure:
    """One or two sensors and the rule between them (SR-05)."""

    __slots__ = (
        "mbar",
        "read",
        "lost",
        "disagree",
        "doubted",
        "doubted_mbar",
        "jumped",
        "smooth",
        "sensors",
        "_count",
        "_rail",
        "_disagree",
        "_gap_mbar",
        "_readers",
        "_pause",
    )

    def __init__(self, settings, limits):
        s = settings
        a = Sensor(s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_a_span_mbar, s, limits)
        b = Sensor(s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_b_span_mbar, s, limits)
        self.sensors = [a, b]
        self._count = s.sensor_count
        if self._count < N_SENSORS:
            b.grade = SENSOR_ABSENT
        self._rail = Rail(s)
        self._disagree = Persist(limits.sensor_ticks, limits.heal_ticks)
        self._gap_mbar = s.sensor_disagree_mbar
        self.mbar = NOT_KNOWN
        self.read = 0
        self.lost = 0
        self.disagree = 0
        self.doubted = 0
        self.doubted_mbar = NOT_KNOWN
        self.jumped = 0
        self._readers = 0
        self._pause = 0
        self.smooth = 0

    def step(self, inputs):
        self._rail.step(inputs.rail_counts)
        believed = 0
        readers = 0
        self.read = 0
        self.doubted = 0
        for index in range(self._count):
            sensor = self.sensors[index]
            sensor.step(inputs.counts[index], self._rail)
            if sensor.failed == 1:
                if sensor.ready == 1:
                    self._doubt(sensor.mbar)
            else:
                believed += 1
                if sensor.ready == 1:
                    readers += index + 1
                    self._govern(sensor.mbar)
        if self.read == 1:
            self.doubted = 0
        self.lost = 0
        if believed == 0:
            self.lost = 1
        if self._count == N_SENSORS:
            self.disagree = self._disagree.step(self._gap_fact())
        self._smooth(readers)

    def _govern(self, mbar):
        if self.read == 0:
            self.mbar = mbar
            self.read = 1
            return
        if mbar < self.mbar:
            self.mbar = mbar

    def _doubt(self, mbar):
        if self.doubted == 0:
            self.doubted_mbar = mbar
            self.doubted = 1
            return
        if mbar < self.doubted_mbar:
            self.doubted_mbar = mbar

    def _gap_fact(self):
        # Both in range but apart. A failed one has its own caution and no vote.
        a = self.sensors[0]
        b = self.sensors[1]
        if a.failed == 1:
            return NO
        if b.failed == 1:
            return NO
        if a.ready == 0:
            return UNKNOWN
        if b.ready == 0:
            return UNKNOWN
        gap_mbar = a.mbar - b.mbar
        if gap_mbar < 0:
            gap_mbar = -gap_mbar
        if gap_mbar > self._gap_mbar:
            return YES
        return NO

    def _smooth(self, readers):
        self.jumped = 0
        if self.read == 0:
            if self._pause < PAUSE_TICKS:
                self._pause += 1
            return
        if readers != self._readers:
            self.jumped = 1
        if self._pause >= PAUSE_TICKS:
            self.jumped = 1
        self._readers = readers
        self._pause = 0
        if self.jumped == 1:
            # A step between two sensors, or over a pause, is no fall of the tank.
            self.smooth = self.mbar * 16
            return
        self.smooth += (self.mbar * 16 - self.smooth) // 4

    def below(self, threshold_mbar):
        """Fact: is the pressure below the threshold? A sensor that is not believed can say so, and nothing else: it
        must not take the second path, which reads it too, to see low air before the mode logic does (SR-11)."""
        if self.read == 0:
            return self._doubted_below(threshold_mbar)
        if self.mbar < threshold_mbar:
            return YES
        return NO

    def _doubted_below(self, threshold_mbar):
        if self.doubted == 1:
            if self.doubted_mbar < threshold_mbar:
                return YES
        return UNKNOWN

    def at_least(self, threshold_mbar):
        """Fact: is the pressure at or above the threshold?"""
        if self.read == 0:
            return UNKNOWN
        if self.mbar < threshold_mbar:
            return NO
        return YES
