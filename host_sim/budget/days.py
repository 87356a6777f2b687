"""Random aircraft and random days around an advice: what is drawn, from what, and how far it may go.

Day i of a seed is drawn from random.Random(f"{seed}/{i}") alone, so it is the same day on any number of processes. The
distribution is invented, from memory; common practice, no source. It says how far parts of a kind may lie from what an
aircraft file says of them, not how far yours do. "times 0.8 to 1.25" is uniform; "spread 25 %" is log-normal with that
standard deviation, cut at three of them. Where measurements gave an interval, it is drawn from, uniformly, instead; where
they gave a lock minimum, the specimen has it (specimens.py).

| what | distribution |
|---|---|
| dry friction, each leg | spread 25 % |
| damping, each leg | times 0.8 to 1.25 |
| load without air, each leg and end | times 0.85 to 1.15 |
| air load | times 0.9 to 1.1 for all legs together, times 0.95 to 1.05 for each |
| lock force, each leg | spread 15 % |
| moving mass, each leg | times 0.9 to 1.1 |
| hose lengths | times 0.95 to 1.05 |
| dead volumes of cylinders and valve | times 0.8 to 1.25 |
| conductance of flow controls, valve, brakes | spread 12 % |
| switching time of the valve | times 0.8 to 1.3 |
| tank volume | times 0.97 to 1.03 |
| brake volume | times 0.8 to 1.25 |
| heat through the tank's wall | times 0.7 to 1.3 |
| leak of the sound aircraft | spread 70 % |
| sensor, each | a straight line between two uniform draws within the stated error less noise and converter |
| rail | uniform within its stated error; where it is not measured its share is taken from the sensor's |
| air temperature | uniform from coldest to warmest; the tank cools by 0 to `cooling` until the extension |
| field | 0 to 600 m; the retraction 0 to `descent` above it |
| fill | times 0.94 to 1.01 |
| cycles | 1 to `cycles`; each but the last is settled, leaks for its time and ends with braking |
| brakes on such a landing | 0 to `brake_applications` at 30 to 100 % |
| not filled up | one day in four: the last retraction begins anywhere from the permit to what the fill has left |
| gear up for | times 0.2 to 1 of `up_for` |
| brake taps with the gear up | none (2 in 5), one (2 in 5) or two of 0.2 to 1 s and 20 to 100 % |
| airspeed at the extension | times 0.6 to 1 of the highest speed at which the gear may be forced |
| slow leak of the failing day | log-uniform from one that needs the whole of `up_for` to take the tank from the permit to the forcing point, to the fastest that is no burst |
"""

import random
from dataclasses import dataclass
from math import exp, log

from ..air.atmosphere import ambient_pa
from ..air.gas import ANR_K, ANR_KG_M3, R_J_KG_K
from ..air.sizing import Side, extend_side, retract_side
from ..air.spec import AirSystem
from ..devices import RailSpec, SensorSpec
from .specimens import Draws, draw_air, draw_sensors
from .strokes import settled_after
from .terms import leak_share

FIELD_M = 600.0
NOT_FILLED = 0.25


@dataclass(frozen=True)
class Day:
    """One specimen of an aircraft and one day. Pressures bar gauge.

    `begin_bar` in the tank as the last retraction begins, `climb_m` above a field at `field_m`, in air of `ambient_k`;
    the tank cools by `cooling_k` until the extension. `taps` (seconds, level 0..1) of the brakes with the gear up.
    `code_scale` by which a rail that nobody measures scales the sensors' codes, 1 where it is measured;
    `leak_bar_s` of the failing day's leak at the advised forcing point; `leak_m3_s_pa` is its conductance.
    """

    number: int
    noise_seed: int
    air: AirSystem
    sensors: tuple[SensorSpec, ...]
    rail: RailSpec
    code_scale: float
    cycles: int
    filled_up: bool
    begin_bar: float
    ambient_k: float
    cooling_k: float
    field_m: float
    climb_m: float
    up_for_s: float
    taps: tuple[tuple[float, float], ...]
    airspeed_m_s: float
    leak_bar_s: float
    leak_m3_s_pa: float


def draw(aircraft, advice, seed, number):
    """The Day of a number, an int from 0 on. `aircraft` an aircraft.Aircraft, `advice` an advice.Advice of it."""
    draws = Draws(random.Random(f"{seed}/{number}"), advice.calibration.fitted)
    use, bars = aircraft.installed.use, advised_bars(advice)
    noise_seed = draws.random.randrange(2**31)
    measured = aircraft.installed.measured
    air = draw_air(draws, advice.calibration.air, measured and measured.lock_minimum)
    stated_bar = max(aircraft.settings.sensor_error_mbar / 1000.0, advice.error_bar)
    sensors, rail = draw_sensors(draws, aircraft, stated_bar, bars["lock_min"])
    ambient_k = draws.between(use.coldest_k, use.warmest_k)
    cooling_k = draws.between(0.0, use.cooling_k)
    field_m, climb_m = draws.between(0.0, FIELD_M), draws.between(0.0, use.descent_m)
    up_for_s = use.up_for_s * draws.between(0.2, 1.0)
    cycles = draws.random.randint(1, use.cycles)
    fill_bar = aircraft.fill_bar * draws.between(0.94, 1.01)
    braking = draws.random.randint(0, use.brake_applications), draws.between(0.3, 1.0)
    left_bar = _left_bar(air, fill_bar, cycles, up_for_s, ambient_k, (field_m, climb_m), braking)
    filled_up, where = draws.random.random() >= NOT_FILLED, draws.random.random()
    permit_bar = bars["retract_above"]
    leak_bar_s = _log_uniform(draws.random.random(), *leak_range_bar_s(aircraft, advice))
    return Day(
        number=number,
        noise_seed=noise_seed,
        air=air,
        sensors=sensors,
        rail=rail,
        code_scale=1.0 if aircraft.settings.rail_fitted else 1.0 + rail.error_v / rail.nominal_v,
        cycles=cycles,
        filled_up=filled_up,
        begin_bar=left_bar if filled_up else permit_bar + where * max(0.0, left_bar - permit_bar),
        ambient_k=ambient_k,
        cooling_k=cooling_k,
        field_m=field_m,
        climb_m=climb_m,
        up_for_s=up_for_s,
        taps=_taps(draws) if air.brake else (),
        airspeed_m_s=aircraft.installed.speed_m_s * draws.between(0.6, 1.0),
        leak_bar_s=leak_bar_s,
        leak_m3_s_pa=_conductance(air, leak_bar_s, bars["force_below"], ambient_k - cooling_k, field_m + climb_m),
    )


def advised_bars(advice):
    """{threshold: advised pressure in bar gauge}."""
    return {key: threshold.advised_bar for key, threshold in advice.thresholds.items()}


def true_bar(day, reading_bar):
    """Lowest true pressure at which every sensor of a Day reads at least so, noise apart."""
    return max(_true_bar(sensor, reading_bar, day.code_scale) for sensor in day.sensors)


def _true_bar(sensor, reading_bar, code_scale):
    slope = (sensor.full_fraction - sensor.zero_fraction) / sensor.span_bar
    fraction = (sensor.zero_fraction + slope * reading_bar) / code_scale
    return ((fraction - sensor.zero_fraction) / slope - sensor.zero_error_mbar / 1000.0) / (1.0 + sensor.gain_error)


def leak_range_bar_s(aircraft, advice):
    """(slowest, fastest) fall of the tank by a failing day's leak at the advised forcing point, bar/s."""
    bars = advised_bars(advice)
    fastest = aircraft.settings.burst_floor_mbar_s / 1000.0
    slowest = (bars["retract_above"] - bars["force_below"]) / aircraft.installed.use.up_for_s
    return min(slowest, fastest / 2.0), fastest


def _log_uniform(share, low, high):
    return low * exp(share * log(high / low))


def _left_bar(air, fill_bar, cycles, up_for_s, ambient_k, heights_m, braking):
    """Tank as the last retraction begins, bar gauge there: the cycles before it by closed form, all heat back."""
    field_m, climb_m = heights_m
    applications, level = braking
    outside = ambient_pa(field_m + climb_m) / 1e5
    brakes = Side(0.0, level * air.brake.volume_m3 if air.brake else 0.0)
    bar = fill_bar + ambient_pa(field_m) / 1e5 - outside
    for _ in range(cycles - 1):
        bar = settled_after(bar, air.tank_m3, retract_side(air), outside)
        bar = (bar + outside) * (1.0 - leak_share(air, up_for_s, ambient_k)) - outside
        bar = settled_after(bar, air.tank_m3, extend_side(air), outside)
        for _ in range(applications):
            bar = settled_after(bar, air.tank_m3, brakes, outside)
    return max(bar, 0.0)


def _taps(draws):
    taps = tuple((draws.between(0.2, 1.0), draws.between(0.2, 1.0)) for _ in range(2))
    return taps[: draws.random.choice((0, 0, 1, 1, 2))]


def _conductance(air, bar_s, bar, kelvin, altitude_m):
    """Of a choked hole through which a tank at `bar` gauge falls by bar_s, all heat back, m3/(s Pa)."""
    absolute = bar + ambient_pa(altitude_m) / 1e5
    return bar_s / absolute * air.tank_m3 / (ANR_KG_M3 * R_J_KG_K * (ANR_K * kelvin) ** 0.5)
