"""One Day through the real controller and the plant, at one forcing point: the ordinary day and the failing one.

Both begin with the gear down, in the air, as the last retraction of the day is about to begin; what came before is in
the pressure that the tank begins with. Retraction, brake taps and extension are flown as they are; the long time with
the gear up between them is shortened (gear_up.py).

ordinary day   nothing fails: retraction, wait (leak of the sound aircraft and cooling of the whole time with the gear
               up, descent), brake taps, a moment at the lowest pressure; then the pilot would put the gear down. Whatever
               forces it before is a nuisance. Brake taps come last, when the tank is at its lowest.
failing day    the retraction begins at the permit, in the colder air of the day; a leak with the gear up; the pilot
               answers no warning. The wait takes the tank to so far above the forcing point that the drawn leak, opened
               there, runs three seconds more until the reading crosses it. The controller forces the gear at the drawn
               airspeed with the leak going on, and every leg has to lock within three times the slowest extension.
"""

from dataclasses import dataclass, replace
from math import pi

from controller import codes

from ..fault_effects import C_PER_MM2
from ..faults import CATALOGUE, Fault
from .days import true_bar
from .gear_up import SETTLE_S, GearUp
from .terms import leak_share

BETWEEN_TAPS_S = 1.0
LEAK_LEAD_S = 3.0
LONGEST_LEAK_S = 120.0
LOCK_TIMES = 3.0
ABOVE_PERMIT_BAR = 0.02


@dataclass(frozen=True)
class Flown:
    """What one flight came to. Pressures bar gauge.

    `retracted` False where the controller refused; `cause` the word of what forced the gear, "" for nothing;
    `lowest_bar` the lowest reading with the gear up; `forced_bar` true tank pressure as the gear was forced; `locked`
    whether every leg locked, `lock_s` after which time (None where it was not looked at, or did not).
    """

    retracted: bool
    cause: str = ""
    lowest_bar: float = float("inf")
    forced_bar: float | None = None
    locked: bool | None = None
    lock_s: float | None = None
    balance_error: float = 0.0


def ordinary_day(aircraft, day, point):
    """Flown of a day on which nothing fails."""
    up = GearUp(aircraft, day, point, day.begin_bar, day.ambient_k)
    if not up.retracted:
        return _flown(up)
    up.wait_for(leak_share(day.air, day.up_for_s, day.ambient_k), day.cooling_k, day.climb_m)
    up.fly(SETTLE_S)
    for seconds, level in day.taps:
        up.state.brake = level
        up.fly(seconds)
        up.state.brake = 0.0
        up.fly(BETWEEN_TAPS_S)
    # Long enough for the controller to be sure of the lowest pressure of the day, on both of its paths.
    up.fly(1.5 * point.settings.low_confirm_ms / 1000.0 + SETTLE_S)
    return _flown(up)


def failing_day(aircraft, day, point):
    """Flown of a day with a leak that the pilot does not answer."""
    permit_bar = true_bar(day, point.settings.retract_above_mbar / 1000.0)
    begin_bar = permit_bar + point.settings.sensor_noise_mbar / 1000.0 + ABOVE_PERMIT_BAR
    up = GearUp(aircraft, day, point, begin_bar, day.ambient_k - day.cooling_k)
    if not up.retracted:
        return _flown(up)
    force_bar = true_bar(day, point.force_below_mbar / 1000.0)
    up.wait_until(force_bar + LEAK_LEAD_S * _rate_at(day, up, force_bar))
    if not up.forced:
        hole_mm = (day.leak_m3_s_pa / C_PER_MM2 * 4.0 / pi) ** 0.5
        next_s = (up.bench.t_us + 1) / 1e6
        up.flight.inject([Fault(CATALOGUE["slow leak"], next_s, values={"hole": hole_mm})])
        up.fly(LONGEST_LEAK_S)
    if not up.forced:
        return _flown(up)
    began_s = up.t_s
    until_s = began_s + LOCK_TIMES * point.settings.extend_ms / 1000.0
    while up.t_s < until_s and not all(up.plant.leg_locked):
        up.step()
    locked = all(up.plant.leg_locked)
    return _flown(up, locked=locked, lock_s=up.t_s - began_s if locked else None)


def _rate_at(day, up, bar):
    """Fall of the tank that the day's leak makes at a gauge pressure, bar/s."""
    leaking = replace(day.air, leak_m3_s_pa=day.leak_m3_s_pa)
    return leak_share(leaking, 1.0, up.state.ambient_k) * (bar + up.plant.ambient_pa_abs / 1e5)


def _flown(up, **more):
    return Flown(
        retracted=up.retracted,
        cause=codes.CAUSE_WORDS[up.flight.outputs.cause] if up.forced else "",
        lowest_bar=float("inf") if up.lowest_mbar is None else up.lowest_mbar / 1000.0,
        forced_bar=up.forced_bar,
        balance_error=up.plant.mass_balance_error,
        **more,
    )
