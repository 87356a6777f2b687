"""The plant: tank, gear valve, hoses, legs and brakes of one aircraft, advanced in time under a Demand.

Each advance takes 1 ms steps while a leg travels or a line fills or vents, and one step of up to 20 ms at rest.
Air goes from volume to volume one path at a time, so each transfer sees what the one before it left.
"""

from math import ceil

from .atmosphere import ambient_pa
from .cylinder import FILM_W_M2_K, LegState, hose_m3, hose_wall_m2
from .demand import ALL_LEGS, Demand
from .flow import Path, transfer, vent
from .gas import ANR_K, ANR_KG_M3, GAMMA_1, R_J_KG_K, Volume
from .tank import BrakeCircuit, Hole, charge
from .valve import DOWN, UP, GearValve

__all__ = ["DOWN", "UP", "ALL_LEGS", "Demand", "Plant"]

FINE_STEP_S = 0.001
REST_STEP_S = 0.02
# Lines count as settled within 5 mbar: what is left moves the tank by far less than one code of a 12-bit sensor.
SETTLED_PA = 500.0
# At rest the lines only follow the tank's slow drift: they are looked at, and advanced, at this interval.
LINES_EVERY_S = 0.1
# A hole that takes more than this share of the tank in one rest step needs fine steps.
REST_SHARE = 1e-3
# ... unless what drives the air is nearly spent.
EMPTY_RATIO = 1.01


class Plant:
    """The air side of one aircraft. Pressures at the door: `_pa_abs` absolute, `_pa_gauge` against ambient now.

    `tank_pa_gauge` is the start pressure. With `gear_down` the legs start down and locked with the extend side
    pressurised, else up with the retract side pressurised: nothing but pressure holds them up.
    ValueError when the tank has no volume, there is no leg, or the start pressure is negative.
    """

    def __init__(self, air, tank_pa_gauge, ambient_k=288.15, altitude_m=0.0, gear_down=True, step_s=FINE_STEP_S):
        if air.tank_m3 <= 0.0 or not air.legs or tank_pa_gauge < 0.0:
            raise ValueError(f"plant: needs a tank, a leg and a gauge pressure of at least 0, got {tank_pa_gauge} Pa")
        self.air = air
        self.step_s = step_s
        self.time_s = 0.0
        self.altitude_m = altitude_m
        self.ambient_pa_abs = ambient_pa(altitude_m)
        start_pa = self.ambient_pa_abs + tank_pa_gauge
        self.gear_valve = GearValve(air.valve, DOWN if gear_down else UP)
        extend_pa, retract_pa = (start_pa, self.ambient_pa_abs) if gear_down else (self.ambient_pa_abs, start_pa)
        self.tank = Volume(air.tank_m3, start_pa, ambient_k, air.wall_w_k)
        self.legs = [LegState(leg, gear_down, extend_pa, retract_pa, ambient_k) for leg in air.legs]
        self.extend_line = _line([leg.hose_extend for leg in air.legs], air.valve, extend_pa, ambient_k)
        self.retract_line = _line([leg.hose_retract for leg in air.legs], air.valve, retract_pa, ambient_k)
        self.brake = BrakeCircuit(air.brake, self.ambient_pa_abs, ambient_k) if air.brake else None
        self._line_volumes = [self.extend_line, self.retract_line]
        for leg in self.legs:
            self._line_volumes += [leg.extend, leg.retract]
        self.volumes = [self.tank, *self._line_volumes] + ([self.brake.volume] if self.brake else [])
        self._valve_path = Path(air.valve.sonic_conductance_m3_s_pa, air.valve.critical_ratio)
        self._leak, self._burst, self._filler, self._torn = Hole(), Hole(), Hole(), Hole()
        self._big_hole = REST_SHARE * air.tank_m3 / (ANR_KG_M3 * R_J_KG_K * ANR_K * REST_STEP_S)
        self.start_kg = sum(volume.mass_kg for volume in self.volumes)
        self.vented_kg = 0.0
        self.charged_kg = 0.0
        self.moving = False
        self._waited_s = 0.0

    @property
    def tank_pa_abs(self):
        """Tank pressure, Pa absolute."""
        return GAMMA_1 * self.tank.energy_j / self.tank.volume_m3

    @property
    def tank_pa_gauge(self):
        """Tank pressure against the ambient pressure of now, Pa gauge."""
        return self.tank_pa_abs - self.ambient_pa_abs

    @property
    def travel(self):
        """Travel of each leg, 0 up .. 1 down."""
        return [leg.position_m / leg.stroke_m for leg in self.legs]

    @property
    def gear_travel(self):
        """Travel of the leg that is least extended."""
        return min(self.travel)

    @property
    def leg_locked(self):
        """Whether each leg is locked down."""
        return [leg.locked for leg in self.legs]

    @property
    def valve_at(self):
        """Where the gear valve really is: DOWN or UP."""
        return self.gear_valve.at

    @property
    def brake_pa_gauge(self):
        """Brake pressure, Pa gauge; 0 without brakes."""
        return self.brake.volume.pa_abs - self.ambient_pa_abs if self.brake else 0.0

    @property
    def mass_balance_error(self):
        """Air that appeared or vanished since the start, as a share of what was there or came in."""
        now = sum(volume.mass_kg for volume in self.volumes) + self.vented_kg
        before = self.start_kg + self.charged_kg
        return abs(now - before) / before

    def advance(self, dt_s, demand):
        """Advance by dt_s under `demand`, which may differ from call to call. ValueError for a negative dt_s."""
        if dt_s < 0.0:
            raise ValueError(f"advance: {dt_s} s: must not be negative")
        if dt_s == 0.0:
            return
        if demand.altitude_m != self.altitude_m:
            self.altitude_m = demand.altitude_m
            self.ambient_pa_abs = ambient_pa(demand.altitude_m)
        self.time_s += dt_s
        lines_due = self.moving or self._waited_s + dt_s >= LINES_EVERY_S
        self.moving = not (self._tank_settled(demand) and (not lines_due or self._lines_settled(demand)))
        steps = max(1, ceil(dt_s / (self.step_s if self.moving else REST_STEP_S) - 1e-9))
        dt_s /= steps
        if self.moving and self._waited_s > 0.0:
            self._step_lines(self._waited_s, demand, False)
            self._waited_s = 0.0
        for _ in range(steps):
            self.gear_valve.step(dt_s, demand)
            if self.moving:
                self._step_lines(dt_s, demand, True)
            else:
                self._waited_s += dt_s
            self._step_tank(dt_s, demand)
        if lines_due and not self.moving:
            self._step_lines(self._waited_s, demand, False)
            self._waited_s = 0.0

    def _tank_settled(self, demand):
        """Whether tank, brakes and valve are as well off with one long step as with many short ones."""
        big, tank_pa = self._big_hole, self.tank_pa_abs
        if demand.burst_m3_s_pa > big and tank_pa > self.ambient_pa_abs * EMPTY_RATIO:
            return False
        if demand.charge_m3_s_pa > big and demand.charge_pa_abs > tank_pa * EMPTY_RATIO:
            return False
        if self.gear_valve.wanted(demand) != self.gear_valve.at:
            return False
        if demand.line_burst_leg >= 0 and (demand.line_burst_side == "extend") == (self.gear_valve.at == DOWN):
            return False
        return not self.brake or self.brake.settled(demand)

    def _lines_settled(self, demand):
        """The same for lines and legs: nothing travels, fills or vents, or is about to."""
        outside = self.ambient_pa_abs
        fed, emptied = self._lines()
        if abs(fed.pa_abs - self.tank_pa_abs) > SETTLED_PA or abs(emptied.pa_abs - outside) > SETTLED_PA:
            return False
        extend_pa, retract_pa = self.extend_line.pa_abs, self.retract_line.pa_abs
        q_share = demand.airspeed_q_pa / self.air.design_q_pa
        for index, leg in enumerate(self.legs):
            if not leg.at_rest(outside, q_share, self._jam_m(index, demand)):
                return False
            if abs(leg.extend.pa_abs - extend_pa) > SETTLED_PA or abs(leg.retract.pa_abs - retract_pa) > SETTLED_PA:
                return False
        return True

    def _lines(self):
        """(the line that the valve feeds, the one that it empties)."""
        if self.gear_valve.at == DOWN:
            return self.extend_line, self.retract_line
        return self.retract_line, self.extend_line

    def _jam_m(self, index, demand):
        if demand.jam_leg == index or demand.jam_leg == ALL_LEGS:
            return demand.jam_travel * self.legs[index].stroke_m
        return -1.0

    def _step_lines(self, dt_s, demand, free):
        """Lines and chambers; the legs move only if `free`: a leg at rest is not to be moved by a long step."""
        outside = self.ambient_pa_abs
        outside_k = demand.ambient_k
        fed, emptied = self._lines()
        transfer(self._valve_path, self.tank, fed, dt_s)
        vented = vent(self._valve_path, emptied, outside, outside_k, dt_s)
        self.vented_kg += vented + self._step_legs(dt_s, demand, free)
        for volume in self._line_volumes:
            volume.take_wall_heat(dt_s, outside_k)

    def _step_tank(self, dt_s, demand):
        """Tank, holes and brakes."""
        outside = self.ambient_pa_abs
        outside_k = demand.ambient_k
        self.vented_kg += self._step_holes(dt_s, demand, outside, outside_k)
        if self.brake:
            self.vented_kg += self.brake.step(dt_s, self.tank, demand, outside)
            self.brake.volume.take_wall_heat(dt_s, outside_k)
        self.tank.take_wall_heat(dt_s, outside_k)

    def _step_legs(self, dt_s, demand, free):
        """Air to and from each leg, and its motion; returns the mass that a torn hose lost, kg."""
        vented = 0.0
        outside = self.ambient_pa_abs
        extend_line, retract_line = self.extend_line, self.retract_line
        q_share = demand.airspeed_q_pa / self.air.design_q_pa
        torn = demand.line_burst_leg
        for index, leg in enumerate(self.legs):
            if index == torn:
                vented += self._step_torn(leg, dt_s, demand)
            else:
                transfer(leg.path_extend, extend_line, leg.extend, dt_s)
                transfer(leg.path_retract, retract_line, leg.retract, dt_s)
            if free:
                leg.move(dt_s, outside, q_share, self._jam_m(index, demand))
        return vented

    def _step_torn(self, leg, dt_s, demand):
        """A hose torn in two: the valve's end blows off through the tear, the leg's end is open to the air."""
        outside, outside_k = self.ambient_pa_abs, demand.ambient_k
        tear = self._torn.sized(demand.line_burst_m3_s_pa)
        if demand.line_burst_side == "extend":
            vented = vent(tear, self.extend_line, outside, outside_k, dt_s)
            vented += vent(leg.path_extend, leg.extend, outside, outside_k, dt_s)
            transfer(leg.path_retract, self.retract_line, leg.retract, dt_s)
        else:
            vented = vent(tear, self.retract_line, outside, outside_k, dt_s)
            vented += vent(leg.path_retract, leg.retract, outside, outside_k, dt_s)
            transfer(leg.path_extend, self.extend_line, leg.extend, dt_s)
        return vented

    def _step_holes(self, dt_s, demand, outside, outside_k):
        """Leak, burst at the feed and filling hose; returns the mass lost, kg."""
        vented = 0.0
        leak = self.air.leak_m3_s_pa * demand.leak_scale
        if leak > 0.0:
            vented += vent(self._leak.sized(leak), self.tank, outside, outside_k, dt_s)
        if demand.burst_m3_s_pa > 0.0:
            vented += vent(self._burst.sized(demand.burst_m3_s_pa), self.tank, outside, outside_k, dt_s)
        if demand.charge_m3_s_pa > 0.0:
            hose = self._filler.sized(demand.charge_m3_s_pa)
            self.charged_kg += charge(hose, self.tank, demand.charge_pa_abs, outside_k, dt_s)
        return vented


def _line(hoses, valve, pa_abs, temperature_k):
    """The hoses of one side of all legs and the valve's port, as one volume at the valve."""
    wall = FILM_W_M2_K * sum(hose_wall_m2(hose) for hose in hoses)
    return Volume(valve.port_m3 + sum(hose_m3(hose) for hose in hoses), pa_abs, temperature_k, wall)
