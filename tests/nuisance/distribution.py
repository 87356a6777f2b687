"""From a seed to a flight: what is drawn, from what, and how far it may go.

The distribution is this project's own invention, chosen to be worse than a flying day, with no source. Each flight is
drawn from its seed alone. Its stratum, seed modulo the number of STRATA, says which rare corner is put into it on
purpose; everything else is added by chance on top, so corners also meet.

| what | distribution |
|---|---|
| aircraft, receiver, sensors | each of 2 x 4 x 2 installations alike |
| sensor error | a straight line between two uniform draws within the stated error less the noise; 30 % at an end of it |
| sensor noise | normal with the stated peak at three deviations; one in four at +- the peak, from sample to sample or slowly |
| fill | the retraction limit plus what the cycles cost, plus 0.01-0.1 bar (30 %) or exponential, mean 0.5 bar |
| cycles | 1-3 with UP for 7-14 s and DOWN for 5-9 s |
| dropouts | 0-4, uniform up to the limit of SR-06 (half), the last 0.1 s of it (a quarter), short (a quarter) |
| interference | none (half), or 1-20 % of the frames of a channel in runs shorter than `switch_frames` |
| brakes | 0-3 taps of 0.1-0.8 s and 20-100 %; one at most in an up stroke, as SR-04 (b) allows |
| surroundings | 253-313 K, 0-1,500 m; a ramp of up to 15 K and a climb of up to 600 m in 15-30 s (30 %) |
| supply | a source that stays 50 mV above the forcing point under load (20 %); dips shorter than `supply_confirm` (30 %) |
| sensor gaps | no reading for up to `sensor_confirm` less two ticks and two samples (20 %) |
| ticks | late by up to 85 ms, 94 ms on the fastest clock here, 2 s apart (15 %); a clock off by up to 10 % (20 %) |

Pilots hold UP back in a bad spot: no dropout lies from 1.2 s before a move to UP until its run is over.
"""

import random

from .airframes import FILES, RECEIVERS, Installation, error_budget_bar, plain
from .drawing import Electrics, Radio
from .plan import (
    DROPOUTS,
    NOISES,
    STRATA,
    STROKE_S,
    Plan,
    retraction_bar,
)


def draw(seed):
    """The Plan of a seed, an int from 0 on."""
    return _Drawer(seed).plan


class _Drawer(Radio, Electrics):
    """Fills one Plan. Every method draws one row of the table above."""

    def __init__(self, seed):
        self.random = random.Random(f"nuisance/{seed}")
        self.stratum = STRATA[seed % len(STRATA)]
        self.plan = Plan(seed, self.stratum, self._installation())
        self.settings = self.plan.aircraft.settings
        self._noise()
        self._moves()
        self._fill()
        self._glitches()
        self._outages()
        self._taps()
        self._surroundings()
        self._supply()
        self._gaps()
        self._ticks()

    def is_in(self, *strata):
        return self.stratum in strata

    def chance(self, share):
        return self.random.random() < share

    def uniform(self, low, high):
        """Rounded to 10 ms, 10 mV, 10 mbar."""
        return round(self.random.uniform(low, high), 2)

    def _installation(self):
        file, receiver = self.random.choice(FILES), self.random.choice(RECEIVERS)
        if self.is_in(*DROPOUTS):
            receiver = self.random.choice(RECEIVERS[:3])
        if self.is_in("two dropouts close together"):
            # A receiver whose own delay is longer than `link_recover` never shows two as one.
            file = FILES[0]
        n = 2 if self.is_in("sensors at opposite ends") else self.random.choice((1, 2))
        budget = error_budget_bar(plain(file, receiver, n))
        if self.is_in("sensors at opposite ends"):
            errors = [(-budget, -budget), (budget, budget)]
            self.random.shuffle(errors)
            return Installation(file, receiver, tuple(errors))
        if self.is_in("reads low near the floor", "reads low at the permit"):
            return Installation(file, receiver, ((-budget, -budget),) * n)
        return Installation(file, receiver, tuple(self._error(budget) for _ in range(n)))

    def _error(self, budget):
        if self.chance(0.3):
            end = self.random.choice((-budget, budget))
            return (end, end)
        return (self.random.uniform(-budget, budget), self.random.uniform(-budget, budget))

    def _noise(self):
        if self.is_in("noise at its peak"):
            self.plan.noise = "peak"
        elif self.is_in("slow noise at its peak", "sensors at opposite ends"):
            self.plan.noise = "slow peak"
        else:
            self.plan.noise = self.random.choices(NOISES, (75, 12, 13))[0]

    def _moves(self):
        plan = self.plan
        plan.airborne_s = self.uniform(5.0, 7.5)
        t_s = plan.airborne_s + self.uniform(1.5, 2.5)
        one = self.is_in("reads low near the floor", "reads low at the permit", "cold climb", "ambient ramp")
        for _ in range(1 if one else self.random.choices((1, 2, 3), (30, 45, 25))[0]):
            up_s = self.uniform(24.0, 34.0) if one else self.uniform(7.0, 14.0)
            down_s = self.uniform(5.0, 9.0)
            plan.moves += [(round(t_s, 2), True), (round(t_s + up_s, 2), False)]
            t_s += up_s + down_s
        plan.duration_s = round(t_s, 2)

    def _fill(self):
        plan, s = self.plan, self.settings
        cost = retraction_bar(plan.aircraft)
        extension = cost * (s.extend_swept_ul + s.extend_dead_ul) / (s.retract_swept_ul + s.retract_dead_ul)
        least = (s.retract_above_mbar + s.sensor_error_mbar) / 1000.0
        cycles = len(plan.moves) // 2
        tight = self.is_in("reads low near the floor", "reads low at the permit") or self.chance(0.3)
        spare = self.uniform(0.01, 0.1) if tight else round(self.random.expovariate(2.0), 2)
        plan.fill_bar = min(round(least + spare + (cycles - 1) * (cost + extension), 2), s.fill_mbar / 1000.0 + 0.2)
        if self.is_in("reads low near the floor"):
            self._leak_to_the_floor(plan.fill_bar - cost)

    def _leak_to_the_floor(self, from_bar):
        """A leak too slow for SR-04 that ends with the tank 10 to 120 mbar above the floor, by estimate."""
        plan, s = self.plan, self.settings
        to_bar = (s.force_below_mbar + s.sensor_error_mbar) / 1000.0 + self.uniform(0.01, 0.12)
        # dp/dt = C p_abs (T0/T -> 1, walls warm the air): C in dm3/(s bar), 0.1564 dm3/(s bar) a mm2 of hole diameter.
        hole_mm = self.uniform(0.14, 0.19) * (plan.aircraft.air.tank_m3 / 0.75e-3) ** 0.5
        rate = 0.1564 * hole_mm**2 * (0.5 * (from_bar + to_bar) + 1.0) / (1000.0 * plan.aircraft.air.tank_m3)
        begin_s = plan.moves[0][0] + STROKE_S + 1.0
        until_s = min(begin_s + (from_bar - to_bar) / rate, plan.moves[1][0] - 1.0)
        plan.leak = (begin_s, round(until_s, 2), round(hole_mm, 3))

    def _taps(self):
        plan = self.plan
        up_s, _ = self.random.choice(plan.ups())
        if self.is_in("tap before the up stroke"):
            self._add_tap(up_s - self.uniform(0.1, 0.7))
        elif self.is_in("tap in the up stroke"):
            self._add_tap(up_s + self.uniform(0.05, 1.5))
        elif self.is_in("tap after the up stroke"):
            self._add_tap(up_s + STROKE_S + self.uniform(0.0, 0.8))
        for _ in range(self.random.choice((0, 1, 2, 3))):
            self._add_tap(self.uniform(1.0, plan.duration_s - 3.0))

    def _add_tap(self, on_s):
        plan = self.plan
        on_s = round(on_s, 2)
        off_s = round(on_s + self.uniform(0.1, 0.8), 2)
        for up_s, _ in plan.ups():
            in_stroke = up_s - 1.0 < on_s < up_s + STROKE_S + 0.6
            if in_stroke and any(up_s - 1.0 < tap[0] < up_s + STROKE_S + 0.6 for tap in plan.taps):
                return
        if any(on_s < tap[1] + 0.5 and off_s > tap[0] - 0.5 for tap in plan.taps):
            return
        plan.taps.append((on_s, off_s, self.uniform(0.2, 1.0)))
        plan.taps.sort()

    def _surroundings(self):
        plan = self.plan
        plan.altitude_m = self.uniform(0.0, 1500.0)
        plan.ambient_k = self.uniform(263.0, 308.0)
        up_s, down_s = plan.ups()[0]
        metres, kelvin = self.uniform(0.0, 600.0), self.uniform(-10.0, 5.0)
        if self.is_in("cold climb"):
            metres, kelvin = self.uniform(300.0, 600.0), -self.uniform(8.0, 10.0)
        elif self.is_in("ambient ramp"):
            metres, kelvin = 0.0, self.random.choice((-1.0, 1.0)) * self.uniform(8.0, 10.0)
        elif not self.chance(0.3):
            return
        begin_s = up_s + self.uniform(0.5, 4.0)
        end_s = min(begin_s + self.uniform(15.0, 30.0), plan.duration_s)
        plan.climb = (round(begin_s, 2), round(end_s, 2), metres, kelvin)
