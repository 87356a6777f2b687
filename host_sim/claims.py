"""What a scenario asserts about its flight, and the verdict on a trace.

Kinds: never, by, at, always, order, after, count; each over rows of the trace between `from` and `until`. A claim that looked
at nothing (an empty window, a column without a number, a `while` that never was) does not hold.
"""

import math
from dataclasses import dataclass

from .conditions import Condition, read_conditions
from .yamlfile import Mapping, Sequence

KINDS = ("never", "always", "by", "at", "order", "after", "count")
_EPSILON_S = 1e-6


@dataclass(frozen=True)
class Claim:
    """One claim. Rows with from_s <= t <= until_s count.

    kind    one of KINDS
    what    conditions that never, always, at or by the time hold, or that are counted
    extra   the second group: of `order` the later conditions, of `after` the trigger, of `always` and `never` the `while`
    within_s, at_most, at_least   for after and count
    """

    kind: str
    line: int
    from_s: float
    until_s: float
    what: tuple[Condition, ...]
    extra: tuple[Condition, ...] = ()
    within_s: float = 0.0
    at_least: int = 0
    at_most: int = 0

    def words(self, unit):
        """The claim in plain words, pressures in `unit` (bar, psi, kPa)."""
        what, extra = _words(self.what, unit), _words(self.extra, unit)
        window = f"from {self.from_s:g} s to {self.until_s:g} s"
        meanwhile = f" while {extra}" if extra else ""
        if self.kind == "never":
            return f"never {what}{meanwhile}, {window}"
        if self.kind == "always":
            return f"always {what}{meanwhile}, {window}"
        if self.kind == "by":
            return f"by {self.until_s:g} s {what}" + (f" (not counted before {self.from_s:g} s)" if self.from_s else "")
        if self.kind == "at":
            return f"at {self.from_s:g} s {what}"
        if self.kind == "order":
            return f"first {what}, later {extra}, {window}"
        if self.kind == "after":
            return f"after {extra}, within {self.within_s:g} s {what}, {window}"
        least = f"at least {self.at_least}" if self.at_least else ""
        most = f"at most {self.at_most}" if self.at_most is not None else ""
        return f"it comes about {' and '.join(filter(None, (least, most)))} times that {what}, {window}"


@dataclass(frozen=True)
class Verdict:
    """What became of a claim: its words, its line in the file, whether it holds, and where it does not (or what was seen)."""

    claim_text: str
    line: int
    holds: bool
    detail: str


def _words(conditions, unit):
    return " and ".join(condition.words(unit) for condition in conditions)


# reading


def read_claims(node, duration_s):
    """Tuple of Claim from the list `claims`."""
    claims = tuple(_read_claim(part, duration_s) for part in node.of(Mapping))
    if not claims:
        node.fail("is empty: a flight without a claim proves nothing")
    return claims


def _read_claim(node, duration_s):
    kinds = [kind for kind in KINDS if node.has(kind)]
    if len(kinds) != 1:
        node.fail(f"has {'no' if not kinds else 'more than one'} kind ({', '.join(kinds or KINDS)}); wanted is exactly one")
    claim = _READERS[kinds[0]](node, duration_s)
    node.close()
    return claim


def _window(node, duration_s):
    from_s = node.take("from").quantity("s", 0.0, duration_s) if node.has("from") else 0.0
    until_s = node.take("until").quantity("s", 0.0, duration_s) if node.has("until") else duration_s
    if until_s <= from_s:
        node.fail(f"the window from {from_s:g} s to {until_s:g} s is empty")
    return from_s, until_s


def _read_span(kind):
    def read(node, duration_s):
        from_s, until_s = _window(node, duration_s)
        extra = read_conditions(node.take("while", Mapping)) if node.has("while") else ()
        return Claim(kind, node.line, from_s, until_s, read_conditions(node.take(kind, Mapping)), extra)

    return read


def _read_by(node, duration_s):
    until_s = _moment(node.take("by"), duration_s)
    from_s = node.take("from").quantity("s", 0.0, duration_s) if node.has("from") else 0.0
    if until_s <= from_s:
        node.fail(f"the window from {from_s:g} s to {until_s:g} s is empty")
    return Claim("by", node.line, from_s, until_s, read_conditions(node.take("is", Mapping)))


def _read_at(node, duration_s):
    at_s = _moment(node.take("at"), duration_s)
    return Claim("at", node.line, at_s, at_s, read_conditions(node.take("is", Mapping)))


def _moment(scalar, duration_s):
    return duration_s if scalar.text.strip() == "end" else scalar.quantity("s", 0.0, duration_s)


def _read_order(node, duration_s):
    pair = node.take("order", Sequence)
    if len(pair.items) != 2:
        pair.fail(f"has {len(pair.items)} parts; wanted are two: what comes first and what comes later")
    from_s, until_s = _window(node, duration_s)
    first, later = (read_conditions(part) for part in pair.of(Mapping))
    return Claim("order", node.line, from_s, until_s, first, later)


def _read_after(node, duration_s):
    from_s, until_s = _window(node, duration_s)
    within_s = node.take("within").quantity("s", 0.0, duration_s)
    trigger = read_conditions(node.take("after", Mapping))
    return Claim("after", node.line, from_s, until_s, read_conditions(node.take("is", Mapping)), trigger, within_s)


def _read_count(node, duration_s):
    from_s, until_s = _window(node, duration_s)
    least = node.take("at_least").whole(1, 100000) if node.has("at_least") else 0
    most = node.take("at_most").whole(0, 100000) if node.has("at_most") else None
    if not least and most is None:
        node.fail("needs 'at_least', 'at_most' or both")
    if most is not None and most < least:
        node.take("at_most").fail(f"'{most}' is less than at_least, {least}")
    what = read_conditions(node.take("count", Mapping))
    return Claim("count", node.line, from_s, until_s, what, at_least=least, at_most=most)


_READERS = {
    "never": _read_span("never"),
    "always": _read_span("always"),
    "by": _read_by,
    "at": _read_at,
    "order": _read_order,
    "after": _read_after,
    "count": _read_count,
}


# judging


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
        return False, f"never was it so that {_words(missing, unit)}"
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
