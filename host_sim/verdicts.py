"""The verdict on each claim of a scenario: holds or not, where it does not, what was seen.

A claim that looked at nothing (an empty window, a column without a number, a `while` that never was) does not hold.
"""

import math
from dataclasses import dataclass

from .conditions import in_words

_EPSILON_S = 1e-6


@dataclass(frozen=True)
class Verdict:
    """What became of a claim: its words, its line in the file, whether it holds, where it does not, what was seen."""

    claim_text: str
    line: int
    holds: bool
    detail: str


def judge(scenario, trace, unit=""):
    """List of Verdict, one a claim, pressures in `unit` (the aircraft's own where none is given)."""
    unit = unit or scenario.aircraft.unit
    return [_judge(claim, trace.rows, unit) for claim in scenario.claims]


def _judge(claim, rows, unit):
    text = claim.words(unit)
    seen = [row for row in rows if claim.from_s - _EPSILON_S <= row[0] <= claim.until_s + _EPSILON_S]
    if claim.kind == "at":
        # The row that was in force at that moment: the last one not after it.
        seen = [row for row in rows if row[0] <= claim.from_s + _EPSILON_S][-1:]
    if not seen:
        return Verdict(text, claim.line, False, "no row of the trace lies in this window")
    for condition in claim.what + claim.extra:
        if not any(condition.applies(row) for row in seen):
            return Verdict(text, claim.line, False, f"{condition.column} never held a number in this window")
    holds, detail = _JUDGES[claim.kind](claim, seen, unit)
    return Verdict(text, claim.line, holds, detail)


def _all(conditions, row):
    return all(condition.holds(row) for condition in conditions)


def _values(conditions, row, unit):
    shown = ", ".join(f"{condition.column} {condition.show(row, unit)}" for condition in conditions)
    return f"at {row[0]:.2f} s: {shown}"


def _judge_never(claim, rows, unit):
    rows = [row for row in rows if _all(claim.extra, row)]
    for row in rows:
        if _all(claim.what, row):
            return False, _values(claim.what, row, unit)
    return bool(rows), f"in none of {len(rows)} rows" if rows else "the condition of 'while' never held"


def _judge_always(claim, rows, unit):
    rows = [row for row in rows if _all(claim.extra, row)]
    for row in rows:
        if not _all(claim.what, row):
            return False, _values(claim.what, row, unit)
    return bool(rows), f"in all of {len(rows)} rows" if rows else "the condition of 'while' never held"


def _judge_by(claim, rows, unit):
    row = _first(claim.what, rows)
    if row is None:
        return False, "not so; last " + _values(claim.what, rows[-1], unit)
    return True, f"since {row[0]:.2f} s"


def _judge_at(claim, rows, unit):
    return _all(claim.what, rows[0]), _values(claim.what, rows[0], unit)


def _first(conditions, rows):
    return next((row for row in rows if _all(conditions, row)), None)


def _judge_order(claim, rows, unit):
    first, later = _first(claim.what, rows), _first(claim.extra, rows)
    if first is None or later is None:
        missing = claim.what if first is None else claim.extra
        return False, f"never was it so that {in_words(missing, unit)}"
    return first[0] < later[0] - _EPSILON_S, f"at {first[0]:.2f} s, and at {later[0]:.2f} s"


def _judge_after(claim, rows, unit):
    """Every time the trigger comes about, not only the first, must be answered in time."""
    before, answered = False, 0
    for index, row in enumerate(rows):
        now = _all(claim.extra, row)
        if now and not before:
            limit_s = row[0] + claim.within_s + _EPSILON_S
            answer = next((r for r in rows[index:] if r[0] <= limit_s and _all(claim.what, r)), None)
            if answer is None:
                return False, f"not within {claim.within_s:g} s of {row[0]:.2f} s"
            answered += 1
        before = now
    return answered > 0, f"{answered} times" if answered else "what should come before never came"


def _judge_count(claim, rows, unit):
    times_s, before = [], False
    for row in rows:
        now = _all(claim.what, row)
        if now and not before:
            times_s.append(row[0])
        before = now
    most = math.inf if claim.at_most is None else claim.at_most
    at = ", ".join(f"{t_s:.2f} s" for t_s in times_s[:8])
    return claim.at_least <= len(times_s) <= most, f"{len(times_s)} times" + (f": {at}" if at else "")


_JUDGES = {
    "never": _judge_never,
    "always": _judge_always,
    "by": _judge_by,
    "at": _judge_at,
    "order": _judge_order,
    "after": _judge_after,
    "count": _judge_count,
}
