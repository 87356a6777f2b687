"""Random aircraft and days: every draw keeps to its row of the table, and the same day is the same anywhere."""

from dataclasses import replace
from math import exp, sqrt

import pytest

from host_sim.air.demand import Demand
from host_sim.air.plant import Plant
from host_sim.aircraft import load_aircraft
from host_sim.budget.advice import advise
from host_sim.budget.days import draw, leak_range_bar_s, true_bar
from host_sim.devices import Rail, Sensor
from host_sim.yamlfile import parse

from .flown_days import CURLEW, SEED, TERN, advised, keeps_and_fills
from .shipped import AIRCRAFT_DIR

N = 300
# Row of the table, what it is of a leg, and its range.
OF_LEG = (
    ("dry friction", lambda leg: leg.coulomb_n, exp(-0.75), exp(0.75)),
    ("damping", lambda leg: leg.viscous_n_s_m, 0.8, 1.25),
    ("load, leg up", lambda leg: leg.load_up_n, 0.85, 1.15),
    ("load, leg down", lambda leg: leg.load_down_n, 0.85, 1.15),
    ("air load", lambda leg: leg.air_load_n, 0.9 * 0.95, 1.1 * 1.05),
    ("lock force", lambda leg: leg.lock_n, exp(-0.45), exp(0.45)),
    ("moving mass", lambda leg: leg.moving_mass_kg, 0.9, 1.1),
    ("hose", lambda leg: leg.hose_extend.length_m, 0.95, 1.05),
    ("dead volume", lambda leg: leg.dead_retract_m3, 0.8, 1.25),
    ("flow control", lambda leg: leg.throttle_extend_m3_s_pa, exp(-0.36), exp(0.36)),
)
OF_AIR = (
    ("valve", lambda air: air.valve.sonic_conductance_m3_s_pa, exp(-0.36), exp(0.36)),
    ("switching time", lambda air: air.valve.switch_s, 0.8, 1.3),
    ("tank", lambda air: air.tank_m3, 0.97, 1.03),
    ("brake volume", lambda air: air.brake.volume_m3, 0.8, 1.25),
    ("wall", lambda air: air.wall_w_k, 0.7, 1.3),
    ("leak", lambda air: air.leak_m3_s_pa, exp(-2.1), exp(2.1)),
)


@pytest.fixture(scope="module", params=[CURLEW, TERN])
def drawn(request):
    aircraft, advice = advised(request.param)
    return aircraft, advice, [draw(aircraft, advice, SEED, number) for number in range(N)]


@pytest.mark.parametrize("what, of, low, high", OF_LEG, ids=[row[0] for row in OF_LEG])
def test_legs_keep_to_their_rows(drawn, what, of, low, high):
    aircraft, _, days = drawn
    for n, leg in enumerate(aircraft.air.legs):
        keeps_and_fills([of(day.air.legs[n]) / of(leg) for day in days], low, high)


@pytest.mark.parametrize("what, of, low, high", OF_AIR, ids=[row[0] for row in OF_AIR])
def test_the_air_system_keeps_to_its_rows(drawn, what, of, low, high):
    aircraft, _, days = drawn
    keeps_and_fills([of(day.air) / of(aircraft.air) for day in days], low, high)


def test_days_keep_to_their_rows(drawn):
    aircraft, advice, days = drawn
    use = aircraft.installed.use
    keeps_and_fills([day.ambient_k for day in days], use.coldest_k, use.warmest_k)
    keeps_and_fills([day.cooling_k for day in days], 0.0, use.cooling_k)
    keeps_and_fills([day.field_m for day in days], 0.0, 600.0)
    keeps_and_fills([day.climb_m for day in days], 0.0, use.descent_m)
    keeps_and_fills([day.up_for_s / use.up_for_s for day in days], 0.2, 1.0)
    keeps_and_fills([day.airspeed_m_s / aircraft.installed.speed_m_s for day in days], 0.6, 1.0)
    keeps_and_fills([day.leak_bar_s for day in days], *leak_range_bar_s(aircraft, advice))
    assert {day.cycles for day in days} == set(range(1, use.cycles + 1))
    assert {len(day.taps) for day in days} == {0, 1, 2}
    for seconds, level in (tap for day in days for tap in day.taps):
        assert 0.2 <= seconds <= 1.0 and 0.2 <= level <= 1.0


def test_leaks_are_spread_evenly_over_their_decades(drawn):
    aircraft, advice, days = drawn
    low, high = leak_range_bar_s(aircraft, advice)
    below = sum(day.leak_bar_s < sqrt(low * high) for day in days)
    assert abs(below - N / 2) < 4.0 * sqrt(N / 4)


def test_one_tank_in_four_was_not_filled_up_and_the_last_retraction_begins_above_the_permit(drawn):
    _, advice, days = drawn
    short = [day for day in days if not day.filled_up]
    assert abs(len(short) - N / 4) < 4.0 * sqrt(N * 3 / 16)
    permit_bar = advice.thresholds["retract_above"].advised_bar
    assert min(day.begin_bar for day in short) >= permit_bar
    assert min(day.begin_bar for day in short) < permit_bar + 0.2


def test_cycles_before_the_last_take_air(drawn):
    aircraft, _, days = drawn
    full = [day.begin_bar for day in days if day.filled_up and day.cycles == 1]
    after = [day.begin_bar for day in days if day.filled_up and day.cycles == 2]
    # A filled tank is within 0.94 to 1.01 of the fill; a few mbar of it are the climb.
    assert 0.93 * aircraft.fill_bar < min(full) and max(full) < 1.02 * aircraft.fill_bar + 0.04
    assert max(after) < max(full) - 0.3


def test_a_day_is_drawn_from_its_own_number_alone():
    aircraft, advice = advised(CURLEW)
    alone = draw(aircraft, advice, SEED, 7)
    for number in range(7):
        assert draw(aircraft, advice, SEED, number) != alone
    assert draw(aircraft, advice, SEED, 7) == alone
    assert draw(aircraft, advice, SEED + 1, 7) != alone


UNMEASURED = "{rail: {measured: no, nominal: 5 V, error: 0 V, ratio: 0.5}}"


@pytest.mark.parametrize("options", ["{}", UNMEASURED], ids=["rail measured", "rail not measured"])
def test_no_reading_is_wrong_by_more_than_stated(options):
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(options, "options"))
    advice = advise(aircraft.installed, aircraft.settings)
    s, worst_mbar = aircraft.settings, 0.0
    stated_mbar = max(s.sensor_error_mbar, 1000.0 * advice.error_bar)
    for number in range(200):
        day = draw(aircraft, advice, SEED, number)
        sensor = Sensor(replace(day.sensors[0], noise_mbar=0.0), 0, "a")
        rail = Rail(replace(day.rail, noise_v=0.0), 0)
        for bar in (2.5, 4.0, 5.5, aircraft.fill_bar):
            rail_code = rail.sample()
            code = sensor.sample(bar, rail.volts, 0)
            if s.rail_fitted:
                code = code * s.rail_nominal_counts // rail_code
            mbar = (
                (code - s.sensor_a_zero_counts)
                * s.sensor_a_span_mbar
                / (s.sensor_a_full_counts - s.sensor_a_zero_counts)
            )
            worst_mbar = max(worst_mbar, abs(mbar - 1000.0 * bar))
    assert 0.7 * stated_mbar < worst_mbar <= stated_mbar


@pytest.mark.parametrize("options", ["{}", UNMEASURED], ids=["rail measured", "rail not measured"])
def test_the_true_pressure_of_a_reading(options):
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(options, "options"))
    advice = advise(aircraft.installed, aircraft.settings)
    s, off_bar = aircraft.settings, []
    for number in range(10):
        day = draw(aircraft, advice, SEED, number)
        bar = true_bar(day, 4.2)
        off_bar.append(abs(bar - 4.2))
        rail = Rail(replace(day.rail, noise_v=0.0), 0)
        rail_code = rail.sample() if s.rail_fitted else s.rail_nominal_counts
        code = Sensor(replace(day.sensors[0], noise_mbar=0.0), 0, "a").sample(bar, rail.volts, 0)
        reading_mbar = (code * s.rail_nominal_counts / rail_code - s.sensor_a_zero_counts) * s.sensor_a_span_mbar
        # A code is 3 mbar, and so is the rail's.
        assert reading_mbar / (s.sensor_a_full_counts - s.sensor_a_zero_counts) == pytest.approx(4200.0, abs=5.0)
    assert max(off_bar) > 0.05


def test_of_two_sensors_the_lower_one_counts():
    day = draw(*advised(TERN), SEED, 3)
    alone = [true_bar(replace(day, sensors=(sensor,)), 4.2) for sensor in day.sensors]
    assert alone[0] != alone[1] and true_bar(day, 4.2) == max(alone)


def test_the_leak_makes_the_fall_that_it_is_drawn_by():
    aircraft, advice = advised(CURLEW)
    day = draw(aircraft, advice, SEED, 4)
    force_bar = advice.thresholds["force_below"].advised_bar
    altitude_m, ambient_k = day.field_m + day.climb_m, day.ambient_k - day.cooling_k
    # A wall that gives all the heat back, and no leak but this one.
    air = replace(day.air, wall_w_k=1e6, leak_m3_s_pa=0.0)
    plant = Plant(air, force_bar * 1e5, ambient_k, altitude_m)
    demand = Demand(ambient_k=ambient_k, altitude_m=altitude_m, burst_m3_s_pa=day.leak_m3_s_pa)
    # Valve to DOWN, so the tank feeds the lines too: they are part of what falls.
    plant.advance(0.2, demand)
    lines = plant.extend_line.volume_m3 + sum(leg.extend.volume_m3 for leg in plant.legs)
    fall_bar = (force_bar * 1e5 - plant.tank_pa_gauge) / 1e5
    assert fall_bar == pytest.approx(0.2 * day.leak_bar_s * air.tank_m3 / (air.tank_m3 + lines), rel=0.05)
