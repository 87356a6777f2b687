"""ICAO standard atmosphere of the troposphere (ICAO Doc 7488/3; the same as the U.S. Standard Atmosphere 1976 here)."""

from .gas import R_J_KG_K

SEA_LEVEL_PA = 101325.0
SEA_LEVEL_K = 288.15
LAPSE_K_M = 0.0065
GRAVITY_M_S2 = 9.80665
EARTH_M = 6356766.0
LOW_M = -1000.0
HIGH_M = 11000.0
_EXPONENT = GRAVITY_M_S2 / (R_J_KG_K * LAPSE_K_M)


def geopotential_m(altitude_m):
    """Geopotential altitude of a geometric one, m."""
    return EARTH_M * altitude_m / (EARTH_M + altitude_m)


def standard_k(height_m):
    """Temperature at geopotential altitude `height_m`, K."""
    if not LOW_M <= height_m <= HIGH_M:
        raise ValueError(f"altitude {height_m} m: must be {LOW_M:.0f} to {HIGH_M:.0f} m")
    return SEA_LEVEL_K - LAPSE_K_M * height_m


def standard_pa(height_m):
    """Pressure at geopotential altitude `height_m`, Pa absolute. ValueError outside -1000 to 11000 m."""
    return SEA_LEVEL_PA * (standard_k(height_m) / SEA_LEVEL_K) ** _EXPONENT


def ambient_pa(altitude_m):
    """Pressure at geometric altitude `altitude_m`, Pa absolute."""
    return standard_pa(geopotential_m(altitude_m))
