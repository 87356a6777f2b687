"""From an aircraft file to the controller's settings: units, safe rounding, ranges, cross-checks, packing."""

import copy
import math
import re

from controller import checks, packing, settings
from controller.settings import DEFAULT, FIELDS, HIGH, LOW, NAME, ROUNDING, UNIT

from .errors import InputError
from .quantities import show_pressure, whole
from .wording import BAR_PER_MBAR, in_unit, pressure_digits, show_difference

# How the unit stands at the end of a field's name.
_SUFFIXES = {
    "mbar/s": "_mbar_s",
    "permille": "_permille",
    "counts": "_counts",
    "mbar": "_mbar",
    "ms": "_ms",
    "us": "_us",
    "mV": "_mv",
    "mL": "_ml",
    "uL": "_ul",
}
# These are pressures; every other field in mbar is a difference of two.
GAUGE_FIELDS = ("fill_mbar", "retract_above_mbar", "warn_below_mbar", "force_below_mbar", "lock_min_mbar")


def _without_unit(row):
    return row[NAME].removesuffix(_SUFFIXES.get(row[UNIT], ""))


def key_of(row):
    """Name of a row of FIELDS in the section `settings`: without its unit, unless two rows then had one name."""
    short = _without_unit(row)
    return short if sum(_without_unit(other) == short for other in FIELDS) == 1 else row[NAME]


KEYS = {key_of(row): row for row in FIELDS}


def reference_of(row):
    """What a field's pressure means: "gauge", or "" for a difference and for what is no pressure."""
    return "gauge" if row[NAME] in GAUGE_FIELDS else ""


# A threshold that is written so is left to the advice.
ADVISED = "advised"
THRESHOLDS = ("lock_min", "force_below", "warn_below", "retract_above")


def build(node, values, unit, advise):
    """(Settings, packed bytes, names of the advised thresholds) from the section `settings` (a Mapping) and `values`
    that follow from what is fitted.

    What the section gives wins over what follows. `advise` makes a budget.advice.Advice of the settings so far, and is
    called only where a threshold is left to it. Every value is rounded to its safe side and range-checked, the whole is
    cross-checked, packed, and unpacked again. Raises InputError.
    """
    result, advised = settings.Settings(), []
    for key, row in KEYS.items():
        if key in THRESHOLDS and node.has(key) and node.take(key).text.strip() == ADVISED:
            advised.append(key)
            # Nothing is set: the advice builds on a threshold only where the owner's own is higher.
            setattr(result, row[NAME], 0)
        elif node.has(key):
            setattr(result, row[NAME], _own(node.take(key), row, unit))
        elif row[NAME] in values:
            setattr(result, row[NAME], _followed(node, row, values[row[NAME]]))
        else:
            setattr(result, row[NAME], row[DEFAULT])
    node.close()
    if advised:
        _take_advice(node, result, advised, advise(result))
    rule = checks.first_fault(result)
    if rule:
        node.fail(_broken_rule(rule, result, unit))
    packed = packing.pack(result)
    loaded = settings.Settings()
    fault = packing.unpack(packed, loaded)
    if fault:
        raise InputError(node.file, node.line, f"the packed settings do not load again (fault {fault})")
    return loaded, packed, tuple(advised)


def _take_advice(node, result, advised, advice):
    """Put the advised thresholds into the settings. What the advice cannot give is said at the first of them."""
    if advice.problems:
        node.take(advised[0]).fail(" ".join([*advice.problems, *advice.helps]))
    for key in advised:
        row = KEYS[key]
        setattr(result, row[NAME], _inside(node.take(key), row, advice.mbar(key)))


def permit_floor_mbar(s):
    """Lowest retract_above that SR-02 accepts for a retraction that starts at the retract_above of `s`."""
    return s.force_below_mbar + checks.retract_drop_mbar(s) + s.brake_mbar + 100


def _least_permit_mbar(values):
    """Lowest retract_above that the rule accepts; a retraction takes more the higher it starts, so it is stepped up to."""
    trial = copy.copy(values)
    for _ in range(100):
        least = permit_floor_mbar(trial)
        if least <= trial.retract_above_mbar:
            break
        trial.retract_above_mbar = least
    return trial.retract_above_mbar


# What the rules that are sums come to, so that the message can say the lowest value allowed.
_FLOORS_MBAR = {
    "force_below_mbar": checks.force_floor_mbar,
    "warn_below_mbar": checks.warn_floor_mbar,
    "retract_above_mbar": _least_permit_mbar,
}


def _broken_rule(rule, values, unit):
    """The rule in words, with the value that breaks it and, for a sum, what it comes to, in the owner's unit."""
    name = checks.RULE_FIELDS[rule]
    row = next(row for row in FIELDS if row[NAME] == name)
    key, value = key_of(row), getattr(values, name)
    sentence = _in_the_file_s_words(checks.RULE_SENTENCES[rule], unit)
    if name not in GAUGE_FIELDS:
        return f"{key} is {value} {row[UNIT]}".rstrip() + f": {sentence}"
    said = f"{key} is {show_pressure(value * BAR_PER_MBAR, unit)}"
    if name in _FLOORS_MBAR:
        said += f"; allowed: {_rounded_up(_FLOORS_MBAR[name](values), unit)} and more, or '{ADVISED}'"
    return f"{said}: {sentence}"


def _in_the_file_s_words(sentence, unit):
    """A rule of the controller with the file's names for its fields, and pressures in the owner's unit."""
    names = {row[NAME]: key_of(row) for row in FIELDS}
    sentence = re.sub(r"[a-z_]+", lambda word: names.get(word.group(), word.group()), sentence)
    return re.sub(r"(\d+) mbar", lambda found: show_difference(int(found.group(1)) * BAR_PER_MBAR, unit), sentence)


def _rounded_up(mbar, unit):
    """A gauge pressure as text that is never below it: with one more decimal than a reading, rounded up."""
    digits = pressure_digits(unit) + 1
    shown = math.ceil(in_unit(mbar * BAR_PER_MBAR, unit) * 10**digits - 1e-6) / 10**digits
    return f"{shown:.{digits}f} {unit} gauge"


def _own(scalar, row, unit):
    low, high = row[LOW], row[HIGH]
    if (low, high) == (0, 1):
        return int(scalar.flag()) if scalar.text.strip() in ("yes", "no") else scalar.whole(0, 1)
    if row[UNIT] in ("", "counts"):
        return scalar.whole(low, high)
    show = {"mbar": unit, "mbar/s": f"{unit}/s", "permille": "%"}.get(row[UNIT], "")
    value = scalar.quantity(row[UNIT], low, high, reference_of(row), show)
    return _inside(scalar, row, whole(value, row[ROUNDING]))


def _followed(node, row, value):
    return _inside(node, row, whole(value, row[ROUNDING]))


def _inside(node, row, value):
    if not row[LOW] <= value <= row[HIGH]:
        node.fail(f"{key_of(row)} becomes {value} {row[UNIT]}; allowed: {row[LOW]} to {row[HIGH]} {row[UNIT]}")
    return value
