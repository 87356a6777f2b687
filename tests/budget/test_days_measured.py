"""What was measured is drawn from its interval, and a lock minimum from the bench holds for every specimen."""

from dataclasses import replace
from random import Random

from host_sim.air.sizing import extend_side
from host_sim.aircraft import load_aircraft
from host_sim.budget import specimens
from host_sim.budget.advice import advise
from host_sim.budget.bench_rows import lock_minimum_bar
from host_sim.budget.days import draw
from host_sim.budget.fitted import Fitted
from host_sim.budget.specimens import Draws, draw_air
from host_sim.yamlfile import parse

from .flown_days import CURLEW, SEED, advised, keeps_and_fills
from .shipped import AIRCRAFT_DIR

MEASURED = """{measured: {
  extensions: [{from: 4.4 bar gauge, takes: 2.0 s, load: none}, {from: 5.5 bar gauge, takes: 1.8 s, load: none},
               {from: 7.0 bar gauge, takes: 1.6 s, load: none}],
  lock_minimum: {tank: 3.7 bar gauge, load: full air load},
  drops: [{stroke: retraction, from: 7.0 bar gauge, to: 6.65 bar gauge},
          {stroke: extension, from: 7.0 bar gauge, to: 6.6 bar gauge}],
  leak_down: [{from: 7.5 bar gauge, to: 7.3 bar gauge, over: 60 min, start_air: 15 degC, end_air: 15 degC}],
  zero: {reads: 0.01 bar gauge},
  gauge: [{reads: 4.02 bar gauge, gauge: 4.0 bar gauge}, {reads: 7.03 bar gauge, gauge: 7.0 bar gauge}]}}"""


def test_every_value_that_measurements_give_is_one_that_is_drawn():
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(MEASURED, "options"))
    advice = advise(aircraft.installed, aircraft.settings)
    known = {getattr(specimens, name) for name in ("FLOW", "FRICTION", "VOLUME", "LEAK", "ZERO", "GAIN")}
    found = {value.name: value for value in advice.calibration.fitted}
    assert set(found) <= known and {specimens.LEAK, specimens.ZERO, specimens.GAIN} <= set(found)
    zero = found[specimens.ZERO]
    days = [draw(aircraft, advice, SEED, number) for number in range(40)]
    keeps_and_fills([day.sensors[0].zero_error_mbar for day in days], 1000.0 * zero.low, 1000.0 * zero.high)


def lock_minima(text, share):
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(text, "options"))
    advice = advise(aircraft.installed, aircraft.settings)
    return [lock_minimum_bar(draw(aircraft, advice, SEED, number).air, share) for number in range(40)]


def test_a_specimen_locks_from_what_locked_it_on_the_bench():
    # The gauge's 0.1 bar and the reading's 0.05 bar, as assumed where the file does not say.
    keeps_and_fills(lock_minima(MEASURED, 1.0), 3.7 - 0.15 - 1e-6, 3.7 + 0.15 + 1e-6)
    free = lock_minima("{}", 1.0)
    assert max(free) - min(free) > 0.6


def test_an_air_load_that_was_not_applied_stays_uncertain():
    still = "{measured: {lock_minimum: {tank: 1.9 bar gauge, load: none, within: 0.05 bar}}}"
    keeps_and_fills(lock_minima(still, 0.0), 1.85 - 1e-6, 1.95 + 1e-6)
    full = lock_minima(still, 1.0)
    assert max(full) - min(full) > 0.3


def measured(name, value, low, high):
    return Fitted(name, value, low, high, "", 1.0, "a bench")


def specimens_of(*fitted):
    aircraft, _ = advised(CURLEW)
    return aircraft.air, [draw_air(Draws(Random(number), fitted), aircraft.air) for number in range(100)]


def test_measured_factors_are_drawn_from_their_interval_and_alike_for_all_legs():
    fitted = (measured(specimens.FLOW, 0.9, 0.855, 0.99), measured(specimens.FRICTION, 1.2, 1.14, 1.38))
    air, drawn = specimens_of(*fitted)
    for one in drawn:
        friction = [leg.coulomb_n / was.coulomb_n for leg, was in zip(one.legs, air.legs, strict=True)]
        flow = [
            leg.throttle_extend_m3_s_pa / was.throttle_extend_m3_s_pa
            for leg, was in zip(one.legs, air.legs, strict=True)
        ]
        flow.append(one.valve.sonic_conductance_m3_s_pa / air.valve.sonic_conductance_m3_s_pa)
        assert max(friction) - min(friction) < 1e-12 and max(flow) - min(flow) < 1e-12
    keeps_and_fills([one.legs[0].coulomb_n / air.legs[0].coulomb_n for one in drawn], 1.14 / 1.2, 1.38 / 1.2)
    flows = [one.valve.sonic_conductance_m3_s_pa / air.valve.sonic_conductance_m3_s_pa for one in drawn]
    keeps_and_fills(flows, 0.855 / 0.9, 0.99 / 0.9)


def test_a_measured_leak_is_drawn_about_what_the_air_system_has():
    value = advised(CURLEW)[0].air.leak_m3_s_pa * specimens.DM3_S_BAR
    air, drawn = specimens_of(measured(specimens.LEAK, value, 0.8 * value, 1.4 * value))
    keeps_and_fills([one.leak_m3_s_pa / air.leak_m3_s_pa for one in drawn], 0.8 - 1e-9, 1.4 + 1e-9)


def test_a_measured_volume_changes_what_a_stroke_fills():
    air, drawn = specimens_of(measured(specimens.VOLUME, 1.0, 1.2, 1.3))
    sizes = [(extend_side(one).dead_m3 + extend_side(one).swept_m3) for one in drawn]
    was = extend_side(air).dead_m3 + extend_side(air).swept_m3
    # The tolerances of hoses and ends come on top.
    assert 1.12 < min(sizes) / was and max(sizes) / was < 1.4


def test_a_sensor_that_was_compared_with_a_gauge_is_drawn_from_that():
    aircraft, advice = advised(CURLEW)
    fitted = (measured(specimens.ZERO, 0.03, 0.02, 0.04), measured(specimens.GAIN, 0.99, 0.985, 0.995))
    compared = replace(advice, calibration=replace(advice.calibration, fitted=fitted))
    days = [draw(aircraft, compared, SEED, number) for number in range(100)]
    keeps_and_fills([day.sensors[0].zero_error_mbar for day in days], 20.0, 40.0)
    keeps_and_fills([day.sensors[0].gain_error for day in days], -0.015 - 1e-12, -0.005 + 1e-12)
