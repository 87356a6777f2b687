"""Dry air as an ideal gas, and a volume of it that knows its mass and its internal energy.

SI units, absolute pressures. Pressure and temperature follow from mass m and internal energy U:
p = (gamma - 1) U / V and T = U / (m cv).
"""

from math import exp

R_J_KG_K = 287.05287  # specific gas constant of dry air (ICAO Doc 7488/3)
GAMMA = 1.4
CV_J_KG_K = R_J_KG_K / (GAMMA - 1.0)
CP_J_KG_K = GAMMA * CV_J_KG_K

# Reference state ANR of ISO 6358 and ISO 8778: 100 kPa, 20 C, 65 % relative humidity.
ANR_PA = 1.0e5
ANR_K = 293.15
ANR_KG_M3 = 1.185

GAMMA_1 = GAMMA - 1.0
# Pressure gained by 1 J of internal energy carried in by flow work too: gamma (gamma - 1), see flow.moved_mass.
GAMMA_GAMMA_1 = GAMMA * GAMMA_1


class Volume:
    """A space filled with air: `mass_kg`, `energy_j`, `volume_m3`, and the heat its wall passes, `wall_w_k`."""

    __slots__ = ("mass_kg", "energy_j", "volume_m3", "wall_w_k")

    def __init__(self, volume_m3, pa_abs, temperature_k, wall_w_k=0.0):
        self.volume_m3 = volume_m3
        self.mass_kg = pa_abs * volume_m3 / (R_J_KG_K * temperature_k)
        self.energy_j = pa_abs * volume_m3 / GAMMA_1
        self.wall_w_k = wall_w_k

    @property
    def pa_abs(self):
        """Pressure, Pa absolute."""
        return GAMMA_1 * self.energy_j / self.volume_m3

    @property
    def temperature_k(self):
        """Temperature, K."""
        return self.energy_j / (self.mass_kg * CV_J_KG_K)

    def resize(self, volume_m3):
        """Change the volume without heat: U V^(gamma - 1) stays, so no step, however long, makes U negative."""
        self.energy_j *= (self.volume_m3 / volume_m3) ** GAMMA_1
        self.volume_m3 = volume_m3

    def take_wall_heat(self, dt_s, wall_k):
        """Let the wall warm or cool the air for `dt_s`.

        Exponential in time: the explicit form blows up once wall_w_k dt / (m cv) passes 2, which a small volume does.
        """
        capacity_j_k = self.mass_kg * CV_J_KG_K
        settled_j = capacity_j_k * wall_k
        self.energy_j = settled_j + (self.energy_j - settled_j) * exp(-self.wall_w_k * dt_s / capacity_j_k)
