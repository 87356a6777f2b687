"""The four thresholds, each built up term by term, so that a builder sees which one costs most. Bar gauge.

The sums are worst cases that add up; they are rounded up to a round number of the owner's unit at the end.
"""

from dataclasses import dataclass
from math import ceil, exp

from ..air.atmosphere import SEA_LEVEL_PA, ambient_pa
from ..air.cylinder import areas_m2
from ..air.gas import ANR_K, ANR_KG_M3, GAMMA, R_J_KG_K
from ..air.sizing import (
    end_pressure_pa_gauge,
    extend_side,
    governing_point,
    leg_end_pressure_pa_gauge,
    retract_side,
)
from ..wording import in_unit, show_difference
from .extension import SEA_K
from .strokes import SEA_BAR, brake_side, cold_before

# Steps that thresholds are rounded up to, each in its own unit.
STEPS = {"bar": 0.05, "psi": 1.0, "kPa": 5.0}
# What SR-02 adds to the sum that must be left after a retraction, and SR-12 at least between warning and forcing.
PERMIT_RESERVE_BAR = 0.1
WARN_RESERVE_BAR = 0.2
# How much more than the file says each load may be where no lock minimum was measured; common practice, no source.
UNMEASURED = {"friction": 0.25, "air load": 0.1, "lock": 0.1}


@dataclass(frozen=True)
class Term:
    """One part of a threshold: what, how much in bar, and why, in one phrase with a {} for each of `shown`, which are
    differences of pressure in bar. `is_base` for what is taken over or measured whole, and is no cost to be lowered."""

    name: str
    bar: float
    why: str = ""
    shown: tuple[float, ...] = ()
    is_base: bool = False

    def because(self, unit):
        """The phrase with its pressures in `unit`."""
        return self.why.format(*(show_difference(bar, unit) for bar in self.shown))


@dataclass(frozen=True)
class Threshold:
    """A threshold with its terms; `advised_bar` is their sum, rounded up."""

    key: str
    terms: tuple[Term, ...]
    advised_bar: float

    @property
    def sum_bar(self):
        """What the terms add up to."""
        return sum(term.bar for term in self.terms)


def rounded_up(bar, unit):
    """The next round number of the owner's unit, in bar."""
    steps = in_unit(bar, unit) / STEPS[unit]
    return ceil(steps - 1e-6) * STEPS[unit] / in_unit(1.0, unit)


def made(key, terms, unit):
    """Threshold of its terms."""
    terms = tuple(terms)
    return Threshold(key, terms, rounded_up(sum(term.bar for term in terms), unit))


def governing_leg(air):
    """Index of the leg that needs the most pressure at the design dynamic pressure."""
    needs = [leg_end_pressure_pa_gauge(leg, 1.0) for leg in air.legs]
    return needs.index(max(needs))


def allowance_term(loads):
    """What a lock minimum that nobody measured may be wrong by, from the terms of its loads."""
    by_name = {term.name: term.bar for term in loads}
    bar = sum(share * by_name[name] for name, share in UNMEASURED.items())
    shares = ", ".join(f"{name} {100 * share:.0f} %" for name, share in UNMEASURED.items())
    return Term("not measured", bar, f"{shares} more than written; a lock minimum measured with its load replaces this")


def lock_terms(air, leg_names, speed_text):
    """Terms of the lock minimum from the loads: what the worst leg needs, and what filling the stroke takes."""
    index = governing_leg(air)
    leg, name = air.legs[index], leg_names[index]
    area = areas_m2(leg)[0]
    travel, still_n, air_n, lock_n = governing_point(leg, 1.0)
    at = f"at {100 * travel:.0f} % of travel, where the {name} leg needs most"
    end_bar = end_pressure_pa_gauge(air, air.design_q_pa) / 1e5
    return [
        Term("load without air", still_n / area / 1e5, f"{still_n:.0f} N against extension {at}"),
        Term("air load", air_n / area / 1e5, f"{air_n:.0f} N at {speed_text}"),
        Term("friction", leg.coulomb_n / area / 1e5, f"{leg.coulomb_n:.0f} N of dry friction"),
        Term("lock", lock_n / area / 1e5, f"{lock_n:.0f} N push the lock home"),
        filling_term(air, end_bar),
    ]


def filling_term(air, end_bar):
    """What the extension itself takes from the tank, cold, so that `end_bar` is left at its end."""
    drop_bar = cold_before(end_bar, air.tank_m3, extend_side(air)) - end_bar
    return Term("air of the extension", drop_bar, "hoses and cylinders fill, no heat comes back in time")


def brake_term(air, use, lock_bar):
    """What the landing's braking needs on top of the lock minimum: nothing where the extension leaves enough."""
    if air.brake is None:
        return Term("brakes for one landing", 0.0, "no brakes on this tank")
    need_bar, side = use.brake_least_bar, brake_side(air)
    for _ in range(use.brake_applications):
        need_bar = cold_before(need_bar, air.tank_m3, side)
    more_bar = max(0.0, cold_before(need_bar, air.tank_m3, extend_side(air)) - lock_bar)
    why = "the extension leaves enough" if more_bar == 0.0 else "so much is needed when the gear is down"
    return Term("brakes for one landing", more_bar, f"{use.brake_applications} full applications: {why}")


def slow_leak_terms(settings, extend_s):
    """A leak too slow to be taken for a burst goes on while the controller makes sure and the gear travels (SR-03)."""
    rate_bar_s = settings.burst_floor_mbar_s / 1000.0
    parts = (
        ("confirm time", settings.low_confirm_ms / 1000.0),
        ("filter lag", 2 * settings.tick_ms / 1000.0),
        ("extension", extend_s),
    )
    for name, seconds in parts:
        why = f"{seconds:.2f} s of a leak of {{}}/s, the fastest that is no burst"
        yield Term(f"slow leak during {name}", rate_bar_s * seconds, why, (rate_bar_s,))


def leak_share(air, seconds, ambient_k=SEA_K):
    """Share of its absolute pressure that the tank loses in a time through its own leak (choked, isothermal)."""
    rate = air.leak_m3_s_pa * ANR_KG_M3 * R_J_KG_K * (ANR_K * ambient_k) ** 0.5 / air.tank_m3
    return 1.0 - exp(-rate * seconds)


def wait_terms(air, use, force_bar):
    """What a retraction must leave above the forcing point for the rest of the flight: leak, cooling, descent."""
    absolute = force_bar + SEA_BAR
    share = leak_share(air, use.up_for_s)
    leak_bar = absolute * share / (1.0 - share)
    warm_k = SEA_K
    cooling_bar = (absolute + leak_bar) * use.cooling_k / (warm_k - use.cooling_k)
    descent_bar = (SEA_LEVEL_PA - ambient_pa(use.descent_m)) / 1e5
    yield Term("leak until the landing", leak_bar, f"{use.up_for_s / 60:.0f} min with the gear up")
    yield Term("cooling", cooling_bar, f"{use.cooling_k:.0f} K colder air in the tank")
    yield Term("descent", descent_bar, f"a gauge reads less {use.descent_m:.0f} m further down")


def retraction_term(air, need_bar):
    """Largest fall that a retraction makes when it starts at the sum of `need_bar` and itself (SR-02)."""
    filled, dead = _retract_shares(air)
    # x = need + gamma ((x + pa) filled - pa dead), solved for x.
    start_bar = (need_bar + GAMMA * SEA_BAR * (filled - dead)) / (1.0 - GAMMA * filled)
    return Term("the retraction itself", start_bar - need_bar, "the dip while it travels, no heat comes back in time")


def retraction_drop_bar(air, start_bar):
    """Largest fall that a retraction makes when it starts at `start_bar` (SR-02)."""
    filled, dead = _retract_shares(air)
    return GAMMA * ((start_bar + SEA_BAR) * filled - SEA_BAR * dead)


def _retract_shares(air):
    side = retract_side(air)
    return (side.dead_m3 + side.swept_m3) / air.tank_m3, side.dead_m3 / air.tank_m3
