"""When the faults of a flight act, and what those do that act on how it begins.

`FaultPlan.update(bench, t_us)` is called as time goes on. At each onset and each end it repairs every device and applies
what is then active, so that faults can overlap in any way. Faults that act on the start are applied once, by the bench.
"""

from controller import codes
from controller.packing import pack, unpack
from controller.settings import FIELDS, HIGH, NAME, Settings

from .fault_effects import EFFECTS, US_PER_MS, US_PER_S


def _empty_tank(start, fault):
    start.tank_bar = fault["pressure"]


def _corrupt(start, fault):
    copies = ("a", "b") if fault["copy"] == "both" else (fault["copy"],)
    for copy in copies:
        data = bytearray(start.settings[copy])
        data[len(data) // 2] ^= 0x40
        start.settings[copy] = bytes(data)


def _differ(start, fault):
    """The second copy is the first one with one harmless field moved by one step."""
    settings = Settings()
    unpack(start.settings["b"], settings)
    high = next(row[HIGH] for row in FIELDS if row[NAME] == "approach_confirm_ms")
    settings.approach_confirm_ms += 100 if settings.approach_confirm_ms + 100 <= high else -100
    start.settings["b"] = pack(settings)


def _no_record(start, fault):
    start.valve_kind = codes.VALVE_INVALID


def _near_wrap(start, fault):
    start.clock_ms = (1 << 30) - round(fault["before"] * 1000.0)


START_EFFECTS = {
    "empty tank": _empty_tank,
    "settings corrupt": _corrupt,
    "settings differ": _differ,
    "wiring record lost": _no_record,
    "clock near wrap": _near_wrap,
}


class FaultPlan:
    """The faults of one flight, laid out in time. Times are us since the start."""

    def __init__(self, faults):
        timed = [fault for fault in faults if not fault.kind.at_start]
        self._timed = [(_us(fault.from_s), _us(fault.until_s), EFFECTS[fault.kind.name], fault) for fault in timed]
        self._changes_us = sorted({time for row in self._timed for time in row[:2]}, reverse=True)
        self.reset_times_us = sorted(time for fault in timed if fault.kind.name == "reset" for time in _resets(fault))
        self.late_ticks = sorted(row for fault in timed if fault.kind.name == "late ticks" for row in _lates(fault))

    def update(self, bench, t_us):
        """Apply what is active at t_us, where that differs from what was active before."""
        changed = False
        while self._changes_us and self._changes_us[-1] <= t_us:
            self._changes_us.pop()
            changed = True
        if not changed:
            return
        bench.repair()
        for from_us, until_us, effect, fault in self._timed:
            if from_us <= t_us < until_us:
                effect(bench, fault)


def _us(time_s):
    return 1 << 62 if time_s == float("inf") else round(time_s * US_PER_S)


def _resets(fault):
    times = (fault.from_s + k * fault["every"] / 1000.0 for k in range(int(fault["times"])))
    return [_us(time_s) for time_s in times if time_s < fault.until_s]


def _lates(fault):
    times = (fault.from_s + k * fault["every"] / 1000.0 for k in range(int(fault["count"])))
    return [(_us(time_s), round(fault["late"] * US_PER_MS)) for time_s in times if time_s < fault.until_s]
