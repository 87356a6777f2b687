"""What stands on the page of `downlock advise`."""

from ..quantities import show_pressure
from .advice_picture import costliest, heading
from .advice_words import TITLES, cycles_words, error_sentence, extension_sentence, fitted_rows, term_rows
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
        _bench(advice),
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
        (NAMES[key], plain(threshold.advised_bar, unit), plain(_set_bar(aircraft, key), unit))
        for key, threshold in advice.thresholds.items()
    ]
    return table(f"Thresholds, {unit} gauge", ("", "advised", "in the file"), [("", rows, "")], kind="short")


def _reading(advice, unit):
    """The parts of the reading's error as they are, unscaled."""
    rows = [(words, plain(bar, unit, 1)) for words, bar in advice.error_parts]
    rows.append(("sum", plain(sum(bar for _, bar in advice.error_parts), unit, 1)))
    rows.append(("goes into the forcing point", plain(advice.error_bar, unit, 1)))
    return table("What a reading may be wrong by, worst case", ("", unit), [("", rows, "")], kind="short")


def _does(key):
    return TITLES[key].removeprefix(f"{NAMES[key]}: ")


def _set_bar(aircraft, key):
    return getattr(aircraft.settings, f"{key}_mbar") / 1000.0


def _alt(aircraft, advice, unit):
    said = "; ".join(heading(aircraft, threshold, unit) for threshold in advice.thresholds.values())
    return f"Every threshold as a stack of its terms on one pressure axis. {said}. The table says it in numbers."


def _terms(aircraft, advice, unit):
    groups = []
    for key, threshold in advice.thresholds.items():
        most = costliest(threshold)
        rows = []
        for n, (amount, name, why) in enumerate(term_rows(threshold, unit)[:-1]):
            rows.append((name, amount, f"costs most: {why}" if n == most else why))
        set_bar = _set_bar(aircraft, key)
        said = comparison(key, set_bar, threshold.advised_bar, unit, aircraft.reasons, aircraft.advised)
        summed, advised = plain(threshold.sum_bar, unit, 1), show_pressure(threshold.advised_bar, unit)
        groups.append((f"{NAMES[key]}: {_does(key)}", rows, f"Sum {summed}; advised {advised}; {said}."))
    return section(
        "terms",
        "Term by term",
        table("Worst cases that add up", ("term", unit, "why"), groups, left=(0, 2), kind="terms"),
    )


def _bench(advice):
    fitted, differing = advice.calibration.fitted, advice.calibration.disagreements
    if not fitted and not differing:
        return ""
    head = ("value", "fitted", "95 % interval", "in the model", "from")
    return section(
        "bench",
        "Measured on the bench",
        table("Fitted to the measurements", head, [("", fitted_rows(fitted), "")], left=(0, 4), kind="short")
        if fitted
        else "",
        *(paragraph(f"Differs: {text}", "refused") for text in differing),
    )
