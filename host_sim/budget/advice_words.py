"""What `downlock advise` prints."""

import textwrap

from ..air.sizing import retract_side
from ..quantities import show_pressure
from ..wording import show_difference
from .advice import set_bar
from .strokes import settled_after
from .words import CAUTIONS, columns, comparison, plain, use_sentence

TITLES = {
    "lock_min": "lock minimum: least tank pressure from which one extension locks against the full air load",
    "force_below": "below it the gear is forced down",
    "warn_below": "below it 'air low' shows",
    "retract_above": "a retraction is allowed at or above it",
}


def advice_lines(aircraft, advice, unit, width=100):
    """Lines for a terminal."""
    installed = aircraft.installed
    fill = show_pressure(installed.fill_bar, unit)
    lines = [f"{aircraft.name}: thresholds for {cycles_words(installed.use.cycles)} and a landing, from {fill}"]
    lines += textwrap.wrap(use_sentence(installed.use, unit), width)
    for key, threshold in advice.thresholds.items():
        lines += ["", f"{key} {show_pressure(threshold.advised_bar, unit)}  ({TITLES[key]})"]
        lines += term_lines(threshold, unit, width)
        lines.append(f"  {_against(aircraft, threshold, unit)}")
    lines += ["", *verdict_lines(aircraft, advice, unit, width), ""]
    for sentence in CAUTIONS:
        lines += textwrap.wrap(sentence, width)
    return lines


def cycles_words(n):
    """ "1 cycle", "2 cycles"."""
    return f"{n} cycle" if n == 1 else f"{n} cycles"


def term_rows(threshold, unit):
    """(amount, name, why) of each term, then the sum, all text."""
    rows = [(plain(term.bar, unit, 1), term.name, term.because(unit)) for term in threshold.terms]
    rows.append((plain(threshold.sum_bar, unit, 1), "sum", "rounded up above"))
    return rows


def term_lines(threshold, unit, width):
    """The terms of a threshold, costliest marked."""
    rows = term_rows(threshold, unit)
    numbers, names = max(len(row[0]) for row in rows), max(len(row[1]) for row in rows)
    indent = " " * (numbers + names + len(unit) + 7)
    lines = []
    for amount, name, why in rows:
        first, *more = textwrap.wrap(why, max(width - len(indent), 24)) or [""]
        lines.append(f"  {amount.rjust(numbers)} {unit}  {name.ljust(names)}  {first}".rstrip())
        lines += [f"{indent}{part}" for part in more]
    return lines


def _against(aircraft, threshold, unit):
    said = comparison(aircraft, threshold, unit)
    return said[0].upper() + said[1:] + "."


def verdict_lines(aircraft, advice, unit, width):
    """Reading error, extension, cycles, measurements, and what cannot be had."""
    sentences = [error_sentence(aircraft, advice, unit), extension_sentence(aircraft, advice)]
    sentences += low_air_sentences(aircraft, advice, unit)
    lines = []
    for sentence in sentences:
        lines += textwrap.wrap(sentence, width)
    if advice.calibration.fitted:
        lines.append("Measured on the bench (95 % intervals):")
        lines += fitted_lines(advice.calibration.fitted, unit)
    for sentence in advice.calibration.notes:
        lines += textwrap.wrap(f"note     {sentence}", width, subsequent_indent=" " * 9)
    for sentence in advice.calibration.disagreements:
        lines += textwrap.wrap(f"DIFFERS  {sentence}", width, subsequent_indent=" " * 9)
    wanted = aircraft.installed.use.cycles
    lines.append(f"This fill gives {cycles_words(advice.cycles)} with the advised thresholds; wanted: {wanted}.")
    for sentence in advice.problems:
        lines += textwrap.wrap(f"REFUSED  {sentence}", width, subsequent_indent=" " * 9)
    for sentence in advice.helps:
        lines += textwrap.wrap(f"helps    {sentence}", width, subsequent_indent=" " * 9)
    return lines


def fitted_lines(fitted, unit):
    """The table of fitted values."""
    head = ("value", "fitted", "interval", "in the file", "from")
    return columns(head, [one.cells(unit) for one in fitted], left=(0, 4))


def error_sentence(aircraft, advice, unit):
    """What a reading may be wrong by."""
    stated_bar = aircraft.settings.sensor_error_mbar / 1000.0
    summed_bar = sum(bar for _, bar in advice.error_parts)
    if advice.calibration.sensor_error_bar is not None:
        how = "measured against a gauge"
    elif aircraft.installed.accuracy.given:
        how = "added up from the parts"
    else:
        how = "what typical parts add up to (the file gives no 'accuracy')"
    return (
        f"Reading: the file states a worst error of {show_difference(stated_bar, unit)}; "
        f"{show_difference(summed_bar, unit)} is {how}."
    )


def low_air_sentences(aircraft, advice, unit):
    """Whether 'air low' shows after a retraction at the permit, though nothing is wrong."""
    warn_bar, permit_bar = (set_bar(aircraft.settings, key) for key in ("warn_below", "retract_above"))
    air = advice.calibration.air
    left_bar = settled_after(permit_bar, air.tank_m3, retract_side(air))
    if left_bar < warn_bar:
        yield (
            f"A retraction that starts at {show_pressure(permit_bar, unit)} leaves "
            f"{show_pressure(left_bar, unit)}, settled: 'air low' then shows at once, below "
            f"{show_pressure(warn_bar, unit)}."
        )


def extension_sentence(aircraft, advice):
    """The slowest extension."""
    stated_s = aircraft.settings.extend_ms / 1000.0
    if advice.simulated_extend_s is None:
        return f"Extension: the simulated gear does not lock from the forcing point; the file says {stated_s:g} s."
    return (
        f"Extension: {advice.simulated_extend_s:.2f} s simulated from the least pressure that the forcing point leaves, "
        f"full air load; the file says {stated_s:g} s."
    )
