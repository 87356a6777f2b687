"""FMEA.md, made from the failure modes, the trees and their cut sets. Nothing in it is typed."""

from . import page_flights, page_trees
from .coverage import BORNE, DETECTED, SAFE, UNDETECTED, coverage_of
from .modes import HARM
from .page_flights import SHORT
from .parts import PART_WORDS, part_of

HEAD = """\
# Failure modes, their effects, and fault trees

Made by `python -m tests.fmea`; do not edit. Everything here was flown and computed on a PC: no board and no model has
been measured, no failure rates are known, and no certification is claimed. Failures come from the catalogue
`host_sim/faults.py`, flights from `python -m tests.in_flight`, trees from `tests/fmea/trees.yaml`.
"""
COVERAGE = """\
## Diagnostic coverage

Diagnostic coverage (IEC 61508-2 and -4, ISO 13849-1; from memory) is the share of dangerous failures that are detected;
below 60 % it is called none, from 60 % low, from 90 % medium, from 99 % high. Safe share is the safe failure fraction:
safe and dangerous detected failures over all. Both are meant for failure *rates*. Rates of these parts are not known,
so **every form of a failure weighs the same**: the figures say what is looked for, not how likely anything is, and no
level of these standards is claimed. Percentages are rounded down.

A form is *dangerous* if in some phase of a flight it would harm with a plain link in the controller's place (flown), or
if it takes away what the controller protects with (`failures.yaml` says which and what). It is *detected* if every
flight of every such phase shows it: an alert, a refusal, or the gear forced down. It is *borne* if not, and in no such
flight did it harm with the controller in place: a glitch that is filtered out. What is borne counts as safe, and not in
the coverage. One form is one failure of the catalogue with one set of its parameters.
"""
FORMS = """\
## Every form of every failure

Each form was put into flights in every phase in which it can be: `python -m tests.in_flight`. The time is that of the
reaction that came closest to what is allowed. Forms that end alike on both aircraft share a row.
"""
VERDICT_WORDS = {
    SAFE: "safe",
    BORNE: "borne",
    DETECTED: "dangerous, detected",
    UNDETECTED: "dangerous, **not detected**",
}
# What the two shipped aircraft have, in words that a table can hold.
AIRCRAFT = {
    "curlew": "Curlew 24: one pressure sensor, spring-return valve, no lock switches, no ground switch",
    "tern": "Tern 30: two pressure sensors, two-coil valve, lock switches, ground switch",
}
# Alerts that say no more than the cause or the refusal beside them.
_SAID_ALREADY = ("alert gear forced down", "alert gear held down", "alert retract refused")


def page(modes, trees, found, failures, limits):
    """Text of the page."""
    not_flown = [event for event in trees.events.values() if event.evidence.get("none") and event.part != "pilot"]
    parts = [
        HEAD,
        _in_short(modes, trees, not_flown, found),
        _coverage(modes, not_flown),
        _undetected(modes, failures, not_flown),
        page_trees.text(trees, found, limits),
        page_flights.text(trees, found, modes),
        _tables(modes),
    ]
    return "\n".join(parts)


def verdicts(modes):
    """Coverage of failure modes."""
    return coverage_of(mode.verdict for mode in modes)


def with_not_flown(modes, not_flown):
    """The same with what no simulator can break, each dangerous and not detected."""
    return coverage_of([mode.verdict for mode in modes] + [UNDETECTED] * len(not_flown))


def table(heads, rows):
    """A Markdown table. ValueError for a row of another width."""
    if any(len(row) != len(heads) for row in rows):
        raise ValueError(f"not all rows have {len(heads)} cells: {heads}")
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    return "\n".join(lines + ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]) + "\n"


def _percent(value):
    return "" if value is None else f"{value} %"


def _in_short(modes, trees, not_flown, found):
    flights = sum(mode.flights for mode in modes)
    failures, forms = len({mode.failure for mode in modes}), len({mode.label for mode in modes})
    lines = ["## In short\n", f"- {failures} failures in {forms} forms, flown {flights:,} times on two aircraft."]
    for aircraft, words in AIRCRAFT.items():
        ours = [mode for mode in modes if mode.aircraft == aircraft]
        one, wide = verdicts(ours), with_not_flown(ours, not_flown)
        harmed = [mode for mode in ours if mode.verdict == DETECTED and set(HARM) & set(mode.effects)]
        lines += [
            f"- **{words}.**",
            f"  - Of {one.modes} forms {one.safe} are safe, {one.borne} borne, {one.detected} dangerous and detected, "
            f"{one.undetected} dangerous and not detected.",
            f"  - Diagnostic coverage {_percent(one.diagnostic_percent)} ({one.class_word}), safe failure fraction "
            f"{_percent(one.safe_percent)}.",
            f"  - With the {len(not_flown)} failures that no simulator can show, all counted as not detected: "
            f"{_percent(wide.diagnostic_percent)} ({wide.class_word}) and {_percent(wide.safe_percent)}.",
            f"  - Detected is not prevented: {len(harmed)} of the {one.detected} detected forms are admitted limits "
            "that can leave a leg unlocked or move the gear all the same.",
        ]
    return "\n".join([*lines, *page_trees.in_short(trees, found)]) + "\n"


def _coverage(modes, not_flown):
    heads = (
        "part",
        "forms",
        "safe",
        "borne",
        "dangerous, detected",
        "dangerous, not detected",
        "coverage",
        "class",
        "safe share",
    )
    lines = [
        COVERAGE,
    ]
    for aircraft, words in AIRCRAFT.items():
        ours = [mode for mode in modes if mode.aircraft == aircraft]
        rows = []
        for part, name in PART_WORDS.items():
            group = [mode for mode in ours if part_of(mode.failure) == part]
            if group:
                rows.append(_coverage_row(name, verdicts(group)))
        rows.append(_coverage_row("**all that was flown**", verdicts(ours)))
        rows.append(_coverage_row("all, and what could not be flown", with_not_flown(ours, not_flown)))
        lines += [f"### {words}\n", table(heads, rows)]
    return "\n".join(lines)


def _coverage_row(words, one):
    return (
        words,
        one.modes,
        one.safe,
        one.borne,
        one.detected,
        one.undetected,
        _percent(one.diagnostic_percent),
        one.class_word,
        _percent(one.safe_percent),
    )


def _undetected(modes, failures, not_flown):
    lines = ["## Dangerous and not detected: what the builder does\n"]
    by_failure = {}
    for mode in modes:
        if mode.verdict == UNDETECTED:
            by_failure.setdefault(mode.failure, []).append(mode)
    for name, group in by_failure.items():
        where = {}
        for mode in group:
            where.setdefault(mode.variant, []).append(SHORT[mode.aircraft])
        forms = "; ".join(
            ", ".join(word for word in (variant, *(f"{one} only" for one in on if len(on) == 1)) if word)
            for variant, on in where.items()
        )
        defeats = failures[name].get("defeats", {}).get("what")
        limits = list(dict.fromkeys(limit for mode in group for limit in mode.limits))
        lines.append(
            f"- **{name}**{f' ({forms})' if forms else ''}." + (f" It can take away {defeats}." if defeats else "")
        )
        if limits:
            lines.append(f"  Admitted limit: {'; '.join(limits)}.")
        lines.append(f"  *{failures[name].get('do', 'Nothing is known to help.')}*")
    lines.append("\n### Not simulated\n")
    lines.append("Failures that no flight can show. They stand in the fault trees, and count as not detected.\n")
    lines += [f"- **{event.text}** ({event.part}): {event.evidence['none']}." for event in not_flown]
    return "\n".join(lines) + "\n"


def _tables(modes):
    parts = [
        FORMS,
    ]
    heads = ("failure", "on", "effect", "detected by", "reaction", "ms / allowed", "verdict", "flights")
    for part, words in PART_WORDS.items():
        rows = [_mode_row(group) for group in _alike(modes, part)]
        if rows:
            parts += [f"### {words.capitalize()}\n", table(heads, rows)]
    return "\n".join(parts)


def _alike(modes, part):
    """Groups of modes of a part that differ in the aircraft alone."""
    groups = {}
    for mode in modes:
        if part_of(mode.failure) == part:
            same = (mode.label, *map(tuple, (mode.effects, mode.detection, mode.reaction)), mode.verdict)
            groups.setdefault(same, []).append(mode)
    return sorted(groups.values(), key=lambda group: (group[0].label, group[0].aircraft))


def _mode_row(group):
    first = group[0]
    timed = [(mode.slowest_ms, mode.allowed_ms) for mode in group if mode.slowest_ms is not None]
    slowest_ms, allowed_ms = max(timed, key=lambda pair: (pair[0] - pair[1], pair), default=("", ""))
    return (
        first.label,
        "both" if len(group) == 2 else SHORT[first.aircraft],
        "; ".join(sorted(first.effects, key=lambda effect: effect not in HARM)) or "none",
        _detection(first.detection),
        "; ".join(first.reaction) or "none",
        f"{slowest_ms} / {allowed_ms}" if timed else "",
        VERDICT_WORDS[first.verdict],
        f"{sum(mode.flights for mode in group):,}",
    )


def _detection(words):
    """Causes, refusals and alerts, each kind named once."""
    said = []
    for kind, name in (("cause ", "forced by"), ("refusal ", "refused by"), ("alert ", "alert")):
        ours = [word.removeprefix(kind) for word in words if word.startswith(kind) and word not in _SAID_ALREADY]
        if ours:
            said.append(f"{name} {', '.join(ours)}")
    return "; ".join(said) or "nothing"
