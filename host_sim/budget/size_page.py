"""What stands on the page of `downlock size`."""

from ..quantities import show_pressure
from .markup import beside, bullets, paragraph, picture, section, table
from .page_facts import assumed_hint, facts_section
from .pictures import size_png
from .size_picture import NAMES
from .size_words import (
    after_sentence,
    brake_sentence,
    cut_rows,
    energy_sentence,
    lock_sentence,
    stroke_rows,
    time_rows,
    use_rows,
    variant_rows,
)


def size_sections(aircraft, sizing, unit):
    """Markup of the sections, in the order of reading. The numbers are those that the command prints."""
    installed = sizing.installed
    fill = ("fill", f"{show_pressure(installed.fill_bar, unit)} in {1e6 * sizing.air.tank_m3:.0f} mL", "")
    return [
        _in_short(sizing, unit),
        picture(size_png(aircraft, sizing, unit, titled=False, scale=2), _alt(sizing, unit)),
        facts_section(installed, unit, fill),
        _strokes(sizing, unit),
        _air(sizing, unit),
        _variants(sizing, unit),
    ]


def _in_short(sizing, unit):
    said = [
        after_sentence(sizing, unit),
        brake_sentence(sizing, unit),
        lock_sentence(sizing, unit),
        *assumed_hint(sizing.installed),
    ]
    return section("short", "In short", bullets(said), paragraph(energy_sentence(sizing), "energy"))


def _alt(sizing, unit):
    steps = ", ".join(f"{row.number} {row.stroke}" for row in sizing.rows) or "none"
    return (
        f"Tank pressure in {unit} gauge after every stroke from the fill ({steps}), settled and in quick succession, with "
        "the four thresholds; below it the time of an extension against the tank pressure, with the full air load and in "
        "still air, and the pressures below which the gear does not lock. The tables say the same in numbers."
    )


def _strokes(sizing, unit):
    _, rows = stroke_rows(sizing, unit)
    head = [
        ("", ("settled: the heat is back", 3), ("cold: in quick succession", 3), ""),
        ("stroke", "closed form", "simulated", "difference", "closed form", "simulated", "difference", "takes"),
    ]
    return section(
        "strokes",
        "Stroke by stroke",
        paragraph(
            "Settled is the stroke map, exact once the heat has come back. Cold lets no heat through the tank's wall: no "
            "stroke can leave less. Simulated is the plant in still air. Differences are taken before rounding."
        ),
        table(f"Tank after each stroke, {unit} gauge", head, rows, kind="short"),
        beside(_cuts(sizing, unit), _times(sizing, unit)),
    )


def _cuts(sizing, unit):
    cuts = [(NAMES[key], *others) for key, *others in cut_rows(sizing, unit)]
    head = ("threshold", f"{unit} gauge", "settled below it", "cold below it")
    return table("Where each threshold of the file cuts", head, cuts, left=(0, 2, 3), kind="short")


def _times(sizing, unit):
    head = (f"tank, {unit} gauge", f"air load of {sizing.installed.speed_m_s:.0f} m/s", "still air")
    caption = "Extension to the last lock; - where it does not"
    return table(caption, head, time_rows(sizing, unit), kind="short")


def _air(sizing, unit):
    head = ("one of them, from the fill", "fills, mL", "free air, L", f"settled fall, {unit}", f"cold fall, {unit}")
    caption = "Free air is at ambient pressure"
    heading = "What one stroke and one brake application take"
    return section("air", heading, table(caption, head, use_rows(sizing, unit), kind="short"))


def _variants(sizing, unit):
    head = (
        "with advised thresholds",
        f"first cycle takes, {unit}",
        "cycles",
        f"force below, {unit} gauge",
        f"retract above, {unit} gauge",
        "slowest extension",
    )
    rows = variant_rows(sizing, unit)
    return section(
        "variants", "What another choice would change", table("One change at a time", head, rows, kind="short")
    )
