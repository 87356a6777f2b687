"""Values found by measurement, with their intervals, as people read them."""

from dataclasses import dataclass

from ..quantities import convert_pressure
from ..wording import pressure_digits

WORDS = {
    "flow": "flow of valve and flow controls",
    "friction": "dry friction",
    "volume": "volume that a stroke fills",
}
TIMES = "times the file's"
DM3_S_BAR = 1e8  # dm3/(s bar) in one m3/(s Pa)


@dataclass(frozen=True)
class Fitted:
    """One value from measurements: `low` to `high` is its 95 % interval, `model_value` what stood in the file.

    `unit` is "times the file's", "dm3/(s bar)" (sonic conductance), "bar" (a difference of pressures) or "" (a ratio).
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    model_value: float
    from_what: str

    def cells(self, unit):
        """(name, value, interval, what the file has, from what), all text, with pressures in the reader's unit."""
        show, name = _shown(self.unit, unit)
        value, low, high, model = (
            f"{show(number)} {name}".rstrip() for number in (self.value, self.low, self.high, self.model_value)
        )
        low = low.removesuffix(f" {name}")
        return self.name, value, f"{low} to {high}", "as written" if self.unit == TIMES else model, self.from_what


def _shown(kind, unit):
    """(function from a number to text, name of the unit) for a Fitted."""
    if kind == "bar":
        # One decimal more than a reading: these are small.
        return (lambda bar: f"{convert_pressure(bar, unit):.{pressure_digits(unit) + 1}f}"), unit
    return (lambda value: f"{value:.3g}" if kind.startswith("dm3") else f"{value:.3f}"), kind


def fitted_values(measured, fits):
    """Fitted of everything that was found: `fits` a calibration.Fits."""
    for name, told in fits.strokes.told.items():
        yield Fitted(WORDS[name], told.value, told.low, told.high, TIMES, 1.0, _sources(measured, name))
    if fits.leak is not None:
        yield Fitted(
            "leak",
            *(DM3_S_BAR * max(value, 0.0) for value in (fits.leak.value, fits.leak.low, fits.leak.high)),
            "dm3/(s bar)",
            DM3_S_BAR * measured.air.leak_m3_s_pa,
            _count(len(measured.leak_down), "leak-down"),
        )
    line = _count(len(measured.gauge), "comparison") + " with a gauge" if measured.gauge else ""
    zero = "the empty tank" if measured.zero_bar is not None else ""
    for name, told, unit, model_value, source in (
        ("zero of the reading", fits.zero, "bar", 0.0, " and ".join(s for s in (zero, line if fits.gain else "") if s)),
        ("gain of the reading", fits.gain, "", 1.0, " and ".join(s for s in (line, zero) if s)),
    ):
        if told is not None:
            yield Fitted(name, told.value, told.low, told.high, unit, model_value, source)


def _sources(measured, name):
    """What a factor was fitted from, in words."""
    times = _count(len(measured.extensions), "extension time") if measured.extensions else ""
    drops = _count(len(measured.drops), "drop") if measured.drops else ""
    lock = "the lock minimum" if measured.lock_minimum else ""
    used = {"flow": (times,), "friction": (lock, times), "volume": (drops,)}[name]
    return " and ".join(source for source in used if source)


def _count(n, word):
    return f"{n} {word}" if n == 1 else f"{n} {word}s"
