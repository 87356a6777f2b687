"""One sensor sample by sample: grades at their edges, the median, what confirms and what heals, the frozen sensor."""

import itertools

import pytest

from controller.codes import (
    SENSOR_FROZEN,
    SENSOR_GOOD,
    SENSOR_OPEN,
    SENSOR_RAIL,
    SENSOR_SHORT,
)
from controller.limits import Limits
from controller.sensor import Rail, Sensor, median3

from .driver import settings_with

CONFIRM, HEAL = 10, 10


def rail_with(**changes):
    return Rail(settings_with(**changes))


class Probe:
    """A Sensor with a rail of its own; zero 400, full 3600, 10,000 mbar: 3.125 mbar a code."""

    def __init__(self, **changes):
        settings = settings_with(**{"sensor_a_zero_counts": 400, "sensor_a_full_counts": 3600, **changes})
        self.rail = Rail(settings)
        self.sensor = Sensor(400, 3600, 10000, settings, Limits(settings))

    def step(self, *counts):
        for one in counts:
            self.sensor.step(one, self.rail)
        return self.sensor


def test_median_is_the_middle_of_three():
    for three in itertools.product(range(4), repeat=3):
        assert median3(*three) == sorted(three)[1]


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize(
    "counts, grade",
    [
        (-1, SENSOR_OPEN),
        (0, SENSOR_OPEN),
        (199, SENSOR_OPEN),
        (200, SENSOR_GOOD),
        (201, SENSOR_GOOD),
        (3788, SENSOR_GOOD),
        (3789, SENSOR_GOOD),
        (3790, SENSOR_SHORT),
        (4095, SENSOR_SHORT),
        (4096, SENSOR_SHORT),
    ],
)
def test_grade_of_a_code(counts, grade):
    assert Probe().step(counts).grade == grade


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize(
    "counts, grade",
    [(-1, SENSOR_OPEN), (4096, SENSOR_SHORT), (2000, SENSOR_RAIL), (0, SENSOR_RAIL), (4095, SENSOR_RAIL)],
)
def test_grade_with_a_bad_rail(counts, grade):
    probe = Probe(rail_fitted=1)
    probe.rail.step(0)
    assert probe.step(counts).grade == grade


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize(
    "rail_counts, good", [(2399, 0), (2400, 1), (2401, 1), (3599, 1), (3600, 1), (3601, 0), (0, 0), (4096, 0), (-1, 0)]
)
def test_rail_within_a_fifth_of_its_nominal(rail_counts, good):
    rail = rail_with(rail_fitted=1, rail_nominal_counts=3000)
    rail.step(rail_counts)
    assert rail.good == good


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("rail_counts, good", [(4095, 1), (4096, 0)])
def test_rail_beyond_the_converter_is_none(rail_counts, good):
    rail = rail_with(rail_fitted=1, rail_nominal_counts=4000)
    rail.step(rail_counts)
    assert rail.good == good


def test_rail_limits_are_whole_numbers_rounded_down():
    rail = rail_with(rail_fitted=1, rail_nominal_counts=3003)
    assert (rail._low, rail._high) == (2402, 3603)


def test_codes_are_scaled_to_the_nominal_rail():
    rail = rail_with(rail_fitted=1, rail_nominal_counts=3000)
    assert rail.corrected(2000) == 2000
    rail.step(2500)
    assert rail.corrected(2000) == 2400
    assert rail.corrected(2001) == 2401
    rail.step(0)
    assert (rail.good, rail.corrected(2000)) == (0, 2400)
    rail.step(3000)
    assert (rail.good, rail.corrected(2000)) == (1, 2000)


def test_rail_that_is_not_fitted_is_good_and_scales_nothing():
    rail = rail_with(rail_fitted=0)
    rail.step(0)
    assert (rail.good, rail.corrected(1234)) == (1, 1234)


def test_pressure_of_a_code_with_a_sagging_rail():
    probe = Probe(rail_fitted=1, rail_nominal_counts=3000)
    probe.rail.step(2500)
    # 1501 x 3000 // 2500 = 1801; (1801 - 400) x 10000 // 3200
    assert probe.step(1501, 1501, 1501).mbar == 4378


@pytest.mark.sr("SR-09", "acts")
def test_median_of_the_last_three_good_samples():
    probe = Probe()
    assert (probe.step(2000).ready, probe.step(2032).ready) == (0, 0)
    sensor = probe.step(2096)
    assert (sensor.ready, sensor.mbar) == (1, 5100)
    assert probe.step(720).mbar == 5100
    assert probe.step(752).mbar == 1100
    assert probe.step(2000).mbar == 1100


@pytest.mark.sr("SR-09", "acts")
def test_bad_sample_costs_three_ticks_and_leaves_nothing_behind():
    probe = Probe()
    probe.step(2000, 2000, 2000)
    sensor = probe.step(0)
    assert (sensor.ready, sensor.mbar) == (0, 5000)
    assert [probe.step(1040).ready for _ in range(4)] == [0, 0, 1, 1]
    assert sensor.mbar == 2000


def test_below_zero_and_beyond_full_are_read_as_they_are():
    assert Probe().step(*[399] * 3).mbar == -4
    assert Probe().step(*[200] * 3).mbar == -625
    assert Probe().step(*[3700] * 3).mbar == 10312


@pytest.mark.sr("SR-05", "acts")
def test_failed_in_the_tick_of_its_time_and_healed_in_that_of_its():
    probe = Probe()
    probe.step(*[2000] * 20)
    assert probe.step(*[0] * (CONFIRM - 1)).failed == 0
    assert probe.step(0).failed == 1
    # Two samples without a median prove nothing.
    assert probe.step(*[2000] * (2 + HEAL - 1)).failed == 1
    assert probe.step(2000).failed == 0


@pytest.mark.sr("SR-17", "acts")
def test_every_second_sample_bad_confirms_all_the_same():
    probe = Probe()
    probe.step(*[2000] * 20)
    assert probe.step(*[0, 2000] * (CONFIRM - 1)).failed == 0
    assert probe.step(0).failed == 1


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("low, high, frozen", [(2000, 2002, 1), (2000, 2003, 0), (2000, 2000, 1)])
@pytest.mark.parametrize("order", [1, -1])
def test_two_codes_in_a_stroke_are_frozen_and_three_are_not(low, high, frozen, order):
    probe = Probe()
    probe.step(3000, 1000, 2000)
    probe.sensor.watch_span()
    probe.step(*[low, high, (low + high) // 2][::order])
    probe.sensor.judge_span(300)
    assert probe.sensor.frozen == frozen
    assert probe.step(2001).grade == (SENSOR_FROZEN if frozen else SENSOR_GOOD)


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("expected_mbar, frozen", [(24, 0), (25, 1), (26, 1)])
def test_stroke_that_should_cost_less_than_eight_codes_freezes_nothing(expected_mbar, frozen):
    probe = Probe()
    probe.step(2000, 2000, 2000)
    probe.sensor.judge_span(expected_mbar)
    assert probe.sensor.frozen == frozen


@pytest.mark.sr("SR-05", "spares")
def test_frozen_sensor_is_believed_again_after_a_stroke_that_moves_it():
    probe = Probe()
    probe.step(2000, 2000, 2000)
    probe.sensor.judge_span(300)
    assert probe.step(*[2000] * CONFIRM).failed == 1
    probe.sensor.watch_span()
    probe.step(2000, 1990)
    probe.sensor.judge_span(0)
    assert probe.sensor.frozen == 0
    assert probe.step(*[1990] * HEAL).failed == 0


@pytest.mark.sr("SR-05", "spares")
def test_stroke_without_a_sample_changes_no_verdict():
    for frozen in (0, 1):
        probe = Probe()
        probe.step(2000, 2000, 2000)
        probe.sensor.frozen = frozen
        probe.sensor.watch_span()
        probe.step(0, 0)
        probe.sensor.judge_span(9999)
        assert probe.sensor.frozen == frozen


def test_code_of_a_pressure_is_whole_and_rounded_down():
    settings = settings_with()
    assert Sensor(399, 3591, 10000, settings, Limits(settings)).code_mbar_x16 == 50
    assert Sensor(400, 3600, 3333, settings, Limits(settings)).code_mbar_x16 == 16
