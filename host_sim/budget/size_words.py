"""What `downlock size` prints."""

import textwrap

from ..quantities import show_pressure
from ..wording import show_difference
from .ratings import unrated
from .size import lift_m
from .strokes import MOST_APPLICATIONS
from .words import CAUTIONS, columns, plain, rating_sentence, seconds, use_sentence


def size_lines(aircraft, sizing, unit, width=100):
    """Lines for a terminal."""
    installed = sizing.installed
    fill = show_pressure(installed.fill_bar, unit)
    lines = [f"{aircraft.name}: the air of one fill, {fill} in {1e6 * sizing.air.tank_m3:.0f} mL"]
    lines += _wrapped(use_sentence(installed.use, unit), width)
    lines += _wrapped(rating_sentence(installed, unrated(installed.ratings, bool(sizing.air.brake)), unit), width)
    lines += _wrapped(energy_sentence(sizing), width)
    lines += ["", *stroke_lines(sizing, unit)]
    lines += _wrapped(after_sentence(sizing, unit), width)
    lines += ["", *cut_lines(sizing, unit)]
    lines += ["", *use_lines(sizing, unit)]
    lines += _wrapped(brake_sentence(sizing, unit), width)
    lines += ["", *time_lines(sizing, unit)]
    lines += _wrapped(lock_sentence(sizing, unit), width)
    lines += ["", *variant_lines(sizing, unit), ""]
    for sentence in CAUTIONS:
        lines += _wrapped(sentence, width)
    return lines


def _wrapped(text, width):
    return textwrap.wrap(text, width)


def energy_sentence(sizing):
    """The energy of the full tank, and what it amounts to."""
    least, most = sizing.energy_j
    return (
        f"Stored in the full tank: {least:.0f} to {most:.0f} J, enough to throw 1 kg {lift_m(least):.0f} to "
        f"{lift_m(most):.0f} m high. A tank, hose or fitting that lets go throws its parts with it."
    )


def stroke_rows(sizing, unit):
    """Head and rows of the table of strokes, all text."""
    head = ("stroke", "settled", "flown", "differ", "cold", "flown", "differ", "takes")
    rows = []
    for row in sizing.rows:
        rows.append(
            (
                f"{row.number:2d} {row.stroke}",
                plain(row.settled_bar, unit, 1),
                plain(row.settled_plant_bar, unit, 1),
                _difference(row.settled_plant_bar, row.settled_bar, unit),
                plain(row.cold_bar, unit, 1),
                plain(row.cold_plant_bar, unit, 1),
                _difference(row.cold_plant_bar, row.cold_bar, unit),
                seconds(row.time_s),
            )
        )
    return head, rows


def _difference(flown_bar, closed_bar, unit):
    return "-" if flown_bar is None else f"{float(plain(flown_bar - closed_bar, unit, 1)) + 0.0:+.{_digits(unit)}f}"


def _digits(unit):
    return len(plain(0.0, unit, 1).partition(".")[2])


def stroke_lines(sizing, unit):
    """The table of strokes with its heading."""
    title = (
        f"Tank after each stroke, {unit} gauge. Settled: the heat is back (stroke map, exact). Cold: strokes in quick\n"
        "succession, no heat through the tank's wall (closed form, the least there can be). Flown: the simulated plant,\n"
        "in still air."
    )
    return [*title.split("\n"), *columns(*stroke_rows(sizing, unit))]


def after_sentence(sizing, unit):
    """Why the table ends where it ends."""
    permit = show_pressure(sizing.thresholds["retract_above"], unit)
    n = sum(row.stroke == "retract" for row in sizing.rows)
    if not n:
        return f"Not even the first retraction is allowed: it needs {permit}."
    if sizing.rows[-1].settled_bar >= sizing.thresholds["retract_above"]:
        return f"{n} cycles and more: the table ends here; retractions are refused below {permit}."
    return f"{n} cycle{'s' if n > 1 else ''}; the next retraction is refused, it would need {permit}."


def cut_rows(sizing, unit):
    """(threshold, value, first stroke after which the settled pressure is below it), all text."""
    rows = []
    for key in ("retract_above", "warn_below", "force_below", "lock_min"):
        bar = sizing.thresholds[key]
        row = next((row for row in sizing.rows if row.settled_bar < bar), None)
        cold = next((row for row in sizing.rows if row.cold_bar < bar), None)
        rows.append((key, plain(bar, unit), _stroke_name(row), _stroke_name(cold)))
    return rows


def _stroke_name(row):
    return f"after stroke {row.number}" if row else "not in this table"


def cut_lines(sizing, unit):
    """Where each threshold of the file cuts."""
    head = ("threshold in the file", f"{unit} gauge", "settled below it", "cold below it")
    return columns(head, cut_rows(sizing, unit), left=(0, 2, 3))


def use_rows(sizing, unit):
    """Air per stroke and per brake application, all text."""
    return [
        (
            use.name,
            f"{use.volume_ml:.1f}",
            f"{use.free_l:.3f}",
            plain(use.settled_bar, unit, 1),
            plain(use.cold_bar, unit, 1),
        )
        for use in sizing.uses
    ]


def use_lines(sizing, unit):
    """The table of air per stroke, at the fill."""
    head = ("one, from the fill", "fills mL", "free air L", f"settled {unit}", f"cold {unit}")
    return columns(head, use_rows(sizing, unit))


def brake_sentence(sizing, unit):
    """What is left for the brakes after the wanted flight."""
    use = sizing.installed.use
    after = show_pressure(sizing.after_flight_bar, unit)
    n = use.cycles
    said = f"After {n} cycle{'s' if n > 1 else ''} {after} are left, settled"
    if sizing.brakes_left is None:
        return f"{said}; there are no brakes on this tank."
    least = show_pressure(use.brake_least_bar, unit)
    cold, settled = (_applications(n) for n in (sizing.brakes_left_cold, sizing.brakes_left))
    return (
        f"{said}: {cold} full brake applications in quick succession, {settled} with the heat back between them, until "
        f"less than {least} is left."
    )


def _applications(n):
    return f"more than {MOST_APPLICATIONS - 1}" if n >= MOST_APPLICATIONS else str(n)


def time_rows(sizing, unit):
    """Extension time against tank pressure, all text."""
    return [(plain(bar, unit), seconds(loaded), seconds(still)) for bar, loaded, still in sizing.times]


def time_lines(sizing, unit):
    """The table of extension times."""
    speed = f"air load of {sizing.installed.speed_m_s:.0f} m/s"
    return columns((f"extension from {unit} gauge", speed, "still air"), time_rows(sizing, unit), left=())


def lock_sentence(sizing, unit):
    """The lock minimum by closed form and by the plant."""
    closed = show_pressure(sizing.lock_closed_bar, unit)
    if sizing.lock_plant_bar is None:
        return (
            f"Least that locks at full air load, as written: {closed} by closed form; the simulated gear never locks."
        )
    apart = show_difference(sizing.lock_closed_bar - sizing.lock_plant_bar, unit)
    flown = show_pressure(sizing.lock_plant_bar, unit)
    return (
        f"Least that locks at full air load, with the loads as written: {closed} by closed form, {flown} flown; the closed "
        f"form is safe by {apart}. The advice adds what was not measured."
    )


def variant_rows(sizing, unit):
    """What another choice would change, all text."""
    return [
        (
            variant.name,
            plain(variant.first_cycle_bar, unit),
            str(variant.cycles) if variant.possible else f"{variant.cycles}, too few",
            plain(variant.force_below_bar, unit),
            plain(variant.retract_above_bar, unit),
            seconds(variant.extend_s),
        )
        for variant in sizing.variants
    ]


def variant_lines(sizing, unit):
    """The table of variants; thresholds are the advised ones."""
    head = (
        "with advised thresholds",
        f"first cycle {unit}",
        "cycles",
        "force_below",
        "retract_above",
        "slowest extension",
    )
    return [
        f"What another choice would change; thresholds in {unit} gauge:",
        *columns(head, variant_rows(sizing, unit)),
    ]
