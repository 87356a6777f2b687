"""Everything that `downlock size` shows, as data: strokes, times, brakes, energy, and what another choice would change."""

from copy import copy
from dataclasses import dataclass, replace
from math import log

from ..air.gas import GAMMA
from ..air.sizing import extend_side, lock_minimum_pa, retract_side
from ..air.spec import AirSystem
from ..aircraft_settings import THRESHOLDS
from ..wording import show_difference
from .advice import Advice, Installed, advise, set_bar
from .extension import extend, simulated_lock_minimum_bar
from .strokes import SEA_BAR, applications_left, brake_side, cold_after, cycle_after, settled_after, stroke_table

STANDARD_GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True)
class AirUse:
    """What one stroke or brake application takes at the fill: `free_l` litres of free air (at ambient pressure),
    `settled_bar` and `cold_bar` by which the tank falls, `volume_ml` that is filled."""

    name: str
    volume_ml: float
    free_l: float
    settled_bar: float
    cold_bar: float


@dataclass(frozen=True)
class Variant:
    """The same aircraft with one thing changed; None where the advice has no answer."""

    name: str
    first_cycle_bar: float
    cycles: int
    force_below_bar: float
    retract_above_bar: float
    extend_s: float | None
    possible: bool


@dataclass(frozen=True)
class Sizing:
    """The answer for one Installed. Pressures bar gauge.

    `rows` strokes.Row until a retraction is refused; `uses` AirUse; `times` (tank, time with the full air load, time in
    still air), None where the gear does not lock; `lock_closed_bar`, `lock_plant_bar` the lock minimum both ways;
    `after_flight_bar` left after the wanted cycles, settled; `brakes_left` applications from there, None without brakes;
    `energy_j` (least, most) of the full tank; `thresholds` {key: bar} in force in the file.
    """

    installed: Installed
    air: AirSystem
    advice: Advice
    thresholds: dict
    rows: list
    uses: list
    times: list
    lock_closed_bar: float
    lock_plant_bar: float | None
    after_flight_bar: float
    brakes_left: int | None
    brakes_left_cold: int | None
    energy_j: tuple[float, float]
    variants: list


def size(installed, settings):
    """Sizing of an Installed, with the thresholds of `settings`."""
    advice = advise(installed, settings, with_helps=False)
    air, q_pa = advice.calibration.air, advice.calibration.air.design_q_pa
    thresholds = {key: set_bar(settings, key) for key in advice.thresholds}
    rows = stroke_table(air, installed.fill_bar, thresholds["retract_above"])
    after_bar = _after_flight(air, installed.fill_bar, installed.use.cycles)
    least_bar = installed.use.brake_least_bar
    return Sizing(
        installed=installed,
        air=air,
        advice=advice,
        thresholds=thresholds,
        rows=rows,
        uses=air_uses(air, installed.fill_bar),
        times=extension_times(air, thresholds["force_below"], installed.fill_bar),
        lock_closed_bar=lock_minimum_pa(air, q_pa, SEA_BAR * 1e5) / 1e5 - SEA_BAR,
        lock_plant_bar=simulated_lock_minimum_bar(air, q_pa),
        after_flight_bar=after_bar,
        brakes_left=applications_left(air, after_bar, least_bar),
        brakes_left_cold=applications_left(air, after_bar, least_bar, cold=True),
        energy_j=stored_energy_j(installed.fill_bar, air.tank_m3),
        variants=variants(installed, settings),
    )


def stored_energy_j(bar, tank_m3):
    """(least, most) energy of the full tank, J: isothermal expansion against the air around, and (p - pa) V/(gamma - 1).

    The second is what is usually taken for a vessel that bursts (Brode, 1959; from memory); the first is the work that
    the air could do while it stays at one temperature.
    """
    p, outside = (bar + SEA_BAR) * 1e5, SEA_BAR * 1e5
    isothermal = p * tank_m3 * log(p / outside) - (p - outside) * tank_m3
    burst = (p - outside) * tank_m3 / (GAMMA - 1.0)
    return min(isothermal, burst), max(isothermal, burst)


def lift_m(energy_j, mass_kg=1.0):
    """Height to which an energy lifts a mass."""
    return energy_j / (mass_kg * STANDARD_GRAVITY_M_S2)


def air_uses(air, bar):
    """AirUse of a retraction, an extension and a full brake application that start at `bar`."""
    sides = [("retraction", retract_side(air)), ("extension", extend_side(air))]
    if air.brake:
        sides.append(("full brake application", brake_side(air)))
    found = []
    for name, side in sides:
        settled, cold = settled_after(bar, air.tank_m3, side), cold_after(bar, air.tank_m3, side)
        filled_m3 = side.dead_m3 + side.swept_m3
        free_m3 = ((settled + SEA_BAR) * filled_m3 - SEA_BAR * side.dead_m3) / SEA_BAR
        found.append(AirUse(name, 1e6 * filled_m3, 1e3 * free_m3, bar - settled, bar - cold))
    return found


def extension_times(air, low_bar, high_bar, steps=7):
    """[(tank bar, seconds at full air load, seconds in still air)] from low to high, with the pressures rounded."""
    found = []
    for n in range(steps):
        bar = low_bar + (high_bar - low_bar) * n / (steps - 1)
        found.append((bar, extend(air, bar, air.design_q_pa).time_s, extend(air, bar, 0.0).time_s))
    return found


def _after_flight(air, fill_bar, cycles):
    bar = fill_bar
    for _ in range(cycles):
        bar = cycle_after(bar, air)
    return bar


def variants(installed, settings):
    """Variant of the aircraft as it is, with one more leg, a tank half as large again, and a fill 1 bar lower; each with
    all four thresholds as advised."""
    air, free = installed.air, copy(settings)
    for key in THRESHOLDS:
        setattr(free, f"{key}_mbar", 0)
    changes = [("as it is", installed)]
    largest = max(air.legs, key=lambda leg: leg.bore_m**2 * leg.stroke_m)
    more = replace(air, legs=(*air.legs, largest))
    changes.append(("one more leg", replace(installed, air=more, leg_names=(*installed.leg_names, "added"))))
    changes.append(("a tank half as large again", replace(installed, air=replace(air, tank_m3=1.5 * air.tank_m3))))
    changes.append(
        (f"a fill {show_difference(1.0, installed.unit)} lower", replace(installed, fill_bar=installed.fill_bar - 1.0))
    )
    found = []
    for name, changed in changes:
        made = advise(changed, free, with_helps=False)
        calibrated = made.calibration.air
        left_bar = cycle_after(changed.fill_bar, calibrated)
        found.append(
            Variant(
                name,
                changed.fill_bar - left_bar,
                made.cycles,
                made.thresholds["force_below"].advised_bar,
                made.thresholds["retract_above"].advised_bar,
                made.simulated_extend_s,
                not made.problems,
            )
        )
    return found
