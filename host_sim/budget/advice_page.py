"""What stands on the page of `downlock advise`."""

from ..quantities import show_pressure
from .advice import set_bar
from .advice_picture import costliest, heading
from .advice_words import TITLES, cycles_words, error_sentence, extension_sentence, low_air_sentences, term_rows
from .chances_page import chances_section
from .markup import beside, bullets, paragraph, picture, section, table
from .page_facts import assumed_hint, facts_section
from .pictures import advice_png
from .size_picture import NAMES
from .words import comparison, plain


def advice_sections(aircraft, advice, unit, chances=None):
    """Markup of the sections, in the order of reading. The numbers are those that the command prints."""
    installed = aircraft.installed
    return [
        _in_short(aircraft, advice, unit),
        picture(advice_png(aircraft, advice, unit, titled=False, scale=2), _alt(aircraft, advice, unit)),
        facts_section(installed, unit, ("fill", show_pressure(installed.fill_bar, unit), "")),
        _terms(aircraft, advice, unit),
        _bench(advice.calibration, unit),
        "" if chances is None else chances_section(aircraft, advice, chances, unit),
    ]


def _in_short(aircraft, advice, unit):
    installed = aircraft.installed
    fill, gives = show_pressure(installed.fill_bar, unit), cycles_words(advice.cycles)
    said = [
        f"From {fill} the fill gives {gives} with the advised thresholds; wanted: "
        f"{cycles_words(installed.use.cycles)} and a landing.",
        error_sentence(aircraft, advice, unit),
        extension_sentence(aircraft, advice),
        *low_air_sentences(aircraft, advice, unit),
        *assumed_hint(installed),
    ]
    return section(
        "short",
        "In short",
        *(paragraph(text, "refused") for text in advice.problems),
        bullets(advice.helps),
        bullets(said),
        beside(_thresholds(aircraft, advice, unit), _reading(advice, unit)),
    )


def _thresholds(aircraft, advice, unit):
    rows = [
        (NAMES[key], plain(threshold.advised_bar, unit), plain(set_bar(aircraft.settings, key), unit))
        for key, threshold in advice.thresholds.items()
    ]
    return table(f"Thresholds, {unit} gauge", ("", "advised", "in the file"), rows, kind="short")


def _reading(advice, unit):
    """The parts of the reading's error as they are, unscaled."""
    rows = [(words, plain(bar, unit, 1)) for words, bar in advice.error_parts]
    rows.append(("sum", plain(sum(bar for _, bar in advice.error_parts), unit, 1)))
    rows.append(("goes into the forcing point", plain(advice.error_bar, unit, 1)))
    return table("What a reading may be wrong by, worst case", ("", unit), rows, kind="short")


def _does(key):
    return TITLES[key].removeprefix(f"{NAMES[key]}: ")


def _alt(aircraft, advice, unit):
    said = "; ".join(heading(aircraft, threshold, unit) for threshold in advice.thresholds.values())
    return f"Every threshold as a stack of its terms on one pressure axis. {said}. The table says it in numbers."


def _terms(aircraft, advice, unit):
    # A table for each threshold, so that none is cut at the end of a sheet; only the first shows what its columns are.
    tables = [
        _terms_of(aircraft, threshold, unit, "terms quiet" if n else "terms")
        for n, threshold in enumerate(advice.thresholds.values())
    ]
    return section("terms", "Term by term: worst cases that add up", *tables)


def _terms_of(aircraft, threshold, unit, kind):
    key, most, rows = threshold.key, costliest(threshold), []
    for n, (amount, name, why) in enumerate(term_rows(threshold, unit)[:-1]):
        rows.append((name, amount, f"costs most: {why}" if n == most else why))
    said = comparison(aircraft, threshold, unit)
    summed, advised = plain(threshold.sum_bar, unit, 1), show_pressure(threshold.advised_bar, unit)
    closing = f"Sum {summed}; advised {advised}; {said}."
    caption = f"{NAMES[key]}: {_does(key)}"
    return table(caption, ("term", unit, "why"), rows, left=(0, 2), kind=f"{kind} short", closing=closing)


def _bench(calibration, unit):
    fitted = calibration.fitted
    if not (fitted or calibration.notes or calibration.disagreements):
        return ""
    head = ("value", "fitted", "95 % interval", "in the file", "from")
    return section(
        "bench",
        "Measured on the bench",
        table("Fitted to the measurements", head, [one.cells(unit) for one in fitted], left=(0, 4), kind="short")
        if fitted
        else "",
        bullets(calibration.notes),
        *(paragraph(f"Differs: {text}", "refused") for text in calibration.disagreements),
    )
