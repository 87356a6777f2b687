"""What the builder reads before, during and after an installation."""

import textwrap

from controller.codes import VALVE_SERVO, VALVE_SPRING, VALVE_WORDS

from ..quantities import show_pressure
from ..wording import BAR_PER_MBAR, admitted_limits
from .fileset import digest

CAUTION_BEFORE = (
    "Caution: the board now puts the gear DOWN and holds it there. A gear that is up moves. Vent the tank, keep hands, tools "
    "and people clear of legs and doors. This belongs on the bench: turbine not running, fuel off."
)
# What Ctrl-C leaves behind, by how far it had come.
STOPPED_WHILE_ASKING = "Stopped before the board had answered. Should it have been reached, it holds DOWN until its power is off and on again."
STOPPED_IN_SERVICE = "Stopped; nothing on the board was changed. It stays in service, gear held DOWN, until its power is off and on again."
CAUTIONS_AFTER = (
    "Caution: leave the tank empty for the first power-up, and keep hands, tools and people clear of legs and doors. With air in "
    "the tank a gear that is up comes down at power-on.",
    "Prove on the bench what a program cannot see, before any flight: valve direction, the valve's way to DOWN without power, "
    "transmitter off. Local codes and club rules come first. This is a reference design without certification.",
)
_THRESHOLDS = (
    ("retract_above_mbar", "a retraction is allowed at or above {}"),
    ("warn_below_mbar", "'air low' below {}"),
    ("force_below_mbar", "the gear is forced down below {}"),
    ("lock_min_mbar", "one extension locks every leg from {} on"),
)


def valve_words(aircraft):
    """The valve kind as the wiring record will say it."""
    words = VALVE_WORDS[aircraft.valve_kind]
    if aircraft.valve_kind == VALVE_SERVO:
        return f"{words}, {aircraft.servo_down_us} us DOWN, {aircraft.servo_up_us} us UP"
    return f"{words}, falls to DOWN without power" if aircraft.valve_kind == VALVE_SPRING else words


def set_lines(fileset, aircraft, unit, width):
    """What the set is: files, hashes, settings, thresholds in the owner's unit, valve, accepted limits."""
    n_bytes = sum(len(data) for data in fileset.files.values())
    settings = aircraft.settings
    lines = _item(
        "files", f"{len(fileset.files)} and the manifest, {n_bytes / 1000:.0f} kB, version {fileset.version}", width
    )
    lines += _item("manifest", f"SHA-256 {digest(fileset.manifest)}", width)
    lines += _item("settings", f"{aircraft.name} ({aircraft.file}), checksum {fileset.fingerprint}, two copies", width)
    for name, words in _THRESHOLDS:
        shown = show_pressure(getattr(settings, name) * BAR_PER_MBAR, unit)
        lines += _item("thresholds" if name == _THRESHOLDS[0][0] else "", words.format(shown), width)
    lines += _item("valve", f"{valve_words(aircraft)} (wiring record, two copies)", width)
    for limit in admitted_limits(aircraft):
        lines += textwrap.wrap(limit, width)
    return lines


def copied_line(fileset, written, removed):
    """One line on what was changed on the board."""
    n_new = len(set(written) - {"set.txt"})
    text = f"{n_new} written, {len(fileset.files) - n_new} were there already"
    if removed:
        text += f", {len(removed)} of an older set removed"
    return f"{text}; all read back by SHA-256"


def next_lines(kind, aircraft, width):
    """What to do now, with its cautions."""
    lines = []
    for caution in CAUTIONS_AFTER:
        lines += textwrap.wrap(caution, width)
    lines.append("Next:")
    steps = (
        "Take the power off the board and put it on again, tank empty: it starts with this set and the gear DOWN.",
        f"downlock bench {aircraft.file}    (commissioning, a step at a time)",
    )
    for number, step in enumerate(steps, 1):
        lines += textwrap.wrap(f"  {number}  {step}", width, subsequent_indent="     ")
    if not kind.split_flash:
        lines.append(
            "  The journal needs a firmware variant with two application slots; without one the board says so at boot."
        )
    return lines


def _item(name, text, width):
    return textwrap.wrap(text, width, initial_indent=f"  {name:<12}", subsequent_indent=" " * 14)
