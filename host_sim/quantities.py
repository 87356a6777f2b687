"""The only place where units are parsed and converted.

A quantity is a number, a unit, and for pressures optionally the word "gauge" or "absolute": "4.6 bar", "67 psi gauge",
"1.2 s", "80 %", "15 degC". A bare number is refused where a unit is needed, and so is a unit of the wrong kind.
Conversion factors are Pint's (1 psi = 6894.757 Pa, NIST SP 811).
"""

import functools
import math
import re

import pint

PRESSURE_UNITS = ("bar", "psi", "kPa")

_DECIMALS = {"bar": 2, "psi": 1, "kPa": 0}
_NUMBER = re.compile(r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*)\Z", re.DOTALL)
_UNIT = re.compile(r"[A-Za-zµμΩ°%‰²³·/()^* 0-9-]{1,40}\Z")
_POWER = re.compile(r"\b(k|c|m|d)?m([23])\b")
_REFERENCES = ("gauge", "absolute")
# Names of kinds, for messages; the key is one unit of that kind.
_KINDS = {
    "bar": "a pressure",
    "s": "a time",
    "m": "a length",
    "m^3": "a volume",
    "kg": "a mass",
    "N": "a force",
    "K": "a temperature",
    "V": "a voltage",
    "ohm": "a resistance",
    "percent": "a share",
    "m/s": "a speed",
    "bar/s": "a pressure rate",
    "m^3/(s Pa)": "a sonic conductance",
    "W/K": "a heat transfer",
    "N s/m": "a viscous friction",
}


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind; the message says why and what to write instead."""


@functools.cache
def registry():
    """The one Pint registry; its parsed definitions are cached on disk, because building them takes half a second."""
    return pint.UnitRegistry(cache_folder=":auto:")


@functools.cache
def _unit(text):
    """Pint unit of a text, or None. Pint reports nonsense with many kinds of exception; all mean the same here."""
    if text == "percent":
        text = "%"
    try:
        return registry().parse_units(_POWER.sub(r"\1m^\2", text))
    except Exception:  # noqa: BLE001
        return None


@functools.cache
def _kind(unit):
    for example, words in _KINDS.items():
        if registry().is_compatible_with(_unit(example), _unit(unit)):
            return words
    return "a quantity"


def quantity(text, unit, reference=""):
    """Number of `unit` in `text`, a float.

    `reference` says what a pressure means: "gauge" (the word may be left out), "absolute" (the word must be there), or
    "" for a difference or anything that is no pressure (no word allowed). Raises QuantityError.
    """
    text = str(text).strip()
    body, said = text, ""
    last = text.rsplit(" ", 1)
    if len(last) == 2 and last[1] in (*_REFERENCES, "abs"):
        body, said = last[0], "absolute" if last[1] == "abs" else last[1]
    _check_reference(text, said, reference)
    match = _NUMBER.match(body)
    example = f"'{_example(unit)}'"
    if not match:
        raise QuantityError(f"'{_short(text)}' is not a number with a unit, like {example}")
    value = float(match.group(1))
    if not match.group(2):
        raise QuantityError(f"'{_short(text)}' has no unit; write it like {example}")
    if not math.isfinite(value):
        raise QuantityError(f"'{_short(text)}' is too large a number")
    return _convert(value, match.group(2).strip(), unit, text)


def _convert(value, given, unit, text):
    if given == "%" or given == "percent":
        source = _unit("percent")
    else:
        source = _unit(given) if _UNIT.match(given) else None
    if source is None:
        reference = {"g": "gauge", "a": "absolute"}.get(given[-1:])
        if given[:-1] in PRESSURE_UNITS and reference:
            raise QuantityError(f"'{given}' is written '{given[:-1]} {reference}' here")
        raise QuantityError(f"'{_short(given)}' is not a unit known here; write it like '{_example(unit)}'")
    try:
        return float(registry().Quantity(value, source).to(_unit(unit)).magnitude)
    except pint.PintError:
        raise QuantityError(f"'{_short(text)}' is not {_kind(unit)}, like '{_example(unit)}'") from None


def _check_reference(text, said, reference):
    if reference == "absolute" and said != "absolute":
        raise QuantityError(f"'{_short(text)}' must say 'absolute', like '1013 mbar absolute'")
    if reference == "gauge" and said == "absolute":
        raise QuantityError(f"'{_short(text)}' is absolute; a gauge pressure is wanted here")
    if reference == "" and said:
        raise QuantityError(f"'{_short(text)}' must be plain here, without the word '{said}'")


def _example(unit):
    examples = {
        "mbar": "4.6 bar",
        "Pa": "4.6 bar",
        "ms": "1.2 s",
        "permille": "80 %",
        "percent": "80 %",
        "K": "15 degC",
    }
    examples.update({"us": "1500 us", "m": "12 mm", "m^3": "750 mL", "mL": "750 mL", "s": "1.2 s", "mV": "4.5 V"})
    return examples.get(unit, f"1.5 {unit}")


def _short(text):
    text = " ".join(str(text).split())
    return text if len(text) <= 40 else text[:37] + "..."


def whole(value, rounding):
    """`value` as an integer, to its safe side: "down", "up", or "exact" for the nearest one.

    A millionth of a unit is the noise of a unit conversion, not a fraction to round by: 4.6 bar is 4600 mbar.
    """
    nearest = round(value)
    if rounding == "exact" or abs(value - nearest) < 1e-6:
        return nearest
    return math.ceil(value) if rounding == "up" else math.floor(value)


def convert_pressure(bar, unit):
    """A pressure or a difference of pressures in bar, as a float in `unit` (one of PRESSURE_UNITS)."""
    if unit not in PRESSURE_UNITS:
        raise QuantityError(
            f"'{_short(unit)}' is not a pressure unit for display; allowed: {', '.join(PRESSURE_UNITS)}"
        )
    return float(registry().Quantity(float(bar), "bar").to(_unit(unit)).magnitude)


def show_pressure(bar_gauge, unit):
    """Gauge pressure for people: "4.60 bar gauge", "66.7 psi gauge", "460 kPa gauge"."""
    return f"{convert_pressure(bar_gauge, unit):.{_DECIMALS[unit]}f} {unit} gauge"
