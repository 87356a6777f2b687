"""The tank with everything that takes from it or gives to it except the gear: leak, burst, filling hose, brakes."""

from math import ceil

from .cylinder import FILM_W_M2_K
from .flow import Path, moved_mass, transfer, vent
from .gas import CV_J_KG_K, GAMMA, GAMMA_1, GAMMA_GAMMA_1, Volume

# A proportional valve neither fills nor vents within 10 mbar of what is asked.
BRAKE_DEADBAND_PA = 1000.0
# Below 50 mbar/s a long step follows the brake as well as short ones.
BRAKE_STEADY_PA_S = 5000.0
DRAG_STEP_S = 0.001
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

    __slots__ = ("volume", "path", "drag", "last_share", "rate_pa_s")

    def __init__(self, spec, outside_pa, temperature_k):
        self.volume = Volume(spec.volume_m3, outside_pa, temperature_k, FILM_W_M2_K * BRAKE_WALL_PER_M * spec.volume_m3)
        self.path = Path(spec.sonic_conductance_m3_s_pa, spec.critical_ratio)
        self.drag = Hole()
        self.last_share = 0.0
        self.rate_pa_s = 0.0

    def settled(self, demand):
        """Whether nothing is asked of it that was not asked before, and it has become steady."""
        return demand.brake == self.last_share and abs(self.rate_pa_s) <= BRAKE_STEADY_PA_S

    def step(self, dt_s, tank, demand, outside_pa):
        """Fill or vent for dt; returns the mass vented, kg. Air that drags through while the same air vents needs short
        steps, or the one would fill in a step what the other empties in the next."""
        if not demand.brake_drag:
            return self._step(dt_s, tank, demand, outside_pa)
        steps = ceil(dt_s / DRAG_STEP_S - 1e-9)
        vented = 0.0
        for _ in range(steps):
            vented += self._step(dt_s / steps, tank, demand, outside_pa)
        return vented

    def _step(self, dt_s, tank, demand, outside_pa):
        volume = self.volume
        before = volume.pa_abs
        vented = 0.0
        wanted = outside_pa + demand.brake * max(tank.pa_abs - outside_pa, 0.0)
        if demand.brake <= 0.0:
            vented = vent(self.path, volume, outside_pa, demand.ambient_k, dt_s)
        elif before < wanted - BRAKE_DEADBAND_PA:
            self._fill(dt_s, tank, wanted)
        elif before > wanted + BRAKE_DEADBAND_PA:
            vented = self._release(dt_s, wanted, outside_pa)
        if demand.brake_drag:
            transfer(self.drag.sized(demand.brake_drag_m3_s_pa), tank, volume, dt_s)
        self.last_share = demand.brake
        self.rate_pa_s = (volume.pa_abs - before) / dt_s
        return vented

    def _fill(self, dt_s, tank, wanted_pa):
        """Like flow.transfer, but the valve closes when the brake side reaches `wanted_pa`."""
        volume = self.volume
        here = volume.pa_abs
        specific = tank.energy_j / tank.mass_kg
        inverse = 1.0 / tank.volume_m3 + 1.0 / volume.volume_m3
        moved = moved_mass(self.path, tank.pa_abs, here, specific, inverse, dt_s)
        moved = min(moved, (wanted_pa - here) * volume.volume_m3 / (GAMMA_GAMMA_1 * specific))
        tank.mass_kg -= moved
        tank.energy_j -= GAMMA * specific * moved
        volume.mass_kg += moved
        volume.energy_j += GAMMA * specific * moved

    def _release(self, dt_s, wanted_pa, outside_pa):
        """Like flow.vent, but the valve closes when the brake side has fallen to `wanted_pa`."""
        volume = self.volume
        here = volume.pa_abs
        specific = volume.energy_j / volume.mass_kg
        moved = moved_mass(self.path, here, outside_pa, specific, 1.0 / volume.volume_m3, dt_s)
        moved = min(moved, (here - wanted_pa) * volume.volume_m3 / (GAMMA_GAMMA_1 * specific))
        volume.mass_kg -= moved
        volume.energy_j -= GAMMA * specific * moved
        return moved
