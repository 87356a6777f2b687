"""Leak and reading from measurements: against the gas law by hand, the plant, and statistics known for certain."""

import random
from dataclasses import replace
from math import exp, sqrt

import numpy as np
import pytest
from scipy import stats

from host_sim.air.gas import ANR_K, ANR_KG_M3, R_J_KG_K
from host_sim.budget.calibration import calibrate
from host_sim.budget.fit import (
    fit_leak,
    fit_reading,
    leak_conductance,
    leaking_m3,
    two_temperatures,
    widths,
)
from host_sim.budget.measured import Comparison, LeakDown, Within
from host_sim.devices import SensorSpec

from .bench import FILE_AIR, TRUE_AIR, TRUE_GAIN, TRUE_LEAK, TRUE_ZERO_BAR, Bench, installed_with, measured

OUTSIDE_BAR = 1.01325
VOLUME_M3 = 800e-6


def test_a_leak_down_by_hand():
    """8.51325 bar absolute at 20 C and 8.41325 bar at 10 C: p/T rises from 0.0290406 to 0.0297130 bar/K, so air came in;
    at 20 C both, it falls by 1.1746 % in 600 s, and C = 1.9693e-5 1/s x 800e-6 m3 / (1.185 x 287.05 x 293.15)."""
    cooled = LeakDown(7.5, 7.4, 600.0, 293.15, 283.15)
    assert leak_conductance(cooled, VOLUME_M3) < 0.0
    even = LeakDown(7.5, 7.4, 600.0, 293.15, 293.15)
    assert leak_conductance(even, VOLUME_M3) / (1.9693e-5 * 800e-6 / 99717.2) == pytest.approx(1.0, abs=1e-4)


def test_cooling_alone_is_no_leak():
    to_bar = 8.51325 * 283.15 / 293.15 - OUTSIDE_BAR
    assert to_bar == pytest.approx(7.2095, abs=5e-4)
    assert leak_conductance(LeakDown(7.5, to_bar, 600.0, 293.15, 283.15), VOLUME_M3) == pytest.approx(0.0, abs=1e-20)


def test_warming_does_not_hide_a_leak():
    """10 % of the mass gone in an hour while the air warms by 20 K: the pressure falls by 4 % only."""
    to_bar = 8.51325 * 0.9 * 303.15 / 283.15 - OUTSIDE_BAR
    found = leak_conductance(LeakDown(7.5, to_bar, 3600.0, 283.15, 303.15), VOLUME_M3)
    rate = found * ANR_KG_M3 * R_J_KG_K * sqrt(ANR_K * 293.15) / VOLUME_M3
    assert exp(-3600.0 * rate) == pytest.approx(0.9, abs=1e-9)


@pytest.mark.parametrize(("start_k", "end_k"), [(288.15, 288.15), (293.15, 286.15), (280.15, 290.15)])
def test_the_plants_leak_is_found_again(start_k, end_k):
    """Through a plant whose surroundings warm or cool; that the lines leak along with the tank is seen too."""
    bench = Bench(0, Within(0.0, 0.0, 0.0, 0.0))
    row = bench.leak_down(7.5, 600.0, start_k, end_k)
    assert leak_conductance(row, leaking_m3(TRUE_AIR)) / TRUE_LEAK == pytest.approx(1.0, abs=0.01)
    assert leak_conductance(row, TRUE_AIR.tank_m3) < 0.97 * TRUE_LEAK


def leak_downs(rng, rows, within, leak=TRUE_LEAK):
    """LeakDowns of the closed form with errors of up to +-within."""
    found = []
    for _ in range(rows):
        rate = leak * ANR_KG_M3 * R_J_KG_K * sqrt(ANR_K * 290.15) / leaking_m3(FILE_AIR)
        end = 8.51325 * exp(-1800.0 * rate) * 288.15 / 292.15 - OUTSIDE_BAR
        errors = [rng.uniform(-within.pressure_bar, within.pressure_bar) for _ in range(2)]
        off_k = [rng.uniform(-within.air_k, within.air_k) for _ in range(2)]
        found.append(LeakDown(7.5 + errors[0], end + errors[1], 1800.0, 292.15 + off_k[0], 288.15 + off_k[1]))
    return measured(leak_down=tuple(found), within=within)


def comparisons(rng, bars, within):
    """Comparisons with a gauge that is off by up to +-within at each."""
    rows = tuple(
        Comparison(
            TRUE_ZERO_BAR + TRUE_GAIN * bar + rng.gauss(0.0, 0.003),
            bar + rng.uniform(-within.gauge_bar, within.gauge_bar),
        )
        for bar in bars
    )
    return measured(zero_bar=TRUE_ZERO_BAR + rng.gauss(0.0, 0.003), gauge=rows, within=within)


def coverage(cases, narrower=1.0):
    """Share of (Told, truth) whose interval, made `narrower`, covers the truth."""
    hits = [abs(told.value - truth) <= narrower * (told.high - told.low) / 2.0 for told, truth in cases]
    return sum(hits) / len(hits)


def proper(cases):
    """Whether intervals are 95 % ones, give or take what 600 of them scatter and the belief in the bounds adds, and
    whether that would be seen: at two thirds of their width they are not. One reading alone has 98 %: its bounds are
    believed like 8 degrees of freedom (t = 2.31), and the sum of four even errors has short tails."""
    return 0.93 <= coverage(cases) <= 0.99 and coverage(cases, 2.0 / 3.0) < 0.91


@pytest.mark.parametrize("rows", [1, 2, 5])
def test_the_leaks_interval_is_a_95_percent_one(rows):
    rng = random.Random(rows)
    within = Within(0.03, 0.1, 0.08, 1.0)
    cases = [(fit_leak(leak_downs(rng, rows, within), FILE_AIR), TRUE_LEAK) for _ in range(600)]
    assert proper(cases)
    mean = sum(told.value for told, _ in cases) / len(cases)
    assert mean / TRUE_LEAK == pytest.approx(1.0, abs=0.05)


def test_the_readings_intervals_are_95_percent_ones():
    rng = random.Random(5)
    within = Within(gauge_bar=0.08)
    fits = [fit_reading(comparisons(rng, (2.0, 4.0, 7.5), within), SensorSpec()) for _ in range(600)]
    assert proper([(zero, TRUE_ZERO_BAR) for zero, _ in fits])
    assert proper([(gain, TRUE_GAIN) for _, gain in fits])


def test_the_straight_line_is_that_of_scipy():
    rows = [(1.0, 1.02), (3.0, 3.1), (5.0, 4.98), (8.0, 8.2)]
    found = measured(gauge=tuple(Comparison(reads, gauge) for gauge, reads in rows))
    zero, gain = fit_reading(found, SensorSpec())
    line = stats.linregress([g for g, _ in rows], [r for _, r in rows])
    assert (gain.value, zero.value) == (pytest.approx(line.slope), pytest.approx(line.intercept))


def test_widths_are_those_of_a_mean():
    """Five readings of one thing, standard uncertainty 2, scatter as expected: half width t(8 + 4) x 2/sqrt(5)."""
    jacobian, residuals = np.full((5, 1), 0.5), np.array([1.0, -1.0, 1.0, -1.0, 0.0])
    half, strain = widths(jacobian, residuals, stats)
    assert half[0] == pytest.approx(2.1788128 * 2.0 / sqrt(5.0), rel=1e-6)
    assert strain == 1.0


def test_scatter_beyond_the_bounds_widens_and_is_said():
    jacobian, residuals = np.full((5, 1), 0.5), 4.0 * np.array([1.0, -1.0, 1.0, -1.0, 0.0])
    half, strain = widths(jacobian, residuals, stats)
    # Only the scatter counts then: t(4) x 4 x 2/sqrt(5).
    assert (half[0], strain) == (pytest.approx(2.7764451 * 4.0 * 2.0 / sqrt(5.0), rel=1e-6), pytest.approx(4.0))
    rows = tuple(
        LeakDown(7.5, 7.4 - off, 1800.0, 290.15 + k, 290.15 + k) for off, k in ((0.0, 0), (0.3, 10), (-0.09, 5))
    )
    said = calibrate(installed_with(measured(leak_down=rows))).disagreements
    assert any("leak-downs scatter" in sentence for sentence in said)
    steady = tuple(replace(row, to_bar=7.4) for row in rows)
    said = calibrate(installed_with(measured(leak_down=steady))).disagreements
    assert not any("scatter" in sentence for sentence in said)


def test_zero_and_gain_are_told_apart_only_by_pressures_far_apart():
    at_one = measured(gauge=(Comparison(7.4, 7.5), Comparison(7.45, 7.52)))
    assert fit_reading(at_one, SensorSpec()) == (None, None)
    assert any("Zero and gain" in note for note in calibrate(installed_with(at_one)).notes)
    with_zero = replace(at_one, zero_bar=0.02)
    zero, gain = fit_reading(with_zero, SensorSpec())
    assert gain.low < 0.99 < gain.high and zero.low < 0.02 < zero.high
    alone = fit_reading(measured(zero_bar=0.02), SensorSpec())
    assert alone[0].value == 0.02 and alone[1] is None


def test_a_leak_at_one_temperature_is_not_believed_below_the_files():
    """0.02 bar in 10 minutes: the file's 0.05 stays until another temperature says the same."""
    warm = LeakDown(7.5, 7.48, 600.0, 293.15, 293.15)
    cold = replace(warm, start_k=283.15, end_k=283.15)
    one = calibrate(installed_with(measured(leak_down=(warm, warm))))
    assert one.air.leak_m3_s_pa == FILE_AIR.leak_m3_s_pa
    assert any("about one temperature" in note for note in one.notes)
    two = calibrate(installed_with(measured(leak_down=(warm, cold))))
    assert two.air.leak_m3_s_pa < 0.6 * FILE_AIR.leak_m3_s_pa
    assert not any("one temperature" in note for note in two.notes)
    assert not two_temperatures((warm, replace(warm, start_k=290.15)))
    larger = calibrate(installed_with(measured(leak_down=(replace(warm, to_bar=7.4),))))
    assert larger.air.leak_m3_s_pa > 1.5 * FILE_AIR.leak_m3_s_pa


def test_air_that_came_from_nowhere_is_said_and_makes_no_leak():
    rows = tuple(LeakDown(7.5, 7.45, 600.0, k, k - 12.0) for k in (303.15, 293.15))
    found = calibrate(installed_with(measured(leak_down=rows)))
    assert found.air.leak_m3_s_pa == 0.0
    assert any("the tank gained air" in sentence for sentence in found.disagreements)


def test_the_leak_is_compared_with_the_file_as_the_file_means_it():
    """The file's 0.05 bar in 10 minutes, seen at one temperature with good instruments: no disagreement; 0.12: one."""
    fine = Within(0.002, 0.1, 0.08, 0.05)

    def said(to_bar):
        rows = tuple(LeakDown(7.5, to_bar, 600.0, k, k) for k in (293.15, 283.15))
        return calibrate(installed_with(measured(leak_down=rows, within=fine))).disagreements

    assert said(7.45) == ()
    (sentence,) = said(7.38)
    assert "The leak takes 0.12 bar in 10 minutes from 7.50 bar gauge" in sentence
    assert "tank.leak_down says 0.05 bar" in sentence


def test_the_leak_takes_an_even_share():
    """ln(p/T) falls evenly: two halves of a leak-down give the leak of the whole."""
    middle_bar = sqrt(8.51325 * 8.2) - OUTSIDE_BAR
    first = leak_conductance(LeakDown(7.5, middle_bar, 300.0, 290.0, 290.0), VOLUME_M3)
    whole = leak_conductance(LeakDown(7.5, 8.2 - OUTSIDE_BAR, 600.0, 290.0, 290.0), VOLUME_M3)
    assert first / whole == pytest.approx(1.0)
