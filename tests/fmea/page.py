"""FMEA.md, made from the failure modes, the trees and their cut sets. Nothing in it is typed."""

from . import page_trees
from .coverage import DETECTED, SAFE, UNDETECTED, coverage_of
from .parts import PART_WORDS, part_of

HEAD = """\
# Failure modes, their effects, and fault trees

Made by `python -m tests.fmea`; do not edit. Everything here was flown and computed on a PC: no board and no model has
been measured, no failure rates are known, and no certification is claimed. Failures come from the catalogue
`host_sim/faults.py`, flights from `python -m tests.in_flight`, trees from `tests/fmea/trees.yaml`.
"""
VERDICT_WORDS = {SAFE: "safe", DETECTED: "dangerous, **detected**", UNDETECTED: "dangerous, **not detected**"}


def page(modes, trees, found, failures, limits):
    """Text of the page."""
    not_flown = [event for event in trees.events.values() if event.evidence.get("none") and event.part != "pilot"]
    parts = [
        HEAD,
        _in_short(modes, trees, not_flown, found),
        _coverage(modes, not_flown),
        _undetected(modes, failures, not_flown),
        page_trees.text(trees, found, limits, modes),
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
    """A Markdown table."""
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    return "\n".join(lines + ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]) + "\n"


def _percent(value):
    return "" if value is None else f"{value} %"


def _in_short(modes, trees, not_flown, found):
    all_modes, wide = verdicts(modes), with_not_flown(modes, not_flown)
    flights = sum(mode.flights for mode in modes)
    failures = len({mode.failure for mode in modes})
    lines = [
        "## In short\n",
        f"- {failures} failures in {len(modes)} forms, flown {flights:,} times: {all_modes.safe} safe, "
        f"{all_modes.detected} dangerous and detected, {all_modes.undetected} dangerous and not detected.",
        f"- Diagnostic coverage {_percent(all_modes.diagnostic_percent)} ({all_modes.class_word}), safe failure fraction "
        f"{_percent(all_modes.safe_percent)}. With the {len(not_flown)} failures that no simulator can show, all counted "
        f"as dangerous and not detected: {_percent(wide.diagnostic_percent)} ({wide.class_word}) and "
        f"{_percent(wide.safe_percent)}.",
        *page_trees.in_short(trees, found),
    ]
    return "\n".join(lines) + "\n"


def _coverage(modes, not_flown):
    rows = []
    for part, words in PART_WORDS.items():
        ours = [mode for mode in modes if part_of(mode.failure) == part]
        if ours:
            rows.append(_coverage_row(words, verdicts(ours)))
    rows.append(_coverage_row("**all that was flown**", verdicts(modes)))
    rows.append(_coverage_row("all, and what could not be flown", with_not_flown(modes, not_flown)))
    heads = (
        "part",
        "forms",
        "safe",
        "dangerous, detected",
        "dangerous, not detected",
        "coverage",
        "class",
        "safe share",
    )
    return (
        "## Diagnostic coverage\n\n"
        "Diagnostic coverage (IEC 61508-2 and -4, ISO 13849-1; from memory) is the share of dangerous failures that are\n"
        "detected; below 60 % it is called none, from 60 % low, from 90 % medium, from 99 % high. Safe share is the safe\n"
        "failure fraction: safe and dangerous detected failures over all. Both are meant for failure *rates*. Rates of\n"
        "these parts are not known, so **every form of a failure weighs the same**: the figures say what is looked for,\n"
        "not how likely anything is, and no level of these standards is claimed. A form is dangerous if it is in any\n"
        "phase of the flight, and detected only if it is in all of those. Percentages are rounded down.\n\n"
        + table(heads, rows)
    )


def _coverage_row(words, one):
    return (
        words,
        one.modes,
        one.safe,
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
        forms = "; ".join(mode.variant for mode in group if mode.variant)
        limits = "; ".join(dict.fromkeys(limit for mode in group for limit in mode.limits))
        lines.append(
            f"- **{name}**" + (f" ({forms})" if forms else "") + (f", limit: {limits}" if limits else "") + "."
        )
        lines.append(f"  {failures[name]['do']}")
    lines.append("\n### Not simulated\n")
    lines.append("Failures that no flight can show. They stand in the fault trees, and count as not detected.\n")
    lines += [f"- **{event.text}** ({event.part}): {event.evidence['none']}." for event in not_flown]
    return "\n".join(lines) + "\n"


def _tables(modes):
    parts = [
        "## Every form of every failure\n",
        "Each form was put into flights at many moments of these phases: `python -m tests.in_flight`. Times are the\n"
        "reaction that came closest to what is allowed.\n",
    ]
    heads = ("failure", "effect", "detection", "reaction", "ms / allowed", "verdict", "flights")
    for part, words in PART_WORDS.items():
        ours = [mode for mode in modes if part_of(mode.failure) == part]
        if ours:
            parts.append(f"### {words.capitalize()}\n")
            parts.append(table(heads, [_mode_row(mode) for mode in ours]))
    return "\n".join(parts)


def _mode_row(mode):
    time = "" if mode.slowest_ms is None else f"{mode.slowest_ms} / {mode.allowed_ms}"
    return (
        mode.label,
        mode.effect,
        mode.detection,
        mode.reaction,
        time,
        VERDICT_WORDS[mode.verdict],
        f"{mode.flights:,}",
    )
