"""Numbers and readings as a pilot reads them: the user's unit, gauge or a difference always said."""

from controller.alerts import SEVERITY, TABLE
from controller.codes import (
    ALERT_SENTENCES,
    ALERT_WORDS,
    CAUSE_BURST,
    CAUSE_CLOCK,
    CAUSE_LATE,
    CAUSE_LINK,
    CAUSE_LOW_AIR,
    CAUSE_PRESSURE,
    CAUSE_SENTENCES,
    CAUSE_STROKE_LOSS,
    CAUSE_SUPPLY,
    CAUSE_WORDS,
    GRADE_WORDS,
    REFUSAL_AIR,
    REFUSAL_SENTENCES,
    REFUSAL_SUPPLY,
    REFUSAL_WORDS,
    SEVERITY_WORDS,
    VALVE_SPRING,
    VALVE_WORDS,
)

from .quantities import convert_pressure, show_pressure

BAR_PER_MBAR = 1e-3


def in_unit(bar, unit):
    """A pressure or a difference of `bar` as a plain number in `unit`, for axes and tables; None stays None."""
    return None if bar is None else bar * convert_pressure(1.0, unit)


def pressure_digits(unit):
    """Decimals that a pressure is shown with in `unit`."""
    shown = show_pressure(0.0, unit).split()[0]
    return len(shown.partition(".")[2])


def show_difference(bar, unit):
    """A difference of two pressures for people: "0.15 bar"; neither gauge nor absolute."""
    return show_pressure(bar, unit).removesuffix(" gauge")


def number(value):
    """The value of a trace cell as a float, or None where it holds no number ("none", "unknown", "")."""
    try:
        return float(value)
    except (TypeError, ValueError):
        return None


def cause_reading(word, value, unit, settings):
    """The reading behind a latched cause, in the user's unit: one phrase without a full stop, "" where there is none.

    `word` is one of codes.CAUSE_WORDS, `value` the trace's `cause_value` (codes.CAUSE_UNITS says in what unit).
    """
    reading = number(value)
    if reading is None:
        return ""
    code = CAUSE_WORDS.index(word)
    bar = reading * BAR_PER_MBAR
    if code == CAUSE_LOW_AIR:
        point = show_pressure(settings.force_below_mbar * BAR_PER_MBAR, unit)
        return f"the sensor read {show_pressure(bar, unit)}; the forcing point is {point}"
    if code == CAUSE_BURST:
        return f"falling at {show_difference(abs(bar), unit)} a second"
    if code == CAUSE_STROKE_LOSS:
        return f"{show_difference(abs(bar), unit)} gone since the stroke began"
    if code == CAUSE_PRESSURE:
        return f"sensor {GRADE_WORDS[int(reading)]}" if 0 < reading < len(GRADE_WORDS) else ""
    if code == CAUSE_SUPPLY:
        return f"{reading / 1000:.2f} V; the limit is {settings.supply_force_mv / 1000:.2f} V"
    if code == CAUSE_LINK:
        return f"{reading / 1000:.2f} s without a valid frame"
    if code in (CAUSE_LATE, CAUSE_CLOCK):
        return f"{reading:.0f} ms"
    return ""


def cause_why(word, value, unit, settings):
    """The sentence of a cause with its reading."""
    return _with_reading(CAUSE_SENTENCES[CAUSE_WORDS.index(word)], cause_reading(word, value, unit, settings))


def refusal_why(word, value, unit, settings):
    """The sentence of a refused retraction, without its opening words, with the reading where there is one."""
    code = REFUSAL_WORDS.index(word)
    sentence = REFUSAL_SENTENCES[code].removeprefix("Retraction refused: ")
    sentence = sentence[0].upper() + sentence[1:]
    reading = number(value)
    if reading is None or reading < 0:
        return sentence
    if code == REFUSAL_AIR:
        need = show_pressure(settings.retract_above_mbar * BAR_PER_MBAR, unit)
        got = show_pressure(reading * BAR_PER_MBAR, unit)
        return _with_reading(sentence, f"the sensor read {got}; a retraction needs {need}")
    if code == REFUSAL_SUPPLY:
        return _with_reading(sentence, f"{reading / 1000:.2f} V")
    return sentence


def alert_sentence(word):
    """What the alert asks of the pilot."""
    return ALERT_SENTENCES[ALERT_WORDS.index(word)]


def severity_of(alert):
    """advisory, caution or warning, of an alert's word."""
    return SEVERITY_WORDS[TABLE[ALERT_WORDS.index(alert)][SEVERITY]]


def _with_reading(sentence, reading):
    return f"{sentence.rstrip('.')}: {reading}." if reading else sentence


def admitted_limits(aircraft):
    """What the owner has to accept by name, and whose name it is, one sentence each; every print-out shows them (SR-18)."""
    if aircraft.valve_kind == VALVE_SPRING:
        return []
    limit = (
        f"the {VALVE_WORDS[aircraft.valve_kind]} gear valve does not fall to DOWN by itself. "
        "Without power or pulses the gear stays where it is."
    )
    if not aircraft.accepted_by:
        return [f"Limit that nobody has accepted by name yet: {limit} 'downlock bench' asks for the name."]
    return [f"Limit accepted: {limit} Accepted by {aircraft.accepted_by}."]
