"""What both pages say of the aircraft: how it is flown, what its parts bear, and what is assumed for want of a word."""

from ..quantities import show_pressure
from .markup import bullets, pairs, section
from .ratings import unrated
from .words import USE_WORDS

ASSUMED = "assumed"


def facts_section(installed, unit, *before):
    """The facts `before`, (name, value, remark); the use with its assumed values marked; ratings; what is missing."""
    use = installed.use
    flown = [
        (words, show(use, unit), ASSUMED if key in use.assumed else "") for key, (words, show) in USE_WORDS.items()
    ]
    rated = [(f"{part} rated", show_pressure(bar, unit), "") for part, (bar, _) in installed.ratings.items()]
    missing = bullets(assumed_sentences(installed))
    return section("facts", "How it is flown, and what is assumed", pairs([*before, *flown, *rated]), missing)


def assumed_hint(installed):
    """[a sentence for the top of a page] where anything is assumed or missing, else []."""
    if not assumed_sentences(installed):
        return []
    return ["The file does not say everything: what was assumed, and which ratings nobody has given, stands below."]


def assumed_sentences(installed):
    """What the file does not say, and what was taken instead or has to be looked at; [] where it says all."""
    found = []
    if installed.use.assumed:
        n = len(installed.use.assumed)
        found.append(
            f"{n} value{'s' if n > 1 else ''} marked '{ASSUMED}': the file does not say how the aircraft is flown, "
            f"section 'use' (common practice, no source)."
        )
    parts = unrated(installed.ratings, bool(installed.air.brake))
    if parts:
        found.append(f"The file gives no rated pressure of {_listed(parts)}: read it on the part before filling.")
    if not installed.accuracy.given:
        found.append(_accuracy_sentence(installed.accuracy))
    return found


def _listed(words):
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _accuracy_sentence(accuracy):
    zero = "checked" if accuracy.zero_checked else "not checked"
    return (
        f"The file gives no accuracy of the pressure reading; assumed (common practice, no source): sensor "
        f"{100 * accuracy.sensor:g} % of its span, each resistor {100 * accuracy.divider:g} %, rail "
        f"{100 * accuracy.rail:g} %, converter {accuracy.adc_codes:g} codes, zero {zero} on the empty tank."
    )
