"""Measurements of strokes as rows of one fit: what was read, how sure it is, and what the model answers."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import sqrt

from ..air.plant import Plant
from ..air.sizing import extend_side, lock_minimum_pa, retract_side
from .extension import LONGEST_S, STEP_S, STILL_S, down, extended, fly_stroke, tight
from .measured import standard
from .strokes import SEA_BAR, settled_after

# Twice the plant's usual step: times differ by 2 ms, at half the computing.
COARSE_STEP_S = 0.002
FINE_FROM_TRAVEL = 0.9
NUDGE_BAR = 0.1
LOOSE_STEP_S = 0.004
GAP_SHARE = 0.15
GAP_WITHIN_BAR = 0.02
TIME, LOCK = "time", "lock"


@dataclass(frozen=True)
class Row:
    """One measurement. `kind` TIME (s, from `bar` against `share` of the full air load), LOCK (bar gauge, against
    `share`), "retraction" or "extension" (settled drop from `bar`, in bar); `sigma` its standard uncertainty."""

    kind: str
    bar: float
    share: float
    value: float
    sigma: float


def answer(row, air):
    """The model's value of a row for an AirSystem; None where the gear would not lock."""
    if row.kind == TIME:
        return lock_time_s(air, row.bar, row.share * air.design_q_pa)
    if row.kind == LOCK:
        return lock_minimum_bar(air, row.share)
    return drop_bar(air, row.kind, row.bar)


def drop_bar(air, stroke, bar):
    """Settled drop of one stroke by the stroke map, bar."""
    side = retract_side(air) if stroke == "retraction" else extend_side(air)
    return bar - settled_after(bar, air.tank_m3, side)


@lru_cache(maxsize=2048)
def lock_time_s(air, bar, q_pa):
    """Time of extension.extend, to 2 ms, or None."""
    plant = Plant(tight(air), bar * 1e5, gear_down=False, step_s=COARSE_STEP_S)
    demand, moved_s = down(air, q_pa), 0.0
    while plant.time_s < LONGEST_S and plant.time_s - moved_s <= STILL_S:
        plant.advance(STEP_S if plant.gear_travel < FINE_FROM_TRAVEL else COARSE_STEP_S, demand)
        if extended(plant):
            return plant.time_s
        if plant.moving:
            moved_s = plant.time_s
    return None


def lock_minimum_bar(air, share):
    """Closed form of the lock minimum against a share of the full air load, bar gauge."""
    return lock_minimum_pa(air, share * air.design_q_pa, SEA_BAR * 1e5) / 1e5 - SEA_BAR


def slope_s_bar(row, air):
    """How much faster an extension is with more pressure, s/bar; 0 where the model would not lock."""
    here, above = answer(row, air), answer(replace(row, bar=row.bar + NUDGE_BAR), air)
    return 0.0 if here is None or above is None else (here - above) / NUDGE_BAR


def time_rows(measured, air):
    """Rows of the timed extensions; an error of the starting pressure counts by the slope that `air` has there."""
    within, rows = measured.within, []
    for timed in measured.extensions:
        row = Row(TIME, timed.from_bar, timed.load_share, timed.takes_s, 0.0)
        by_pressure_s = slope_s_bar(row, air) * standard(within.pressure_bar)
        rows.append(replace(row, sigma=sqrt(standard(within.time_s) ** 2 + by_pressure_s**2)))
    return rows


def other_rows(measured, air):
    """Rows of the drops and of the lock minimum."""
    drop_sigma = sqrt(2.0) * standard(measured.within.pressure_bar)
    rows = [Row(drop.stroke, drop.from_bar, 0.0, drop.from_bar - drop.to_bar, drop_sigma) for drop in measured.drops]
    lock = measured.lock_minimum
    if lock is not None:
        value = lock.tank_bar + safe_side_bar(air, lock.load_share)
        rows.append(Row(LOCK, 0.0, lock.load_share, value, standard(lock.within_bar)))
    return rows


@lru_cache(maxsize=32)
def safe_side_bar(air, share):
    """How far the closed form of the lock minimum is above what the plant needs: heat comes back while it fills."""
    high_bar = closed_bar = lock_minimum_bar(air, share)
    low_bar, demand = (1.0 - GAP_SHARE) * closed_bar, down(air, share * air.design_q_pa)
    while high_bar - low_bar > GAP_WITHIN_BAR:
        middle_bar = (low_bar + high_bar) / 2.0
        plant = Plant(tight(air), middle_bar * 1e5, gear_down=False, step_s=LOOSE_STEP_S)
        if fly_stroke(plant, demand, extended)[0] is None:
            low_bar = middle_bar
        else:
            high_bar = middle_bar
    return closed_bar - high_bar
