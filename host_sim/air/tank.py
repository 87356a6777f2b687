"""The tank with everything that takes from it or gives to it except the gear: leak, burst, filling hose, brakes."""

from .cylinder import FILM_W_M2_K
from .flow import IDEAL_CRITICAL_RATIO, Path, moved_mass, transfer, vent
from .gas import CV_J_KG_K, GAMMA, GAMMA_1, Volume

BRAKE_DEADBAND_PA = 3000.0
# Wall of a brake circuit per volume: mostly hose of 2.5 mm bore, 4/d.
BRAKE_WALL_PER_M = 1600.0


class Hole:
    """A Path with the ideal critical ratio whose conductance a fault may change at any time."""

    __slots__ = ("path",)

    def __init__(self):
        self.path = Path(0.0)

    def sized(self, conductance):
        """The path at this conductance; rebuilt only when it changed."""
        if self.path.conductance != conductance:
            self.path = Path(conductance)
        return self.path


def charge(path, tank, source_pa, source_k, dt_s):
    """Air from a filling hose, kg; its non-return valve lets none back."""
    tank_pa = GAMMA_1 * tank.energy_j / tank.volume_m3
    if tank_pa >= source_pa:
        return 0.0
    specific = CV_J_KG_K * source_k
    moved = moved_mass(path, source_pa, tank_pa, specific, 1.0 / tank.volume_m3, dt_s)
    tank.mass_kg += moved
    tank.energy_j += GAMMA * specific * moved
    return moved


class BrakeCircuit:
    """Brake volume behind a proportional valve: its gauge pressure follows brake x tank gauge pressure."""

    __slots__ = ("volume", "path", "drag")

    def __init__(self, spec, outside_pa, temperature_k):
        self.volume = Volume(
            spec.volume_m3, outside_pa, temperature_k, FILM_W_M2_K * BRAKE_WALL_PER_M * spec.volume_m3
        )
        self.path = Path(spec.sonic_conductance_m3_s_pa, spec.critical_ratio)
        self.drag = Hole()

    def wanted_pa(self, tank, share, outside_pa):
        """Absolute pressure that the valve aims at."""
        return outside_pa + share * max(tank.pa_abs - outside_pa, 0.0)

    def settled(self, tank, share, outside_pa):
        """Whether the valve is closed both ways, and will stay so."""
        here = self.volume.pa_abs
        return abs(here - self.wanted_pa(tank, share, outside_pa)) <= BRAKE_DEADBAND_PA

    def step(self, dt_s, tank, demand, outside_pa):
        """Fill or vent for dt; returns the mass vented, kg."""
        vented = 0.0
        wanted = self.wanted_pa(tank, demand.brake, outside_pa)
        here = self.volume.pa_abs
        if demand.brake <= 0.0:
            vented = vent(self.path, self.volume, outside_pa, demand.ambient_k, dt_s)
        elif here < wanted - BRAKE_DEADBAND_PA / 2.0:
            self._fill(dt_s, tank, wanted)
        elif here > wanted + BRAKE_DEADBAND_PA:
            vented = vent(self.path, self.volume, wanted, demand.ambient_k, dt_s)
        if demand.brake_drag:
            transfer(self.drag.sized(demand.brake_drag_m3_s_pa), tank, self.volume, dt_s)
        return vented

    def _fill(self, dt_s, tank, wanted_pa):
        """Like flow.transfer, but the valve closes when the brake side reaches `wanted_pa`."""
        volume = self.volume
        specific = tank.energy_j / tank.mass_kg
        inverse = 1.0 / tank.volume_m3 + 1.0 / volume.volume_m3
        tank_pa = tank.pa_abs
        if tank_pa <= volume.pa_abs:
            return
        moved = moved_mass(self.path, tank_pa, volume.pa_abs, specific, inverse, dt_s)
        enough = (wanted_pa - volume.pa_abs) * volume.volume_m3 / (GAMMA * GAMMA_1 * specific)
        moved = min(moved, enough)
        carried = GAMMA * specific * moved
        tank.mass_kg -= moved
        tank.energy_j -= carried
        volume.mass_kg += moved
        volume.energy_j += carried
