"""Pressure after every stroke from the fill down, three ways: the stroke map, the cold closed form, and the plant.

The map p' = (p Vt + pa Vd)/(Vt + Vd + Vs) is exact once the heat has come back. Cold, the tank falls by gamma times
the share: p' = (p Vt + gamma pa Vd)/(Vt + gamma (Vd + Vs)), which no stroke exceeds; strokes that follow each other at
once come near it. Brake applications are the same with Vs = the brakes' volume and no dead one. Bar gauge.
"""

from dataclasses import dataclass, replace

from ..air.atmosphere import SEA_LEVEL_PA
from ..air.gas import GAMMA
from ..air.plant import Plant
from ..air.sizing import Side, extend_side, retract_side
from .extension import down, extended, fly_stroke, retracted, settle, tight, up

SETTLE_S = 150.0
QUICK_S = 1.0
MOST_STROKES = 40
MOST_APPLICATIONS = 500
SEA_BAR = SEA_LEVEL_PA / 1e5


def brake_side(air):
    """The brakes as a Side: all of their volume is filled by an application."""
    return Side(0.0, air.brake.volume_m3 if air.brake else 0.0)


def settled_after(bar, tank_m3, side, outside_bar=SEA_BAR):
    """Tank after one stroke once the heat is back (exact), bar gauge."""
    absolute = bar + outside_bar
    both = absolute * tank_m3 + outside_bar * side.dead_m3
    return both / (tank_m3 + side.dead_m3 + side.swept_m3) - outside_bar


def cold_after(bar, tank_m3, side, outside_bar=SEA_BAR):
    """Tank right after one stroke at the least, no heat having come back, bar gauge."""
    absolute = bar + outside_bar
    both = absolute * tank_m3 + GAMMA * outside_bar * side.dead_m3
    return both / (tank_m3 + GAMMA * (side.dead_m3 + side.swept_m3)) - outside_bar


def cold_before(bar, tank_m3, side, outside_bar=SEA_BAR):
    """Inverse of cold_after: what the tank must hold so that `bar` is left right after the stroke."""
    absolute = bar + outside_bar
    filled = absolute * (side.dead_m3 + side.swept_m3) - outside_bar * side.dead_m3
    return bar + GAMMA / tank_m3 * filled


def cycle_after(bar, air):
    """Tank after a retraction and an extension, the heat back after each, bar gauge."""
    bar = settled_after(bar, air.tank_m3, retract_side(air))
    return settled_after(bar, air.tank_m3, extend_side(air))


@dataclass(frozen=True)
class Row:
    """One stroke of the table. `stroke` "retract" or "extend"; before and after in bar gauge.

    settled_bar, cold_bar              by closed form: waited for, and in quick succession
    settled_plant_bar, cold_plant_bar  the same by the plant, None where the stroke did not get to its end; the cold one
                                       with a tank that lets no heat through
    time_s                             of the plant's stroke from the settled pressure
    """

    number: int
    stroke: str
    settled_bar: float
    settled_plant_bar: float | None
    cold_bar: float
    cold_plant_bar: float | None
    time_s: float | None


class _Flown:
    """The plant, stroke after stroke; `wait_s` between two."""

    def __init__(self, air, fill_bar, wait_s):
        self.air, self.wait_s = tight(air), wait_s
        self.plant = Plant(self.air, fill_bar * 1e5)
        self.stuck = False

    def stroke(self, is_up):
        """(time, tank after the wait), or (None, None) from the first stroke on that does not get there."""
        if self.stuck:
            return None, None
        demand = up(self.air) if is_up else down(self.air)
        time_s, bar = fly_stroke(self.plant, demand, retracted if is_up else extended)
        if time_s is None:
            self.stuck = True
            return None, None
        # Lines go on filling for a moment after the last leg is there.
        bar = settle(self.plant, demand, self.wait_s)
        return time_s, bar


def stroke_table(air, fill_bar, until_bar):
    """Rows of strokes in still air, a retraction first, while the settled pressure before it is at least `until_bar`."""
    sides = {"retract": retract_side(air), "extend": extend_side(air)}
    waited, quick = _Flown(air, fill_bar, SETTLE_S), _Flown(replace(air, wall_w_k=0.0), fill_bar, QUICK_S)
    settled_bar = cold_bar = fill_bar
    rows = []
    while len(rows) < MOST_STROKES and settled_bar >= until_bar:
        for stroke in ("retract", "extend"):
            settled_bar = settled_after(settled_bar, air.tank_m3, sides[stroke])
            cold_bar = cold_after(cold_bar, air.tank_m3, sides[stroke])
            is_up = stroke == "retract"
            time_s, settled_plant_bar = waited.stroke(is_up)
            cold_plant_bar = quick.stroke(is_up)[1]
            number = len(rows) + 1
            rows.append(Row(number, stroke, settled_bar, settled_plant_bar, cold_bar, cold_plant_bar, time_s))
    return rows


def applications_left(air, bar, least_bar, cold=False):
    """Full brake applications until less than `least_bar` gauge is left in the tank; None without brakes.

    Counted up to MOST_APPLICATIONS.
    """
    if air.brake is None:
        return None
    after = cold_after if cold else settled_after
    n, side = 0, brake_side(air)
    while n < MOST_APPLICATIONS and bar >= least_bar:
        bar = after(bar, air.tank_m3, side)
        n += 1
    return n
