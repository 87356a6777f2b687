"""Flow of air through a valve, a hose, a hole or a leak: the sonic conductance model of ISO 6358.

C is the sonic conductance in m3/(s Pa) at the reference state ANR, b the critical pressure ratio. Choked flow is
p1 C rho0 sqrt(T0/T1); below the critical ratio it is multiplied by the quarter ellipse sqrt(1 - ((r - b)/(1 - b))^2).
The ellipse meets r = 1 with an infinite slope, which no fixed step can follow: from r = 0.99 on it is a straight line.
"""

from math import expm1, pi, sqrt

from .gas import ANR_K, ANR_KG_M3, CV_J_KG_K, GAMMA, GAMMA_1, GAMMA_GAMMA_1, R_J_KG_K

LINEAR_FROM = 0.99
IDEAL_CRITICAL_RATIO = (2.0 / (GAMMA + 1.0)) ** (GAMMA / GAMMA_1)
# Choked mass flow of an ideal nozzle is this times p0 A / sqrt(R T0).
CHOKED_FACTOR = sqrt(GAMMA) * (2.0 / (GAMMA + 1.0)) ** ((GAMMA + 1.0) / (2.0 * GAMMA_1))


class Path:
    """A flow path with sonic conductance `conductance` (C, m3/(s Pa)) and critical ratio `b`. C = 0 is a closed one."""

    __slots__ = ("conductance", "b", "factor", "ellipse", "slope")

    def __init__(self, conductance, b=IDEAL_CRITICAL_RATIO):
        if conductance < 0.0:
            raise ValueError(f"sonic conductance {conductance} m3/(s Pa): must not be negative")
        if not 0.0 <= b < LINEAR_FROM:
            raise ValueError(f"critical pressure ratio {b}: must be at least 0 and below {LINEAR_FROM}")
        self.conductance = conductance
        self.b = b
        # sqrt(T0/T1) is sqrt(T0 cv) / sqrt(U1/m1): the temperature itself is never needed.
        self.factor = conductance * ANR_KG_M3 * sqrt(ANR_K * CV_J_KG_K)
        self.ellipse = 1.0 / (1.0 - b)
        self.slope = sqrt(1.0 - ((LINEAR_FROM - b) * self.ellipse) ** 2) / (1.0 - LINEAR_FROM)

    def rate_kg_s(self, p1_abs, t1_k, p2_abs):
        """Mass flow from p1 (Pa absolute, at t1_k) to p2 <= p1, kg/s (ISO 6358)."""
        return self.factor / sqrt(t1_k * CV_J_KG_K) * p1_abs * _share(self, p2_abs / p1_abs)


def _share(path, ratio):
    """Flow at pressure ratio `ratio` as a share of the choked flow."""
    if ratio <= path.b:
        return 1.0
    if ratio < LINEAR_FROM:
        part = (ratio - path.b) * path.ellipse
        return sqrt(1.0 - part * part)
    return path.slope * (1.0 - ratio)


def moved_mass(path, p1, p2, specific_j_kg, inverse_volumes, dt_s):
    """Mass that flows from p1 to p2 < p1 in dt, kg; never more than what makes the two pressures equal.

    `specific_j_kg` is U1/m1. Air that leaves takes gamma U1/m1 per kg along, so a kilogram lowers p1 by
    gamma (gamma - 1) (U1/m1) / V1 and raises p2 alike: the mass that equalises, dme, is linear in p1 - p2, and
    dm = dme (1 - exp(-rate dt / dme)) is the rate for a short step and dme for a long one.
    `inverse_volumes` is 1/V1 + 1/V2, 0 for the side that is the atmosphere.
    """
    rate = path.factor * p1 * _share(path, p2 / p1)
    equalising = (p1 - p2) / (GAMMA_GAMMA_1 * specific_j_kg * inverse_volumes)
    if equalising <= 0.0:
        return 0.0
    return -equalising * expm1(-rate * dt_s / (sqrt(specific_j_kg) * equalising))


def transfer(path, one, other, dt_s):
    """Let air flow between two volumes for dt, whichever way; returns the mass from `one` to `other`, kg."""
    one_v = one.volume_m3
    other_v = other.volume_m3
    p_one = GAMMA_1 * one.energy_j / one_v
    p_other = GAMMA_1 * other.energy_j / other_v
    if p_one >= p_other:
        specific = one.energy_j / one.mass_kg
        moved = moved_mass(path, p_one, p_other, specific, 1.0 / one_v + 1.0 / other_v, dt_s)
    else:
        specific = other.energy_j / other.mass_kg
        moved = -moved_mass(path, p_other, p_one, specific, 1.0 / one_v + 1.0 / other_v, dt_s)
    carried = GAMMA * specific * moved
    one.mass_kg -= moved
    one.energy_j -= carried
    other.mass_kg += moved
    other.energy_j += carried
    return moved


def vent(path, volume, pa_abs, outside_k, dt_s):
    """Let a volume breathe to a large space at pa_abs and outside_k; returns the mass out, kg (negative: in)."""
    here_v = volume.volume_m3
    here = GAMMA_1 * volume.energy_j / here_v
    if here >= pa_abs:
        specific = volume.energy_j / volume.mass_kg
        moved = moved_mass(path, here, pa_abs, specific, 1.0 / here_v, dt_s)
    else:
        specific = CV_J_KG_K * outside_k
        moved = -moved_mass(path, pa_abs, here, specific, 1.0 / here_v, dt_s)
    volume.mass_kg -= moved
    volume.energy_j -= GAMMA * specific * moved
    return moved


def hole_conductance(area_m2):
    """Sonic conductance of an ideal hole, m3/(s Pa): 0.1992 dm3/(s bar) per mm2 (isentropic flow at the state ANR)."""
    return CHOKED_FACTOR * area_m2 / (ANR_KG_M3 * sqrt(R_J_KG_K * ANR_K))


def hose_path(bore_m, length_m):
    """Path of a straight hose: C = 0.029 d^2 / sqrt(L/d^1.25 + 510), b = 474 C/d^2, SI (Eckert, quoted by Beater,
    Pneumatic Drives, 2007; from memory)."""
    conductance = 0.029 * bore_m**2 / sqrt(length_m / bore_m**1.25 + 510.0)
    return Path(conductance, 474.0 * conductance / bore_m**2)


def in_series(*paths):
    """One path for several in a row: 1/C^3 = sum 1/C_i^3 and b = 1 - C^2 sum (1 - b_i)/C_i^2 (the approximation that
    suppliers of pneumatics print; from memory). A closed one closes all."""
    if min(path.conductance for path in paths) == 0.0:
        return Path(0.0, 0.0)
    conductance = sum(path.conductance**-3 for path in paths) ** (-1.0 / 3.0)
    b = 1.0 - conductance**2 * sum((1.0 - path.b) / path.conductance**2 for path in paths)
    return Path(conductance, min(max(b, 0.0), 0.9))


def circle_m2(diameter_m):
    """Area of a circle, m2."""
    return pi / 4.0 * diameter_m**2
