"""What a scenario asserts about its flight: never, always, by, at, order, after, count, read with file and line.

Each looks at the rows of the trace between `from` and `until`. verdicts.py judges.
"""

from dataclasses import dataclass

from .conditions import Condition, in_words, read_conditions
from .verdicts import Verdict, judge
from .yamlfile import Mapping, Sequence

__all__ = ["KINDS", "Claim", "Verdict", "judge", "read_claims"]

KINDS = ("never", "always", "by", "at", "order", "after", "count")


@dataclass(frozen=True)
class Claim:
    """One claim. Rows with from_s <= t <= until_s count.

    kind    one of KINDS
    what    conditions that never, always, at or by the time hold, or that are counted
    extra   the second group: the later conditions of `order`, the trigger of `after`, the `while` of `always` and `never`
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
    at_most: int | None = None

    def words(self, unit):
        """The claim in plain words, pressures in `unit` (bar, psi, kPa)."""
        what, extra = in_words(self.what, unit), in_words(self.extra, unit)
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


def read_claims(node, duration_s):
    """Tuple of Claim from the list `claims`."""
    claims = tuple(_read_claim(part, duration_s) for part in node.of(Mapping))
    if not claims:
        node.fail("is empty: a flight without a claim proves nothing")
    return claims


def _read_claim(node, duration_s):
    kinds = [kind for kind in KINDS if node.has(kind)]
    if len(kinds) != 1:
        node.fail(
            f"has {'no' if not kinds else 'more than one'} kind ({', '.join(kinds or KINDS)}); wanted is exactly one"
        )
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
