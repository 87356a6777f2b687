"""Closed forms for sizing and for checks: what strokes cost, the least pressure that locks, blow-down, free air.

SI; pressures absolute unless the name says `_gauge`. gamma is that of gas.py.
"""

from dataclasses import dataclass
from math import exp

from .cylinder import areas_m2, hose_m3
from .flow import circle_m2
from .gas import ANR_K, ANR_KG_M3, GAMMA, R_J_KG_K


@dataclass(frozen=True)
class Side:
    """One side of the gear, all legs together: dead volume (port, hoses, cylinder ends) and swept volume, m3."""

    dead_m3: float
    swept_m3: float


def extend_side(air):
    """Side that the valve feeds at DOWN, for an AirSystem."""
    return Side(
        air.valve.port_m3 + sum(hose_m3(leg.hose_extend) + leg.dead_extend_m3 for leg in air.legs),
        sum(areas_m2(leg)[0] * leg.stroke_m for leg in air.legs),
    )


def retract_side(air):
    """Side that the valve feeds at UP, for an AirSystem."""
    return Side(
        air.valve.port_m3 + sum(hose_m3(leg.hose_retract) + leg.dead_retract_m3 for leg in air.legs),
        sum(areas_m2(leg)[1] * leg.stroke_m for leg in air.legs),
    )


def stroke_end_pa(tank_pa, outside_pa, tank_m3, side):
    """Tank pressure after one stroke, all back at the first temperature: (p Vt + pa Vd)/(Vt + Vd + Vs). Exact."""
    return (tank_pa * tank_m3 + outside_pa * side.dead_m3) / (tank_m3 + side.dead_m3 + side.swept_m3)


def adiabatic_drop_pa(filled_pa, outside_pa, tank_m3, side):
    """Largest fall of the tank pressure while a side fills to `filled_pa`: (gamma/Vt)[p (Vd + Vs) - pa Vd].

    Air that leaves takes its flow work along, so the tank falls by gamma times the isothermal share, and rebounds.
    """
    return GAMMA / tank_m3 * (filled_pa * (side.dead_m3 + side.swept_m3) - outside_pa * side.dead_m3)


def end_pressure_pa_gauge(air, q_pa):
    """Gauge pressure that takes every leg over its whole stroke and into its lock at dynamic pressure q_pa.

    The largest (load + dry friction + lock where it acts) / area over all legs and the stroke: the worst leg governs.
    The load is linear in travel, so the ends and the start of the lock are all that need looking at.
    """
    return max(leg_end_pressure_pa_gauge(leg, q_pa / air.design_q_pa) for leg in air.legs)


def governing_point(leg, q_share):
    """(travel, load without air, air load, lock; N) where a leg needs the most force on its way down."""
    points = []
    for travel, lock_n in ((0.0, 0.0), (leg.lock_travel, 0.0), (leg.lock_travel, leg.lock_n), (1.0, leg.lock_n)):
        still_n = leg.load_up_n + (leg.load_down_n - leg.load_up_n) * travel
        points.append((travel, still_n, leg.air_load_n * q_share * travel, lock_n))
    return max(points, key=lambda point: sum(point[1:]))


def leg_end_pressure_pa_gauge(leg, q_share):
    """The same for one leg; q_share is dynamic pressure over the design value."""
    _, still_n, air_n, lock_n = governing_point(leg, q_share)
    return (still_n + air_n + leg.coulomb_n + lock_n) / areas_m2(leg)[0]


def lock_minimum_pa(air, q_pa, outside_pa):
    """Tank pressure from which one extension reaches and holds every lock: p_end + (gamma/Vt)[p_end (Vd+Vs) - pa Vd].

    Safe for any heat through the walls. Gamma on the swept volume only would not be: hoses fill the same way.
    """
    end_pa = outside_pa + end_pressure_pa_gauge(air, q_pa)
    return end_pa + adiabatic_drop_pa(end_pa, outside_pa, air.tank_m3, extend_side(air))


def blow_down_time_s(volume_m3, conductance, temperature_k):
    """Time constant m0/mdot0 of a tank that empties through a choked hole, s."""
    return volume_m3 / (conductance * ANR_KG_M3 * R_J_KG_K * (ANR_K * temperature_k) ** 0.5)


def blow_down_adiabatic(times_tau):
    """p/p0 of an insulated tank after `times_tau` time constants of choked flow: (1 + (k-1)/2 t/tau)^(2k/(1-k))."""
    return (1.0 + (GAMMA - 1.0) / 2.0 * times_tau) ** (2.0 * GAMMA / (1.0 - GAMMA))


def blow_down_isothermal(times_tau):
    """p/p0 of a tank held at one temperature after `times_tau` time constants of choked flow: exp(-t/tau)."""
    return exp(-times_tau)


def compression_ratio(gauge_pa, outside_pa):
    """Absolute over ambient pressure."""
    return (gauge_pa + outside_pa) / outside_pa


def swept_both_ways_m3(bore_m, rod_m, stroke_m):
    """Volume swept by one double stroke of a double-acting cylinder, m3; rod_m 0 for none."""
    return (2.0 * circle_m2(bore_m) - circle_m2(rod_m)) * stroke_m


def cylinder_free_air_m3(bore_m, rod_m, stroke_m, gauge_pa, outside_pa):
    """Free air (at ambient pressure) that one double stroke uses, dead volumes left out, m3."""
    return swept_both_ways_m3(bore_m, rod_m, stroke_m) * compression_ratio(gauge_pa, outside_pa)


def receiver_m3(free_air_m3, high_pa, low_pa, outside_pa):
    """Receiver that gives `free_air_m3` while it falls from high to low: V = Q pa/(p1 - p2)."""
    return free_air_m3 * outside_pa / (high_pa - low_pa)


def usable_free_air_m3(receiver_volume_m3, high_pa, low_pa, outside_pa):
    """Free air that a receiver gives while it falls from high to low, m3."""
    return receiver_volume_m3 * (high_pa - low_pa) / outside_pa
