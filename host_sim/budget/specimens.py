"""One specimen of an aircraft: parts and sensors as far from the file as parts of a kind may be (table in days.py).

Where measurements gave a value with its interval, that interval is drawn from, uniformly, in place of the table's row.
A measured lock minimum holds for the specimen too: its loads are scaled together until it locks, by the closed form, from
a tank pressure that the bench's uncertainty allows. What was not applied on the bench, the air load, stays as drawn.
"""

from dataclasses import replace
from math import exp

from .bench_rows import lock_minimum_bar
from .factors import Factors
from .fitted import DM3_S_BAR, WORDS

# Noise and converter take this much of a sensor's stated error besides its noise: about 3 mbar a code, and the rail's.
CONVERTER_MBAR = 8
CUT = 3.0
# What fitted.py calls the values that are drawn here.
FLOW, FRICTION, VOLUME = WORDS["flow"], WORDS["friction"], WORDS["volume"]
LEAK, ZERO, GAIN = "leak", "zero of the reading", "gain of the reading"
# A reading of the sensors is drawn between this share of the lock minimum, below every curve point, and the fill.
LOW_SHARE = 0.6
LOADS_BETWEEN = (0.1, 10.0)


class Draws:
    """Random numbers of the table's kinds, from a random.Random."""

    def __init__(self, source, fitted=()):
        self.random = source
        self._fitted = {value.name: value for value in fitted}

    def between(self, low, high):
        """Uniform."""
        return self.random.uniform(low, high)

    def spread(self, share):
        """Log-normal factor about 1, cut at three standard deviations."""
        return exp(share * max(-CUT, min(CUT, self.random.gauss(0.0, 1.0))))

    def measured(self, name):
        """A value within its measured interval, None where it was not measured."""
        value = self._fitted.get(name)
        return None if value is None else self.random.uniform(value.low, value.high)

    def value(self, name):
        """The measured value itself, which the calibrated air system has; None where it was not measured."""
        value = self._fitted.get(name)
        return None if value is None else value.value

    def measured_factor(self, name):
        """A value within its measured interval over the measured value, at least a tenth; None where not measured."""
        drawn = self.measured(name)
        return None if drawn is None else max(0.1, drawn / self.value(name))


def draw_air(draws, air, lock=None):
    """AirSystem of a specimen of the calibrated `air`; `lock` a measured.LockMinimum, None where none was measured."""
    all_legs = draws.between(0.9, 1.1)
    flow, friction = draws.measured_factor(FLOW), draws.measured_factor(FRICTION)
    legs = tuple(_leg(draws, leg, all_legs, flow, friction) for leg in air.legs)
    valve = replace(
        air.valve,
        sonic_conductance_m3_s_pa=air.valve.sonic_conductance_m3_s_pa * (flow or draws.spread(0.12)),
        switch_s=air.valve.switch_s * draws.between(0.8, 1.3),
        port_m3=air.valve.port_m3 * draws.between(0.8, 1.25),
    )
    drawn = replace(
        air,
        legs=legs,
        valve=valve,
        brake=_brake(draws, air.brake),
        tank_m3=air.tank_m3 * draws.between(0.97, 1.03),
        wall_w_k=air.wall_w_k * draws.between(0.7, 1.3),
        leak_m3_s_pa=_leak(draws, air.leak_m3_s_pa),
    )
    volume = draws.measured_factor(VOLUME)
    if volume is not None:
        drawn = Factors(volume=volume).applied(drawn)
    return drawn if lock is None else _locking_as_measured(draws, drawn, lock)


def _locking_as_measured(draws, air, lock):
    wanted_bar = lock.tank_bar + draws.between(-lock.within_bar, lock.within_bar)
    low, high = LOADS_BETWEEN
    for _ in range(40):
        middle = (low * high) ** 0.5
        if lock_minimum_bar(_loaded(air, middle, lock.load_share > 0.0), lock.load_share) < wanted_bar:
            low = middle
        else:
            high = middle
    return _loaded(air, high, lock.load_share > 0.0)


def _loaded(air, factor, with_air):
    """AirSystem with all that a leg works against multiplied, but its friction, and the air load only `with_air`."""
    legs = tuple(
        replace(
            leg,
            load_up_n=factor * leg.load_up_n,
            load_down_n=factor * leg.load_down_n,
            lock_n=factor * leg.lock_n,
            air_load_n=(factor if with_air else 1.0) * leg.air_load_n,
        )
        for leg in air.legs
    )
    return replace(air, legs=legs)


def _leg(draws, leg, air_load, flow, friction):
    return replace(
        leg,
        coulomb_n=leg.coulomb_n * (friction or draws.spread(0.25)),
        viscous_n_s_m=leg.viscous_n_s_m * draws.between(0.8, 1.25),
        load_up_n=leg.load_up_n * draws.between(0.85, 1.15),
        load_down_n=leg.load_down_n * draws.between(0.85, 1.15),
        air_load_n=leg.air_load_n * air_load * draws.between(0.95, 1.05),
        lock_n=leg.lock_n * draws.spread(0.15),
        moving_mass_kg=leg.moving_mass_kg * draws.between(0.9, 1.1),
        hose_extend=replace(leg.hose_extend, length_m=leg.hose_extend.length_m * draws.between(0.95, 1.05)),
        hose_retract=replace(leg.hose_retract, length_m=leg.hose_retract.length_m * draws.between(0.95, 1.05)),
        dead_extend_m3=leg.dead_extend_m3 * draws.between(0.8, 1.25),
        dead_retract_m3=leg.dead_retract_m3 * draws.between(0.8, 1.25),
        throttle_extend_m3_s_pa=leg.throttle_extend_m3_s_pa * (flow or draws.spread(0.12)),
        throttle_retract_m3_s_pa=leg.throttle_retract_m3_s_pa * (flow or draws.spread(0.12)),
    )


def _brake(draws, brake):
    volume, flow = draws.between(0.8, 1.25), draws.spread(0.12)
    return brake and replace(
        brake,
        volume_m3=brake.volume_m3 * volume,
        sonic_conductance_m3_s_pa=brake.sonic_conductance_m3_s_pa * flow,
    )


def _leak(draws, leak_m3_s_pa):
    measured, value = draws.measured(LEAK), draws.value(LEAK)
    if measured is None:
        return leak_m3_s_pa * draws.spread(0.7)
    # The air system may leak more than was measured: at one temperature only, less than the file's is not believed.
    return max(0.0, leak_m3_s_pa + (measured - value) / DM3_S_BAR)


def draw_sensors(draws, aircraft, stated_bar, lock_min_bar):
    """(SensorSpec of each sensor, RailSpec): no reading between the two ends is wrong by more than stated."""
    s, rail, sensors = aircraft.settings, aircraft.rail, aircraft.sensors
    budget_bar = max(0.0, stated_bar - (s.sensor_noise_mbar + CONVERTER_MBAR) / 1000.0)
    low_bar, high_bar = LOW_SHARE * lock_min_bar, aircraft.fill_bar
    rail_share = aircraft.installed.accuracy.rail
    if not s.rail_fitted:
        # A rail that nobody measures scales the codes: the pressure, and with it the zero's own voltage.
        slope = (sensors[0].full_fraction - sensors[0].zero_fraction) / sensors[0].span_bar
        scaled_bar = high_bar + sensors[0].zero_fraction / slope
        rail_share = min(rail_share, budget_bar / scaled_bar)
        budget_bar -= rail_share * scaled_bar
    rail = replace(rail, error_v=rail.nominal_v * rail_share * draws.between(-1.0, 1.0))
    drawn = [_sensor(draws, spec, budget_bar, low_bar, high_bar) for spec in sensors]
    # What was compared with a gauge is the first sensor.
    drawn[0] = _measured_sensor(draws, drawn[0])
    return tuple(drawn), rail


def _sensor(draws, spec, budget_bar, low_bar, high_bar):
    at_low, at_high = draws.between(-budget_bar, budget_bar), draws.between(-budget_bar, budget_bar)
    gain = (at_high - at_low) / (high_bar - low_bar)
    return replace(spec, zero_error_mbar=1000.0 * (at_low - gain * low_bar), gain_error=gain)


def _measured_sensor(draws, spec):
    zero_bar, gain = draws.measured(ZERO), draws.measured(GAIN)
    if gain is not None:
        spec = replace(spec, gain_error=gain - 1.0)
    return spec if zero_bar is None else replace(spec, zero_error_mbar=1000.0 * zero_bar)
