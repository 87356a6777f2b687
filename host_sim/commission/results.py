"""What was measured, as rows of the aircraft file's section `measured`, and whether the file says the same already.

A row that agrees with the file's leaves the file as it is: were it written each time, thresholds that the file leaves to
the advice would move each time, and with them the settings on which every step rests.
"""

from ..budget.measured import FULL_LOAD, NO_LOAD
from ..wording import in_unit, pressure_digits

ZERO_WITHIN_BAR = 0.02
LEAK_WITHIN_BAR = 0.03
NEAR_BAR = 0.3


def rows_text(key, value, unit):
    """List of flow mappings, or one, as text for a key of `measured`."""
    return _TEXTS[key](value, lambda bar: _gauge(bar, unit), unit)


def _gauge(bar, unit):
    return f"{in_unit(bar, unit):.{pressure_digits(unit) + 1}f} {unit} gauge"


def _difference(bar, unit):
    return f"{in_unit(bar, unit):.{pressure_digits(unit) + 1}f} {unit}"


def _load(share):
    if share in (0.0, 1.0):
        return FULL_LOAD if share else NO_LOAD
    return f"{100 * share:.0f} %"


def _lock_minimum(value, gauge, unit):
    tank_bar, share, within_bar = value
    return f"{{tank: {gauge(tank_bar)}, load: {_load(share)}, within: {_difference(within_bar, unit)}}}"


def _leak_rows(value, gauge, unit):
    return [
        f"{{from: {gauge(a)}, to: {gauge(b)}, over: {over_s / 60:.1f} min, start_air: {k0 - 273.15:.1f} degC, "
        f"end_air: {k1 - 273.15:.1f} degC}}"
        for a, b, over_s, k0, k1 in value
    ]


_TEXTS = {
    "zero": lambda value, gauge, unit: f"{{reads: {gauge(value)}}}",
    "gauge": lambda value, gauge, unit: [f"{{reads: {gauge(reads)}, gauge: {gauge(shown)}}}" for reads, shown in value],
    "lock_minimum": _lock_minimum,
    "leak_down": _leak_rows,
    "drops": lambda value, gauge, unit: [
        f"{{stroke: {stroke}, from: {gauge(a)}, to: {gauge(b)}}}" for stroke, a, b in value
    ],
    "extensions": lambda value, gauge, unit: [
        f"{{from: {gauge(a)}, takes: {takes_s:.2f} s, load: {_load(share)}}}" for a, takes_s, share in value
    ],
}


def agrees(key, value, measured):
    """Whether the file's measurements (a budget.measured.Measured, or None) say the same of a key."""
    return measured is not None and bool(_AGREES[key](value, measured))


def _same_lock(value, measured):
    old = measured.lock_minimum
    tank_bar, share, within_bar = value
    return old and old.load_share == share and abs(old.tank_bar - tank_bar) <= max(old.within_bar, within_bar)


def _same_gauge(value, measured):
    if not measured.gauge:
        return False
    off_bar = sum(row.reads_bar - row.gauge_bar for row in measured.gauge) / len(measured.gauge)
    return all(abs(reads - shown - off_bar) <= measured.within.gauge_bar for reads, shown in value)


def _same_leak(value, measured):
    def ten_minutes(a, b, over_s, k0, k1):
        return (a - ((b + 1.013) * k0 / k1 - 1.013)) / over_s * 600.0

    olds = [ten_minutes(row.from_bar, row.to_bar, row.over_s, row.start_k, row.end_k) for row in measured.leak_down]
    return olds and all(min(abs(ten_minutes(*row) - old) for old in olds) <= LEAK_WITHIN_BAR for row in value)


def _same_drops(value, measured):
    bound_bar = 2.0 * measured.within.pressure_bar
    return all(
        any(
            old.stroke == stroke
            and abs(old.from_bar - a) <= NEAR_BAR
            and abs(old.from_bar - old.to_bar - a + b) <= bound_bar
            for old in measured.drops
        )
        for stroke, a, b in value
    )


def _same_extensions(value, measured):
    return all(
        any(
            old.load_share == share
            and abs(old.from_bar - a) <= NEAR_BAR
            and abs(old.takes_s - takes_s) <= 2.0 * measured.within.time_s
            for old in measured.extensions
        )
        for a, takes_s, share in value
    )


_AGREES = {
    "zero": lambda value, measured: measured.zero_bar is not None and abs(measured.zero_bar - value) <= ZERO_WITHIN_BAR,
    "gauge": _same_gauge,
    "lock_minimum": _same_lock,
    "leak_down": _same_leak,
    "drops": _same_drops,
    "extensions": _same_extensions,
}
