"""What stands on the page of `downlock advise` about random days, where they were flown."""

from ..quantities import show_pressure
from .chances_words import interval, worst_sentence
from .markup import bullets, paragraph, picture, section, table
from .pictures import chances_png
from .words import percent, plain


def chances_section(aircraft, advice, chances, unit):
    """Markup of a Chances: what it shows and cannot show, the curve as a picture and as a table, days to look at."""
    found = chances.causes.items()
    causes = ", ".join(f"{cause} on {days}" for cause, days in found) or "none"
    flown = (
        f"{chances.n} days, seed {chances.seed}, {chances.flights} flights. The controller refused the retraction on "
        f"{chances.refused} of the days. Causes that forced the gear down without need, at the advised thresholds: {causes}."
    )
    return section(
        "chances",
        "Random days",
        paragraph(flown),
        bullets([*chances.shows, *chances.cannot_show]),
        paragraph(chances.distribution),
        picture(chances_png(aircraft, advice, chances, unit, titled=False, scale=2), _alt(chances, unit)),
        _curve(chances, unit),
        bullets([worst_sentence(worst, unit) for worst in chances.worst]),
    )


def _alt(chances, unit):
    ends = [show_pressure(point.force_below_bar, unit) for point in (chances.curve[0], chances.curve[-1])]
    return (
        f"Chance that a forced extension does not lock, and that the gear is forced down without need on a day, against "
        f"force below from {ends[0]} to {ends[1]}, with 95 % intervals. The table below says it in numbers."
    )


def _curve(chances, unit):
    head = [
        ("", ("forced and does not lock", 2), ("forced without need", 2), ""),
        (f"force below, {unit} gauge", "of forced", "chance, 95 %", "of days", "chance, 95 %", ""),
    ]
    rows = [
        (plain(point.force_below_bar, unit), *share_words(point.failed), *share_words(point.nuisance), _remark(point))
        for point in chances.curve
    ]
    return table("Chances along the forcing point", head, rows, left=(0, 5), kind="short")


def share_words(share):
    """("2 of 400", "0.5 % (0.06 % to 1.8 %)") of a Share."""
    shown = interval(share) if share.events == 0 else f"{percent(share.chance)} ({interval(share)})"
    return f"{share.events} of {share.of}", shown


def _remark(point):
    if point.is_advised:
        return "as advised"
    return "" if point.board_accepts else "a board refuses it"
