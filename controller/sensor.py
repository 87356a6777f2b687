"""ADC codes to a graded, filtered pressure of one sensor. Samples are graded before any filter, so that a fault is
never smoothed away (SR-05)."""

from .codes import NO, SENSOR_FROZEN, SENSOR_GOOD, SENSOR_OPEN, SENSOR_RAIL, SENSOR_SHORT, UNKNOWN, YES
from .persist import Persist

ADC_MAX = 4095


def median3(a, b, c):
    """Middle one of three."""
    if a > b:
        low = b
        high = a
    else:
        low = a
        high = b
    if c <= low:
        return low
    if c >= high:
        return high
    return c


class Rail:
    """The sensors' own supply, where measured: codes are scaled to what they would be at the nominal rail."""

    __slots__ = ("good", "_fitted", "_nominal", "_low", "_high", "_now")

    def __init__(self, settings):
        self._fitted = settings.rail_fitted
        self._nominal = settings.rail_nominal_counts
        self._low = settings.rail_nominal_counts * 8 // 10
        self._high = settings.rail_nominal_counts * 12 // 10
        self._now = self._nominal
        self.good = 1

    def step(self, rail_counts):
        if self._fitted == 0:
            return
        self.good = 0
        if rail_counts > ADC_MAX:
            return
        if rail_counts < self._low:
            return
        if rail_counts > self._high:
            return
        self._now = rail_counts
        self.good = 1

    def corrected(self, counts):
        """`counts`, 0 to 4095, at the nominal rail."""
        return counts * self._nominal // self._now


class Sensor:
    """One pressure sensor. `mbar` is its median while `ready` is 1; `grade` is this tick's, `failed` the confirmed one."""

    __slots__ = (
        "mbar",
        "ready",
        "grade",
        "failed",
        "frozen",
        "raw_low",
        "raw_high",
        "code_mbar_x16",
        "_zero",
        "_full",
        "_span_mbar",
        "_open",
        "_short",
        "_confirm",
        "_newer",
        "_newest",
        "_have",
    )

    def __init__(self, zero, full, span_mbar, settings, limits):
        self._zero = zero
        self._full = full
        self._span_mbar = span_mbar
        self._open = settings.sensor_open_counts
        self._short = settings.sensor_short_counts
        self._confirm = Persist(limits.sensor_ticks, limits.heal_ticks)
        self.code_mbar_x16 = span_mbar * 16 // (full - zero)
        self.mbar = 0
        self.ready = 0
        self.grade = SENSOR_OPEN
        self.failed = 0
        self.frozen = 0
        self.raw_low = ADC_MAX
        self.raw_high = 0
        self._newer = 0
        self._newest = 0
        self._have = 0

    def step(self, counts, rail):
        self.ready = 0
        self.grade = self._graded(counts, rail)
        if self.grade == SENSOR_GOOD:
            self._take(counts, rail)
            if self.frozen == 1:
                self.grade = SENSOR_FROZEN
        else:
            self._have = 0
        self.failed = self._confirm.step(self._fault_fact())

    def _fault_fact(self):
        if self.grade != SENSOR_GOOD:
            return YES
        # A good sample of which no median can be made yet proves nothing.
        if self.ready == 0:
            return UNKNOWN
        return NO

    def _graded(self, counts, rail):
        if counts < 0:
            return SENSOR_OPEN
        if counts > ADC_MAX:
            return SENSOR_SHORT
        if rail.good == 0:
            return SENSOR_RAIL
        corrected = rail.corrected(counts)
        if corrected < self._open:
            return SENSOR_OPEN
        if corrected > self._short:
            return SENSOR_SHORT
        return SENSOR_GOOD

    def _take(self, counts, rail):
        if counts < self.raw_low:
            self.raw_low = counts
        if counts > self.raw_high:
            self.raw_high = counts
        older = self._newer
        self._newer = self._newest
        self._newest = (rail.corrected(counts) - self._zero) * self._span_mbar // (self._full - self._zero)
        self._have += 1
        # Three good samples in a row before the first median: one sample never decides (SR-09).
        if self._have < 3:
            return
        self._have = 3
        self.ready = 1
        self.mbar = median3(older, self._newer, self._newest)

    def watch_span(self):
        """Forget the raw span: a stroke begins."""
        self.raw_low = ADC_MAX
        self.raw_high = 0

    def judge_span(self, expected_mbar):
        """A stroke is over that should have cost `expected_mbar`: frozen if 8 codes were due and 2 or less came."""
        if self.raw_high < self.raw_low:
            return
        if self.raw_high - self.raw_low > 2:
            self.frozen = 0
            return
        if expected_mbar * 16 >= 8 * self.code_mbar_x16:
            self.frozen = 1
