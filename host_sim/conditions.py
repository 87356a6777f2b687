"""Conditions on one row of a trace: "tank: below 4.0 bar", "alerts: has air low", "mode: not waking".

A condition names a column (the unit at its end may be left out) and what its cell must be. Words are checked against
the words that the column can hold, numbers carry their unit; a comparison of numbers is false where the cell holds a
word ("unknown", "absent", "none").
"""

import operator
from dataclasses import dataclass

from controller import codes

from .quantities import QuantityError, quantity, show_pressure
from .trace import COLUMNS
from .yamlfile import nearest

_POSITIONS = codes.POSITION_WORDS
_ON_OFF = ("off", "on")
_YES_NO = ("no", "yes")
# What each column holds: the unit of its numbers (None: no numbers), and its words.
_HOLDS = {
    "t_s": ("s", ()),
    "tank_bar": ("bar", ()),
    "reading_mbar": ("mbar", ("unknown",)),
    "link": (None, codes.LINK_WORDS),
    "switch": (None, _POSITIONS),
    "gear_command": (None, _POSITIONS[:2]),
    "gear_travel": ("percent", ()),
    "locked": (None, codes.LOCK_WORDS),
    "mode": (None, codes.MODE_WORDS),
    "causes": (None, codes.CAUSE_WORDS),
    "alert": (None, codes.ALERT_WORDS),
    "severity": (None, codes.SEVERITY_WORDS),
    "throttle": ("percent", ("unknown", "absent")),
    "brake": ("percent", ("unknown", "absent")),
    "brakes_on": (None, _YES_NO),
    "light": (None, _ON_OFF),
    "supply_mv": ("mV", ("absent",)),
    "cause": (None, codes.CAUSE_WORDS),
    "cause_value": ("", ()),
    "cause_t_s": ("s", ("none",)),
    "refusal": (None, codes.REFUSAL_WORDS),
    "refusal_value": ("", ()),
    "gear_valve": (None, _POSITIONS[:2]),
    "coil_up": ("", ()),
    "coil_down": ("", ()),
    "valve_us": ("us", ()),
    "lamp": ("", ()),
    "tone_hz": ("Hz", ()),
    "feed": ("", ()),
    "alerts": (None, codes.ALERT_WORDS),
    "pilot_switch": (None, _POSITIONS[:2]),
    "true_locked": (None, _YES_NO),
}
LISTS = ("causes", "alerts")
PRESSURES = {"tank_bar": 1.0, "reading_mbar": 1000.0}  # cell per bar
# Cells that are a share of one while people write percent.
_PER_PERCENT = {"gear_travel": 0.01}
_SHORT = {
    column.rsplit("_", 1)[0]: column for column in ("tank_bar", "reading_mbar", "supply_mv", "tone_hz", "valve_us")
}
_SHORT["time"] = "t_s"
_COMPARISONS = {
    "below": operator.lt,
    "above": operator.gt,
    "at least": operator.ge,
    "at most": operator.le,
    "exactly": operator.eq,
}
NAMES = tuple(dict.fromkeys([*_SHORT, *COLUMNS]))


@dataclass(frozen=True)
class Condition:
    """One test of one cell. `kind` is a comparison of numbers, or "is", "not", "has", "has not" for words.

    `value` is in the unit of the cell; `said` the number as written, for columns that are no pressure.
    """

    column: str
    index: int
    kind: str
    value: float | str
    said: str

    def holds(self, row):
        """Whether the row fulfils it."""
        cell = row[self.index]
        if self.kind in _COMPARISONS:
            return not isinstance(cell, str) and _COMPARISONS[self.kind](cell, self.value)
        if self.column in LISTS:
            here = self.value in cell.split("+")
            return here == (self.kind in ("is", "has"))
        return (cell == self.value) == (self.kind == "is")

    def applies(self, row):
        """Whether the cell holds what the test is about: a number for a comparison, anything for words."""
        return self.kind not in _COMPARISONS or not isinstance(row[self.index], str)

    def words(self, unit):
        """In plain words, pressures in `unit`."""
        name = self.column.rsplit("_", 1)[0] if self.column in _SHORT.values() else self.column
        name = name.replace("_", " ") if name != "t" else "time"
        if self.kind in _COMPARISONS:
            value = self.said
            if self.column in PRESSURES:
                value = show_pressure(self.value / PRESSURES[self.column], unit)
            return f"{name} {self.kind} {value}"
        verb = {"is": "is", "not": "is not", "has": "include", "has not": "do not include"}[self.kind]
        return f"{name} {verb} '{self.value}'"

    def show(self, row, unit):
        """The cell of a row for people."""
        cell = row[self.index]
        if self.column in PRESSURES and not isinstance(cell, str):
            return show_pressure(cell / PRESSURES[self.column], unit)
        return f"{cell:g}" if isinstance(cell, float) else str(cell)


def in_words(conditions, unit):
    """Several conditions in plain words, pressures in `unit`."""
    return " and ".join(condition.words(unit) for condition in conditions)


def read_conditions(node):
    """Tuple of Condition from a Mapping of columns to tests; all must hold in one row."""
    if not node.items:
        node.fail("names no column")
    return tuple(_read_condition(name, scalar) for name, scalar in node.items.items())


def _read_condition(name, scalar):
    column = _SHORT.get(name, name)
    if column not in COLUMNS or not hasattr(scalar, "text"):
        if column in COLUMNS:
            scalar.fail("is no single value; write one test, like 'down' or 'below 4.0 bar'")
        scalar.fail(f"'{name[:40]}' is no column of a trace{nearest(name, NAMES)}; allowed: {', '.join(NAMES)}")
    text = " ".join(scalar.text.split())
    unit, words = _HOLDS[column]
    for kind in _COMPARISONS:
        if text.startswith(kind + " "):
            if unit is None:
                scalar.fail(f"'{text[:40]}': {name} holds words, not numbers; allowed: {', '.join(words)}")
            said = text.removeprefix(kind + " ")
            return Condition(column, COLUMNS.index(column), kind, _number(scalar, said, column, unit), said)
    kind, word = "has" if column in LISTS else "is", text
    # Some words begin with "not" themselves ("not locked").
    for start in () if text in words else ("has not", "not", "has"):
        if text.startswith(start + " "):
            kind, word = start, text.removeprefix(start + " ")
            break
    if kind.startswith("has") and column not in LISTS:
        scalar.fail(f"'{text[:40]}': {name} holds one word; write it without 'has'")
    allowed = (*words, "none") if column in LISTS else words
    if word not in allowed:
        numbers = "" if unit is None else f" or a comparison ({', '.join(_COMPARISONS)}) with a number"
        scalar.fail(
            f"'{text[:40]}' is nothing {name} can be{nearest(word, allowed)}; allowed: {', '.join(allowed)}{numbers}"
        )
    if column in LISTS:
        kind = {"is": "has", "not": "has not"}.get(kind, kind)
    return Condition(column, COLUMNS.index(column), kind, word, word)


def _number(scalar, said, column, unit):
    if not unit:
        try:
            return float(said)
        except ValueError:
            scalar.fail(f"'{said[:40]}' is not a plain number")
    try:
        return quantity(said, unit, "gauge" if column in PRESSURES else "") * _PER_PERCENT.get(column, 1.0)
    except QuantityError as error:
        scalar.fail(str(error))
