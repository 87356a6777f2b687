"""Observer of the pressure sensors, from SR-05, SR-09 and SR-17. It reads raw codes and keeps its own picture."""


class Persisting:
    """SR-17: seen advances, unknown freezes, only the opposite without a break for `heal` clears."""

    def __init__(self, need, heal):
        self.need = need
        self.heal = heal
        self.seen_for = 0
        self.over_for = 0

    def step(self, fact):
        """`fact` True, False, or None for not known; returns whether it is confirmed."""
        if fact is False:
            self.over_for = min(self.over_for + 1, self.heal)
            if self.over_for == self.heal:
                self.seen_for = 0
        else:
            self.over_for = 0
            if fact:
                self.seen_for = min(self.seen_for + 1, self.need)
        return self.seen_for == self.need

    def forget(self):
        self.seen_for = self.over_for = 0


class Probe:
    """One sensor: the last three samples, and whether it has failed. None is a sample that cannot be one."""

    def __init__(self, zero, full, span_mbar, s, times):
        self.scale = (zero, full, span_mbar, s.sensor_open_counts, s.sensor_short_counts)
        self.older = None
        self.newer = None
        self.newest = None
        self.failing = Persisting(times.sensor_confirm, times.heal)
        self.failed = False

    def see(self, counts, stuck):
        zero, full, span_mbar, low, high = self.scale
        good = 0 <= counts <= 4095 and low <= counts <= high
        self.older, self.newer = self.newer, self.newest
        self.newest = (counts - zero) * span_mbar // (full - zero) if good else None
        self.failed = self.failing.step(True if not good or stuck else None if self.middle() is None else False)

    def middle(self):
        three = (self.older, self.newer, self.newest)
        return None if None in three else sorted(three)[1]


class Gauge:
    """What may be believed of the tank's pressure.

    read, mbar   1 and the lowest median of the sensors that are believed and can be read; else 0
    lost         1 when no sensor is believed
    disagree     1 while two believed sensors have been apart for `sensor_confirm`
    """

    def __init__(self, settings, times):
        s = settings
        self.probes = [Probe(s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_a_span_mbar, s, times)]
        if s.sensor_count == 2:
            self.probes.append(Probe(s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_b_span_mbar, s, times))
        self.apart_mbar = s.sensor_disagree_mbar
        self.apart = Persisting(times.sensor_confirm, times.heal)
        self.read = 0
        self.mbar = 0
        self.lost = 0
        self.disagree = 0

    def see(self, counts, stuck):
        """`counts` and `stuck`, whether a stroke found it frozen, for each sensor."""
        for probe, code, is_stuck in zip(self.probes, counts, stuck, strict=False):
            probe.see(code, is_stuck)
        believed = [probe for probe in self.probes if not probe.failed]
        readings = [probe.middle() for probe in believed if probe.middle() is not None]
        self.lost = int(not believed)
        self.read = int(bool(readings))
        if readings:
            self.mbar = min(readings)
        if len(self.probes) == 2:
            self.disagree = int(self.apart.step(self._is_apart(believed, readings)))

    def summary(self):
        """(read, mbar or 0, lost, disagree)"""
        return self.read, self.mbar if self.read else 0, self.lost, self.disagree

    def doubted(self):
        """Lowest median of the sensors that have failed and read within their range; None without one."""
        readings = [probe.middle() for probe in self.probes if probe.failed and probe.middle() is not None]
        return min(readings) if readings else None

    def _is_apart(self, believed, readings):
        if len(believed) < 2:
            return False
        if len(readings) < 2:
            return None
        return max(readings) - min(readings) > self.apart_mbar


def judge_pressure(gauge, pressure):
    """What is broken in this tick, "" for nothing."""
    if pressure.lost != gauge.lost:
        return "SR-05: pressure is called unknown while a sensor is believed, or the other way round"
    if pressure.read != gauge.read:
        return "SR-05: a reading is used that is not one, or one is not used"
    if gauge.read and pressure.mbar != gauge.mbar:
        return "SR-05: the governing pressure is not the lowest median of the believed sensors"
    if pressure.disagree != gauge.disagree:
        return "SR-05: two sensors are called apart while they agree, or the other way round"
    return ""
