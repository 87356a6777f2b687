"""An invented bench: an aircraft whose true flow, friction, volume and leak differ from its file, and what it reads.

The readings come from the plant at its own fine step, not from the closed forms and the coarse step of the fit.
"""

import random
from dataclasses import replace
from functools import cache

from host_sim.air.plant import Demand, Plant
from host_sim.aircraft import load_aircraft
from host_sim.budget.extension import SEA_K, down, extended, retracted, settle, simulated_lock_minimum_bar, tight, up
from host_sim.budget.factors import Factors
from host_sim.budget.measured import (
    Comparison,
    Drop,
    ExtensionTime,
    LeakDown,
    LockMinimum,
    Measured,
    Within,
)

from .shipped import AIRCRAFT_DIR

WITHIN = Within(pressure_bar=0.03, time_s=0.05, gauge_bar=0.08, air_k=0.5)
ERROR_BAR = 0.15


@cache
def curlew():
    """The shipped aircraft."""
    return load_aircraft(AIRCRAFT_DIR / "curlew24.yaml")


FILE_AIR = curlew().air
TRUTH = {"flow": 0.8, "friction": 1.3, "volume": 1.1}
TRUE_LEAK = 2.0 * FILE_AIR.leak_m3_s_pa
TRUE_AIR = Factors(**TRUTH, leak_m3_s_pa=TRUE_LEAK).applied(FILE_AIR)
TRUE_ZERO_BAR, TRUE_GAIN = 0.03, 0.985


@cache
def true_time_s(bar, share=0.0, air=TRUE_AIR):
    """Seconds to the last lock, to 1 ms."""
    plant = Plant(tight(air), bar * 1e5, gear_down=False)
    demand = down(air, share * air.design_q_pa)
    while not extended(plant):
        plant.advance(0.001, demand)
        assert plant.time_s < 20.0, f"the true gear does not lock from {bar} bar"
    return plant.time_s


@cache
def true_lock_minimum_bar(share, air=TRUE_AIR):
    """Least tank pressure that locks the true gear."""
    return simulated_lock_minimum_bar(air, share * air.design_q_pa, 0.002)


@cache
def true_drop_bar(stroke, bar, air=TRUE_AIR):
    """Drop of one stroke once the heat is back."""
    is_up = stroke == "retraction"
    plant = Plant(tight(air), bar * 1e5, gear_down=is_up)
    demand = up(air) if is_up else down(air)
    while not (retracted(plant) if is_up else extended(plant)):
        plant.advance(0.01, demand)
    return bar - settle(plant, demand, 240.0)


@cache
def true_leak_down_bar(bar, seconds, start_k, end_k, air=TRUE_AIR):
    """What is left of `bar` after `seconds` at rest with the gear down. The air around changes evenly and is steady for
    the last quarter: the tank follows it by some seconds."""
    plant = Plant(air, bar * 1e5, start_k)
    steps = 200
    for step in range(steps):
        ambient_k = start_k + (end_k - start_k) * min(1.0, (step + 1) / (0.75 * steps))
        plant.advance(seconds / steps, Demand(coil_down=1, valve_us=air.valve.servo_down_us, ambient_k=ambient_k))
    return plant.tank_pa_gauge / 1e5


class Bench:
    """Reads the true aircraft with instruments that are off by up to `within`, every error as likely; seeded."""

    def __init__(self, seed, within=WITHIN, air=TRUE_AIR):
        self.random, self.within, self.air = random.Random(seed), within, air

    def off(self, bound):
        """An error of up to +-bound."""
        return self.random.uniform(-bound, bound)

    def pressure(self, bar):
        """A pressure as read."""
        return bar + self.off(self.within.pressure_bar)

    def extension(self, bar, share=0.0):
        """ExtensionTime of one extension."""
        takes_s = true_time_s(bar, share, self.air) + self.off(self.within.time_s)
        return ExtensionTime(self.pressure(bar), takes_s, share)

    def drop(self, stroke, bar):
        """Drop of one stroke."""
        return Drop(stroke, self.pressure(bar), self.pressure(bar - true_drop_bar(stroke, bar, self.air)))

    def lock_minimum(self, share=1.0, within_bar=0.1):
        """LockMinimum against a share of the full air load."""
        return LockMinimum(true_lock_minimum_bar(share, self.air) + self.off(within_bar), share, within_bar)

    def leak_down(self, bar, seconds, start_k=SEA_K, end_k=SEA_K):
        """LeakDown over `seconds`."""
        to_bar = true_leak_down_bar(bar, seconds, start_k, end_k, self.air)
        off_k = self.within.air_k
        return LeakDown(
            self.pressure(bar), self.pressure(to_bar), seconds, start_k + self.off(off_k), end_k + self.off(off_k)
        )

    def comparison(self, bar):
        """Comparison at a true pressure; the controller's own reading has its zero and its gain."""
        reads_bar = TRUE_ZERO_BAR + TRUE_GAIN * bar
        return Comparison(reads_bar + self.random.gauss(0.0, 0.003), bar + self.off(self.within.gauge_bar))


def measured(**found):
    """Measured on the shipped aircraft."""
    return Measured(**{"air": FILE_AIR, "stated_error_bar": ERROR_BAR, "within": WITHIN, "file": "curlew", **found})


def whole_bench(seed, within=WITHIN):
    """A Measured that can tell everything: times at pressures far apart, drops, leak-downs at two temperatures, gauge."""
    bench = Bench(seed, within)
    return measured(
        extensions=tuple(bench.extension(bar) for bar in (7.0, 4.5, 3.0, 2.6)),
        drops=tuple(bench.drop(stroke, 7.0) for stroke in ("retraction", "extension") * 2),
        leak_down=(bench.leak_down(7.5, 900.0, 293.15, 291.15), bench.leak_down(7.5, 900.0, 281.15, 280.15)),
        zero_bar=TRUE_ZERO_BAR + bench.random.gauss(0.0, 0.003),
        gauge=tuple(bench.comparison(bar) for bar in (2.0, 4.5, 7.5)),
        within=within,
    )


def installed_with(found, **changed):
    """Installed of the shipped aircraft with a Measured."""
    return replace(curlew().installed, measured=found, **changed)
