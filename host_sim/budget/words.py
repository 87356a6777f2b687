"""Tables and sentences that the print-outs of the air budget share. Every pressure in the unit asked, gauge said."""

from ..quantities import show_pressure
from ..wording import in_unit, pressure_digits, show_difference
from .advice import set_bar

CAUTIONS = (
    "Compressed air stores energy: stay within the rating of every part, wear eye protection, vent the tank before "
    "work on it. Legs and doors crush: keep clear of them while the tank holds air.",
    "A bench, and more so a computation, is not the aircraft in the air: prove the thresholds on the one that flies, with "
    "the air load applied. Local codes, club rules and licensed practice come first.",
)
USE_WORDS = {
    "cycles": ("cycles", lambda use, unit: f"{use.cycles}"),
    "up_for": ("gear up for at most", lambda use, unit: f"{use.up_for_s / 60:g} min"),
    "brake_applications": ("full brake applications a landing", lambda use, unit: f"{use.brake_applications}"),
    "brake_least": ("brakes need at least", lambda use, unit: show_pressure(use.brake_least_bar, unit)),
    "cooling": ("cooling in flight", lambda use, unit: f"{use.cooling_k:g} K"),
    "descent": ("descent after a retraction", lambda use, unit: f"{use.descent_m:g} m"),
    "coldest": ("coldest day", lambda use, unit: f"{use.coldest_k - 273.15:.0f} degC"),
    "warmest": ("warmest day", lambda use, unit: f"{use.warmest_k - 273.15:.0f} degC"),
}


def columns(head, rows, left=(0,)):
    """Lines of a table: `head` and `rows` are sequences of text; columns in `left` are flush left, the others right."""
    table = [head, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(head))]
    lines = []
    for row in table:
        cells = [
            cell.ljust(w) if i in left else cell.rjust(w) for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  " + "  ".join(cells).rstrip())
    return lines


def plain(bar, unit, more=0):
    """A pressure or difference as a number for a column whose head names the unit; "-" where there is none."""
    return "-" if bar is None else f"{in_unit(bar, unit):.{pressure_digits(unit) + more}f}"


def seconds(value):
    """A time for a column; "-" where the stroke does not get to its end."""
    return "-" if value is None else f"{value:.2f} s"


def use_sentence(use, unit):
    """How the aircraft is flown, in one sentence, with what the file does not say."""
    said = "; ".join(f"{words} {show(use, unit)}" for words, show in USE_WORDS.values())
    if not use.assumed:
        return f"Flown so: {said}."
    if len(use.assumed) == len(USE_WORDS):
        return f"Flown so (all assumed, the file has no section 'use'): {said}."
    return f"Flown so: {said}. Assumed, because the file does not say it: {', '.join(use.assumed)}."


def rating_sentence(installed, names, unit):
    """Which ratings the file gives, and which parts nobody has looked at; `names` are the unrated parts."""
    known = [f"{part} {show_pressure(bar, unit)}" for part, (bar, _) in installed.ratings.items()]
    if not known:
        return "Ratings: the file names none. Look at every part before filling it."
    missing = f" Not named, look at the part: {', '.join(names)}." if names else ""
    return f"Rated: {', '.join(known)}.{missing}"


def below_advice(settings, advice):
    """[(key, set bar, advised bar)] of the thresholds that are set lower than advised."""
    return [
        (key, set_bar(settings, key), threshold.advised_bar)
        for key, threshold in advice.thresholds.items()
        if getattr(settings, f"{key}_mbar") < advice.mbar(key)
    ]


def comparison(aircraft, threshold, unit):
    """How a threshold of the file stands against the advice, in one phrase."""
    key, advised_bar = threshold.key, threshold.advised_bar
    if key in aircraft.advised:
        return "the file takes the advice"
    bar = set_bar(aircraft.settings, key)
    apart = show_difference(abs(bar - advised_bar), unit)
    if bar >= advised_bar - 5e-4:
        return f"the file sets {show_pressure(bar, unit)}, {apart} above"
    reasons = aircraft.reasons
    reason = f"reason given: {reasons[key]}" if key in reasons else "NO REASON GIVEN"
    return f"the file sets {show_pressure(bar, unit)}, {apart} BELOW: {reason}"


def percent(chance):
    """A chance with two digits that count, three near certainty: "0.37 %"."""
    return f"{100.0 * chance:.2g} %" if chance < 0.995 else f"{100.0 * chance:.3g} %"
