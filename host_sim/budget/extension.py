"""One stroke or brake application of an AirSystem, flown by the plant alone: no controller, no leak of the tank.

Pressures gauge in bar, times in s. The valve is driven both ways, whatever its kind.
"""

from dataclasses import dataclass, replace

from ..air.atmosphere import SEA_LEVEL_PA
from ..air.plant import Demand, Plant
from ..air.sizing import end_pressure_pa_gauge, lock_minimum_pa

STEP_S = 0.01
LONGEST_S = 20.0
# A leg that waits for the last millibars starts again: only after such a pause is a stroke over.
STILL_S = 1.0
SEA_K = 288.15


@dataclass(frozen=True)
class Stroke:
    """What one stroke did: `time_s` to the locks (extension) or the stops (retraction), None where it did not get there;
    `cold_bar` in the tank as it ended."""

    time_s: float | None
    cold_bar: float


def down(air, q_pa=0.0, ambient_k=SEA_K):
    """Demand that extends."""
    return Demand(coil_down=1, valve_us=air.valve.servo_down_us, airspeed_q_pa=q_pa, ambient_k=ambient_k)


def up(air, ambient_k=SEA_K):
    """Demand that retracts, on the ground's still air."""
    return Demand(coil_up=1, valve_us=air.valve.servo_up_us, ambient_k=ambient_k)


def tight(air):
    """The same air system without its leak."""
    return replace(air, leak_m3_s_pa=0.0)


def fly_stroke(plant, demand, there, longest_s=LONGEST_S):
    """(time to `there`, tank at the end in bar gauge): advance until there(plant), or until nothing moves any more."""
    began_s = moved_s = plant.time_s
    while plant.time_s - began_s < longest_s:
        plant.advance(STEP_S, demand)
        if there(plant):
            return plant.time_s - began_s, plant.tank_pa_gauge / 1e5
        if plant.moving:
            moved_s = plant.time_s
        elif plant.time_s - moved_s > STILL_S:
            break
    return None, plant.tank_pa_gauge / 1e5


def extended(plant):
    """Whether every leg is locked down."""
    return all(plant.leg_locked)


def retracted(plant):
    """Whether every leg is at its upper stop."""
    return max(plant.travel) <= 0.0


def settle(plant, demand, seconds):
    """Let heat come back; returns the tank in bar gauge."""
    for _ in range(int(seconds / 0.5)):
        plant.advance(0.5, demand)
    return plant.tank_pa_gauge / 1e5


def extend(air, tank_bar, q_pa, ambient_k=SEA_K, altitude_m=0.0, longest_s=LONGEST_S):
    """Stroke of an extension that starts settled, with the gear up, at dynamic pressure q_pa; given up after longest_s."""
    plant = Plant(tight(air), tank_bar * 1e5, ambient_k, altitude_m, gear_down=False)
    demand = down(air, q_pa, ambient_k)
    demand.altitude_m = altitude_m
    return Stroke(*fly_stroke(plant, demand, extended, longest_s))


def simulated_lock_minimum_bar(air, q_pa, within_bar=0.01, longest_s=LONGEST_S):
    """Least tank pressure, bar gauge, from which the plant's extension locks every leg within longest_s; by halving.

    Looked for between the pressure that must be left at the end and the closed form, and further where that is not
    enough. None where 15 bar do not lock it.
    """

    def locks(bar):
        return extend(air, bar, q_pa, longest_s=longest_s).time_s is not None

    low_bar = end_pressure_pa_gauge(air, q_pa) / 1e5
    high_bar = (lock_minimum_pa(air, q_pa, SEA_LEVEL_PA) - SEA_LEVEL_PA) / 1e5 + within_bar
    while not locks(high_bar):
        low_bar, high_bar = high_bar, 1.5 * high_bar
        if high_bar > 15.0:
            return None
    while high_bar - low_bar > within_bar:
        middle_bar = (low_bar + high_bar) / 2.0
        low_bar, high_bar = (low_bar, middle_bar) if locks(middle_bar) else (middle_bar, high_bar)
    return high_bar
