"""What `downlock advise --flights` prints of its random days."""

import textwrap

from ..wording import show_difference
from .words import columns, percent, plain


def chances_lines(chances, unit, width=100):
    """Lines for a terminal."""
    lines = [f"{chances.n} random days, seed {chances.seed}, {chances.flights} flights through the real controller"]
    lines += textwrap.wrap(chances.distribution, width)
    lines += columns(
        ("all four thresholds as advised", "days", "of", "chance", "95 % interval"), share_rows(chances), left=(0,)
    )
    if chances.causes:
        lines.append(f"  Forced for nothing by: {_counts(chances.causes)}.")
    if chances.forced_by:
        lines.append(f"  Failing days were forced by: {_counts(chances.forced_by)}.")
    if chances.refused:
        lines.append(f"  A retraction was refused on {chances.refused} of the days; they count as days without one.")
    lines += ["", f"Both chances against force_below ({unit} gauge), the same days at each:"]
    lines += columns(
        ("force_below", "forced but not locked", "95 % interval", "forced for nothing", "95 % interval"),
        curve_rows(chances, unit),
        left=(0,),
    )
    if not all(point.board_accepts for point in chances.curve):
        lines.append("  *  a board would refuse these settings: put into the running controller to show the curve")
    lines.append("")
    for sentence in (*chances.shows, *chances.cannot_show):
        lines += textwrap.wrap(sentence, width)
    lines += [f"  {worst_sentence(worst, unit)}" for worst in chances.worst]
    return lines


def share_rows(chances):
    """(what, events, of, chance, interval) of the two chances, all text."""
    named = (("gear forced for nothing", chances.nuisance), ("forced gear that does not lock", chances.failed))
    return [(name, str(s.events), str(s.of), percent(s.chance), interval(s)) for name, s in named]


def curve_rows(chances, unit):
    """(force_below, failed, its interval, nuisance, its interval) of each point of the curve, all text."""
    rows = []
    for point in chances.curve:
        mark = " advised" if point.is_advised else "" if point.board_accepts else " *"
        rows.append(
            (
                plain(point.force_below_bar, unit) + mark,
                f"{point.failed.events} of {point.failed.of}",
                interval(point.failed),
                f"{point.nuisance.events} of {point.nuisance.of}",
                interval(point.nuisance),
            )
        )
    return rows


def interval(share):
    """The interval of a Share: "at most 1.8 %" where nothing happened, "nothing to judge" where nothing could."""
    if share.of == 0:
        return "nothing to judge"
    if share.events == 0:
        return f"at most {percent(share.high)}"
    return f"{percent(share.low)} to {percent(share.high)}"


def _counts(causes):
    return ", ".join(f"{cause} ({n})" for cause, n in causes.items())


def worst_sentence(worst, unit):
    """One day to look at again."""
    said = f"Day {worst.number}: {worst.kind}"
    if worst.value is None:
        return f"{said}."
    if worst.kind == "slowest lock":
        return f"{said}, {worst.value:.2f} s."
    return f"{said}, {show_difference(worst.value, unit)} from the forcing point to the lowest reading."
