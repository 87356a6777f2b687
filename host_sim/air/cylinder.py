"""One double-acting leg: two chambers, a piston with load, friction, an end stop each way and a lock at DOWN."""

from .flow import Path, circle_m2, hose_path, in_series
from .gas import GAMMA_1, Volume

# Heat through the walls of cylinders and hoses: natural convection inside, W/(m2 K); common practice, no source.
FILM_W_M2_K = 25.0
# No cylinder end is smaller than the port drilled into it; a volume of nothing has no pressure.
LEAST_DEAD_M3 = 1.0e-7


def hose_m3(hose):
    """Volume of a hose, m3."""
    return circle_m2(hose.bore_m) * hose.length_m


def hose_wall_m2(hose):
    """Inner surface of a hose, m2."""
    return 4.0 * hose_m3(hose) / hose.bore_m if hose.bore_m else 0.0


def areas_m2(leg):
    """(area that extends, area that retracts) of a Leg, m2."""
    full = circle_m2(leg.bore_m)
    annulus = full - circle_m2(leg.rod_m)
    return (annulus, full) if leg.extend_on_rod_side else (full, annulus)


def _path(hose, throttle_c, throttle_b):
    line = hose_path(hose.bore_m, hose.length_m)
    return in_series(line, Path(throttle_c, throttle_b)) if throttle_c else line


class LegState:
    """A leg in motion. `position_m` 0 (up) to `stroke_m` (down), `speed_m_s`, `locked`, and the two chambers."""

    __slots__ = (
        "stroke_m", "mass_kg", "coulomb_n", "viscous_kg_s", "lock_n", "lock_from_m", "area_extend", "area_retract",
        "load_up_n", "load_per_m", "air_load_per_m", "dead_extend", "dead_retract", "path_extend", "path_retract",
        "extend", "retract", "position_m", "speed_m_s", "locked",
    )  # fmt: skip

    def __init__(self, leg, down, extend_pa, retract_pa, temperature_k):
        self.stroke_m = leg.stroke_m
        self.mass_kg = leg.moving_mass_kg
        self.coulomb_n = leg.coulomb_n
        self.viscous_kg_s = leg.viscous_n_s_m
        self.lock_n = leg.lock_n
        self.lock_from_m = leg.lock_travel * leg.stroke_m
        self.area_extend, self.area_retract = areas_m2(leg)
        self.load_up_n = leg.load_up_n
        self.load_per_m = (leg.load_down_n - leg.load_up_n) / leg.stroke_m
        self.air_load_per_m = leg.air_load_n / leg.stroke_m
        self.dead_extend = max(leg.dead_extend_m3, LEAST_DEAD_M3)
        self.dead_retract = max(leg.dead_retract_m3, LEAST_DEAD_M3)
        self.path_extend = _path(leg.hose_extend, leg.throttle_extend_m3_s_pa, leg.throttle_critical_ratio)
        self.path_retract = _path(leg.hose_retract, leg.throttle_retract_m3_s_pa, leg.throttle_critical_ratio)
        self.position_m = leg.stroke_m if down else 0.0
        self.speed_m_s = 0.0
        self.locked = down
        wall = FILM_W_M2_K * 4.0 / leg.bore_m * circle_m2(leg.bore_m) * (leg.stroke_m / 2.0 + leg.bore_m / 2.0)
        extend_m3 = self.dead_extend + self.area_extend * self.position_m
        retract_m3 = self.dead_retract + self.area_retract * (self.stroke_m - self.position_m)
        self.extend = Volume(extend_m3, extend_pa, temperature_k, wall)
        self.retract = Volume(retract_m3, retract_pa, temperature_k, wall)

    @property
    def travel(self):
        """0 up .. 1 down."""
        return self.position_m / self.stroke_m

    def drive_n(self, outside_pa, q_share):
        """Force that extends: pressures less the load, without friction and lock, N. q_share is q / design q."""
        return self.pressure_n(outside_pa) - (
            self.load_up_n + (self.load_per_m + self.air_load_per_m * q_share) * self.position_m
        )

    def pressure_n(self, outside_pa):
        """Force that extends, of the pressures alone: pA A_extend - pB A_retract - pa (A_extend - A_retract), N."""
        extend = self.extend
        retract = self.retract
        return (GAMMA_1 * extend.energy_j / extend.volume_m3 - outside_pa) * self.area_extend - (
            GAMMA_1 * retract.energy_j / retract.volume_m3 - outside_pa
        ) * self.area_retract

    def at_rest(self, outside_pa, q_share, jam_m):
        """Whether the leg stands still and will stay so with the present pressures."""
        if self.locked:
            return self.pressure_n(outside_pa) >= -self.lock_n
        if self.speed_m_s != 0.0:
            return False
        if self.position_m == jam_m:
            return True
        force = self.drive_n(outside_pa, q_share)
        if force >= 0.0:
            if self.position_m == self.stroke_m:
                return force < self.lock_n
            holds = self.coulomb_n + (self.lock_n if self.position_m >= self.lock_from_m else 0.0)
            return force <= holds
        return self.position_m == 0.0 or -force <= self.coulomb_n

    def move(self, dt_s, outside_pa, q_share, jam_m):
        """Advance the piston by dt. `jam_m`: position that it cannot pass or leave, -1 for none."""
        if self.locked:
            # The lock holds any load mechanically; only the pressure on the retract side pulls it out.
            if self.pressure_n(outside_pa) >= -self.lock_n:
                return
            self.locked = False
        position = self.position_m
        if position == jam_m:
            self.speed_m_s = 0.0
            return
        force = self.drive_n(outside_pa, q_share)
        per_kg = dt_s / self.mass_kg
        speed = self.speed_m_s + force * per_kg
        # Dry friction first, then the viscous divisor: the other order would divide the dry friction's share too.
        if speed > 0.0:
            dry = self.coulomb_n + (self.lock_n if position >= self.lock_from_m else 0.0)
            speed -= dry * per_kg
            speed = speed / (1.0 + self.viscous_kg_s * per_kg) if speed > 0.0 else 0.0
        else:
            speed += self.coulomb_n * per_kg
            speed = speed / (1.0 + self.viscous_kg_s * per_kg) if speed < 0.0 else 0.0
        self._go_to(position + speed * dt_s, speed, jam_m)
        if self.position_m == self.stroke_m and self.drive_n(outside_pa, q_share) >= self.lock_n:
            self.locked = True

    def _go_to(self, wanted_m, speed, jam_m):
        """Take the new position, no further than a stop or a jam, and squeeze or stretch both chambers with it."""
        position = self.position_m
        if wanted_m >= self.stroke_m:
            wanted_m = self.stroke_m
            speed = 0.0
        elif wanted_m <= 0.0:
            wanted_m = 0.0
            speed = 0.0
        if jam_m >= 0.0 and (position - jam_m) * (wanted_m - jam_m) <= 0.0:
            wanted_m = jam_m
            speed = 0.0
        self.speed_m_s = speed
        if wanted_m != position:
            self.position_m = wanted_m
            self.extend.resize(self.dead_extend + self.area_extend * wanted_m)
            self.retract.resize(self.dead_retract + self.area_retract * (self.stroke_m - wanted_m))
