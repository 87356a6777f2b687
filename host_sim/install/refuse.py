"""What keeps an aircraft file off a board: what its check calls wrong, voltages that the converter cannot read."""

from pathlib import Path

from ..aircraft import AIRCRAFT_DIR
from ..aircraft_print import findings
from ..errors import InputError

FULL_V = 3.3


def refuse_wrong(aircraft, unit):
    """Raises InputError with the first sentence that `downlock check` marks WRONG."""
    for grade, sentence in findings(aircraft, unit):
        if grade == "wrong":
            raise InputError(aircraft.file, "", sentence)


def refuse_shipped(aircraft):
    """Raises InputError for an example of this project: no model is like it."""
    if is_shipped(aircraft):
        raise InputError(
            aircraft.file,
            "",
            "is a shipped example, an invented aircraft: copy it, make the copy your model's, and install that; "
            "--dry-run FOLDER shows what would be copied",
        )


def is_shipped(aircraft):
    """Whether its file is one of those that come with this project."""
    return Path(aircraft.file).resolve().parent == AIRCRAFT_DIR.resolve()


def refuse_voltages(aircraft, kind):
    """Raises InputError for the first converter pin that would see more than this Kind reads straight."""
    if kind.straight_to_v is None:
        return
    for field, volts, when in pin_voltages(aircraft):
        if volts > kind.straight_to_v:
            raise InputError(
                aircraft.file,
                field,
                f"puts {volts:.2f} V on a converter pin {when}; the {kind.title} reads up to {kind.straight_to_v:.2f} V "
                "straight: choose a lower divider (boards/WIRING.md)",
            )


def pin_voltages(aircraft):
    """[(field of the aircraft file, highest V at the converter pin, when)] of everything analogue that is fitted.

    A sensor gives at most its rail: a wire shorted to that has to be told from a reading.
    """
    found = []
    for key, spec in zip("ab", aircraft.sensors, strict=False):
        share = spec.divider_bottom_ohm / (spec.divider_top_ohm + spec.divider_bottom_ohm)
        found.append(
            (f"sensors.{key}.divider_top, divider_bottom", spec.rail_v * share, f"at the rail's {spec.rail_v:g} V")
        )
    if aircraft.settings.rail_fitted:
        rail = aircraft.rail
        found.append(("rail.ratio", rail.nominal_v * rail.ratio, f"at the rail's {rail.nominal_v:g} V"))
    if aircraft.settings.supply_fitted:
        supply = aircraft.supply
        volts = supply.volts * FULL_V * 1000.0 / supply.full_mv
        found.append(("supply.full_reading", volts, f"at the file's {supply.volts:g} V"))
    return found
