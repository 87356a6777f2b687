"""Print-outs of an aircraft: its settings as a table, and what a check of its file found."""

import textwrap
import zlib

from controller.checks import N_RULES, force_floor_mbar, warn_floor_mbar
from controller.codes import BRAKE, GEAR, THROTTLE, VALVE_WORDS
from controller.limits import Limits, isothermal_drop_mbar
from controller.settings import FIELDS, HIGH, LOW, NAME, REQUIREMENT, ROUNDING, UNIT
from controller.strokes import FEW_MBAR

from .aircraft_settings import key_of, permit_floor_mbar, reference_of
from .budget.findings import advice_findings
from .meanings import MEANINGS
from .quantities import show_pressure
from .wording import BAR_PER_MBAR, admitted_limits, in_unit, pressure_digits, show_difference

_SIDES = {"down": "down", "up": "up", "exact": "nearest"}
# One more decimal than a reading is shown with: a setting is meant to the millibar.
_MORE_DIGITS = 1


def settings_rows(settings, unit):
    """Rows of the table of settings: (name, value, unit, range, rounding, requirement, meaning), all text."""
    rows = []
    for row in FIELDS:
        show, name = _shown(row, unit)
        value = show(getattr(settings, row[NAME]))
        allowed = f"{show(row[LOW])} to {show(row[HIGH])}"
        rows.append((key_of(row), value, name, allowed, _SIDES[row[ROUNDING]], row[REQUIREMENT], MEANINGS[row[NAME]]))
    return rows


def _shown(row, unit):
    """(function from the stored integer to text, name of the unit) of a row of FIELDS."""
    kind = row[UNIT]
    if kind == "mbar":
        name = f"{unit} gauge" if reference_of(row) else unit
        return _pressure(unit), name
    if kind == "mbar/s":
        return _pressure(unit), f"{unit}/s"
    if kind == "mV":
        return (lambda value: f"{value / 1000:.2f}"), "V"
    if kind == "permille":
        return (lambda value: f"{value / 10:.1f}"), "%"
    if kind == "uL":
        return (lambda value: f"{value / 1000:.2f}"), "mL"
    return str, kind


def _pressure(unit):
    digits = pressure_digits(unit) + _MORE_DIGITS
    return lambda mbar: f"{in_unit(mbar * BAR_PER_MBAR, unit):.{digits}f}"


def settings_table(aircraft, unit, width=130):
    """Lines of the table of settings for a terminal."""
    head = ("setting", "value", "unit", "range", "rounds", "source", "meaning")
    rows = [head, *settings_rows(aircraft.settings, unit)]
    widths = [max(len(row[i]) for row in rows) for i in range(6)]
    indent = sum(widths) + 2 * 6
    lines = []
    for n, row in enumerate(rows):
        cells = [
            cell.rjust(w) if i in (1, 3) else cell.ljust(w)
            for i, (cell, w) in enumerate(zip(row, widths, strict=False))
        ]
        meaning = textwrap.wrap(row[6], max(width - indent, 24))
        lines.append("  ".join([*cells, meaning[0]]))
        lines += [" " * indent + more for more in meaning[1:]]
        if n == 0:
            lines.append("-" * min(max(indent + 55, 80), width))
    lines.append(
        f"Values in {unit} gauge are gauge pressures; values in plain {unit} are differences of two pressures."
    )
    return lines


def packed_line(aircraft):
    """One line on the packed settings. The checksum is the one they carry: over the whole, with the checksum itself at
    its end, a CRC-32 is the same number whatever the settings are."""
    return f"{len(aircraft.packed)} bytes, checksum {zlib.crc32(aircraft.packed[:-CRC_BYTES]):08x}"


def findings(aircraft, unit):
    """What a check found, as (grade, sentence): grades "good", "limit", "bench" and "wrong".

    A file that cannot be loaded never comes here: load_aircraft has refused it with its line.
    """
    s = aircraft.settings
    good = [
        "every key is known, every value has its unit and is in its range",
        f"all {N_RULES - 1} cross-checks of the settings hold (SR-30)",
        f"the settings pack and load again: {packed_line(aircraft)}",
        _margin("force_below", s.force_below_mbar, force_floor_mbar(s), "the least that SR-03 accepts", unit),
        _margin("warn_below", s.warn_below_mbar, warn_floor_mbar(s), "the least that SR-12 accepts", unit),
        _margin(
            "retract_above",
            s.retract_above_mbar,
            permit_floor_mbar(s),
            "the least that SR-02 accepts",
            unit,
        ),
    ]
    found = [("good", sentence) for sentence in good]
    found += [("wrong", sentence) for sentence in _wrong(aircraft)]
    found += advice_findings(aircraft, unit)
    found += [("limit", sentence) for sentence in [*admitted_limits(aircraft), *_cannot_see(aircraft, unit)]]
    found.append(("bench", "with the transmitter off the gear must go down within 2 s: prove it on the bench (SR-06)"))
    found.append(("bench", _lock_minimum_words(aircraft, unit)))
    return found


def _lock_minimum_words(aircraft, unit):
    lock_min = f"lock_min, {_gauge(aircraft.settings.lock_min_mbar, unit)},"
    measured = aircraft.installed.measured
    if measured is None or measured.lock_minimum is None:
        return f"{lock_min} must be measured with the air load applied"
    return f"{lock_min} must be measured again after every change of legs, hoses, valve or tank"


def _margin(name, value_mbar, floor_mbar, what, unit):
    spare = show_difference((value_mbar - floor_mbar) * BAR_PER_MBAR, unit)
    return f"{name} is {_gauge(value_mbar, unit)}, {spare} above {what}"


def _gauge(mbar, unit):
    return show_pressure(mbar * BAR_PER_MBAR, unit)


def _wrong(aircraft):
    receiver, s = aircraft.receiver, aircraft.settings
    if receiver.on_loss == "hold":
        yield "the receiver holds its last pulses on loss: a lost link cannot be seen; use silence or a preset (SR-06)"
    if receiver.on_loss == "preset":
        pulse = receiver.preset_us[GEAR]
        high = pulse >= s.gear_high_us
        low = pulse <= s.gear_low_us
        if (high and s.gear_up_high) or (low and not s.gear_up_high):
            yield f"the receiver's preset for the gear, {pulse} us, means up; it must mean down (SR-06)"
        pulse = receiver.preset_us[BRAKE]
        if s.brake_fitted and _is_beyond(pulse, s.brake_off_us, s.brake_full_us, s.brake_on_permille):
            yield f"the receiver's preset for the brake, {pulse} us, puts the brakes on; it must let them off"
        pulse = receiver.preset_us[THROTTLE]
        if s.throttle_fitted and _is_beyond(pulse, s.throttle_idle_us, s.throttle_full_us, s.throttle_idle_permille):
            yield f"the receiver's preset for the throttle, {pulse} us, is above idle; it must be idle, or off"
        if s.signature_channel == 0:
            yield "no signature gives the receiver's preset away: a lost link cannot be seen (SR-06)"
    longest_ms = int(receiver.frame_ms - PULSE_ENDS_MS)
    if s.tick_ms > longest_ms:
        yield (
            f"a tick of {s.tick_ms} ms does not see every frame of a receiver that sends one every "
            f"{receiver.frame_ms:g} ms: spoilt frames with a clean one between them can pass for a run (SR-09). Set the "
            f"tick to {longest_ms} ms or less, or the receiver to a frame of {s.tick_ms + PULSE_ENDS_MS:g} ms or more"
        )


def _is_beyond(pulse_us, rest_us, end_us, permille):
    return (pulse_us - rest_us) / (end_us - rest_us) * 1000 > permille


def _cannot_see(aircraft, unit):
    s, limits = aircraft.settings, Limits(aircraft.settings)
    if s.sensor_count == 1:
        yield "One pressure sensor: its drift in flight cannot be seen (SR-05)."
    if not s.supply_fitted:
        yield "The supply is not measured: a low supply cannot be seen (SR-13)."
    if not s.lock_count:
        yield "No lock switches: a folded leg or a single jammed leg cannot be seen (SR-14)."
    elif s.lock_count < len(aircraft.air.legs):
        yield f"Lock switches on {s.lock_count} of {len(aircraft.air.legs)} legs: the others cannot be seen (SR-14)."
    if not s.ground_fitted:
        yield "No ground switch: a retraction on the ground cannot be refused for being on the ground (SR-16)."
    least = max(FEW_MBAR, 8 * s.sensor_noise_mbar)
    drops = (
        ("retraction", isothermal_drop_mbar(s.retract_above_mbar, limits.retract_ratio, limits.retract_dead)),
        ("extension", isothermal_drop_mbar(s.force_below_mbar, limits.extend_ratio, limits.extend_dead)),
    )
    for name, drop in drops:
        if drop < least:
            yield (
                f"The air of one {name} is not judged: it costs {show_difference(drop * BAR_PER_MBAR, unit)}, less "
                f"than the {show_difference(least * BAR_PER_MBAR, unit)} that this sensor can tell (SR-15)."
            )


CRC_BYTES = 4
# Pulses of 800 to 2200 us: the ends of two that follow each other come up to this much closer than the frames.
PULSE_ENDS_MS = 1.4
_TITLES = {"good": "good ", "wrong": "WRONG", "limit": "limit", "bench": "bench"}


def check_lines(aircraft, unit, width=100):
    """(lines, all good) of a check for a terminal."""
    found = findings(aircraft, unit)
    lines = [f"{aircraft.file}: {aircraft.name}, {VALVE_WORDS[aircraft.valve_kind]} gear valve"]
    for grade, sentence in found:
        body = textwrap.wrap(sentence, width - 9)
        lines.append(f"  {_TITLES[grade]}  {body[0]}")
        lines += [" " * 9 + more for more in body[1:]]
    n_wrong = sum(grade == "wrong" for grade, _ in found)
    if n_wrong:
        lines.append(f"{n_wrong} thing{'s' if n_wrong > 1 else ''} to mend before this aircraft can be called ready.")
    else:
        lines.append(
            "The file is in order. The installation is not ready before the bench has proved what stands above."
        )
    return lines, not n_wrong
