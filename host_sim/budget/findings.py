"""How the settings of an aircraft file stand against the advice: for `downlock check` and for `downlock settings`."""

from ..quantities import show_pressure
from .advice import advise
from .words import below_advice, comparison, plain


def unexplained(aircraft, advice, unit):
    """Sentences on what must not be packed so: thresholds that are set lower than advised without a reason in the file,
    and a stated reading error that is smaller than its parts."""
    found = [
        f"settings.{key}: {show_pressure(set_bar, unit)} is below the advised {show_pressure(advised_bar, unit)}; "
        f"allowed: {show_pressure(advised_bar, unit)} and more, or a section 'reasons: {{{key}: why it may be lower}}'"
        for key, set_bar, advised_bar in below_advice(aircraft.settings, advice)
        if key not in aircraft.reasons
    ]
    stated_bar = aircraft.settings.sensor_error_mbar / 1000.0
    if advice.error_bar > stated_bar + 5e-4:
        stated, least = plain(stated_bar, unit, 1), plain(advice.error_bar + 1e-3, unit, 1)
        found.append(
            f"sensors.a.worst_error: {stated} {unit} is less than its parts add up to at the forcing point; "
            f"allowed: {least} {unit} and more (SR-03)"
        )
    return found


def standing_lines(aircraft, advice, unit):
    """One line a threshold on how it stands against the advice."""
    lines = []
    for key, threshold in advice.thresholds.items():
        said = comparison(aircraft, threshold, unit)
        lines.append(f"{key}: advised {show_pressure(threshold.advised_bar, unit)}; {said}.")
    return lines


def advice_findings(aircraft, unit):
    """[(grade, sentence)] for a check: grades "good", "wrong" and "bench" of aircraft_print."""
    settings, advice = aircraft.settings, advise(aircraft.installed.shown_in(unit), aircraft.settings)
    found = [("wrong", sentence) for sentence in unexplained(aircraft, advice, unit)]
    found += [("wrong", " ".join([*advice.problems, *advice.helps]))] if advice.problems else []
    slow_s, stated_s = advice.simulated_extend_s, settings.extend_ms / 1000.0
    if slow_s is None:
        found.append(("wrong", "the simulated gear does not lock from the forcing point against the full air load"))
    elif slow_s > stated_s:
        found.append(
            ("wrong", f"settings.extend is {stated_s:g} s; the slowest extension takes {slow_s:.2f} s (SR-03)")
        )
    found += [("bench", sentence) for sentence in advice.calibration.disagreements]
    if not found:
        found = [("good", "no threshold is lower than advised; downlock advise shows what each is made of")]
    low = [key for key, *_ in below_advice(settings, advice) if key in aircraft.reasons]
    return found + [("limit", f"{key} is lower than advised; {aircraft.reasons[key]}") for key in low]
