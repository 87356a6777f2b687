"""Days through the real controller: what a wrong forcing point does, and that the shortened wait stands for the long one."""

import copy
from dataclasses import replace

import pytest

from controller import checks
from controller.packing import UNPACK_OK, pack, unpack
from controller.settings import Settings
from host_sim.aircraft import load_aircraft
from host_sim.budget import gear_up
from host_sim.budget.advice import advise
from host_sim.budget.day_flight import failing_day, ordinary_day
from host_sim.budget.days import draw, true_bar
from host_sim.budget.one_day import fly_drawn
from host_sim.budget.points import board_limit_mbar, point_at, points
from host_sim.budget.terms import leak_share
from host_sim.errors import InputError
from host_sim.yamlfile import parse

from .flown_days import CURLEW, SEED, TERN, advised, curve_of, day_of, thorough_days
from .shipped import AIRCRAFT_DIR

LOWEST, HIGHEST = 0, -1


def advised_point(name):
    return next(point for point in curve_of(name) if point.is_advised)


# The points.


@pytest.mark.parametrize("name", [CURLEW, TERN])
def test_the_curve_goes_from_well_below_the_advice_to_near_the_permit(name):
    aircraft, advice = advised(name)
    curve = curve_of(name)
    bars = [point.force_below_mbar for point in curve]
    assert bars == sorted(set(bars)) and len(bars) == 7
    assert sum(point.is_advised for point in curve) == 1 and advised_point(name).force_below_mbar == advice.mbar(
        "force_below"
    )
    assert bars[LOWEST] < 0.75 * advice.mbar("force_below")
    assert bars[HIGHEST] >= advice.mbar("retract_above") - 110


@pytest.mark.parametrize("name", [CURLEW, TERN])
def test_a_board_loads_what_is_said_to_be_accepted_and_refuses_the_rest(name):
    for point in curve_of(name):
        loaded = Settings()
        assert unpack(point.packed, loaded) == UNPACK_OK
        if point.board_accepts:
            assert loaded.force_below_mbar == point.force_below_mbar
            continue
        wanted = copy.copy(point.advised)
        wanted.force_below_mbar = point.force_below_mbar
        wanted.warn_below_mbar = max(wanted.warn_below_mbar, checks.warn_floor_mbar(wanted))
        assert checks.RULE_FIELDS[checks.first_fault(wanted)] == "retract_above_mbar"
        assert unpack(pack(wanted), loaded) != UNPACK_OK


def test_the_limit_of_the_board_is_where_its_rule_says():
    advised_settings = advised_point(CURLEW).advised
    limit_mbar = board_limit_mbar(advised_settings)
    assert point_at(advised_settings, limit_mbar).board_accepts
    assert not point_at(advised_settings, limit_mbar + 1).board_accepts


def test_both_paths_of_the_controller_get_a_value_that_no_file_can_have():
    for point in curve_of(CURLEW):
        up = gear_up.GearUp(advised(CURLEW)[0], day_of(CURLEW, 0), point, 6.5, 288.15)
        controller = up.flight.engine._controller
        paths = (controller.settings, controller.interlock._s)
        assert paths[0] is not paths[1]
        assert [path.force_below_mbar for path in paths] == 2 * [point.force_below_mbar]


def test_an_advice_with_problems_is_not_flown():
    aircraft, advice = advised(CURLEW)
    with pytest.raises(InputError, match="there is no advice to fly: This tank"):
        points(aircraft, replace(advice, problems=["This tank can't."]))


# What a forcing point does.


def test_a_forcing_point_far_too_low_lets_a_gear_fail_that_locks_at_the_advised_one():
    aircraft, _ = advised(CURLEW)
    day = day_of(CURLEW, 3)
    low, good = failing_day(aircraft, day, curve_of(CURLEW)[LOWEST]), failing_day(aircraft, day, advised_point(CURLEW))
    assert (low.cause, low.locked, low.lock_s) == ("low air", False, None)
    assert (good.cause, good.locked) == ("low air", True) and 1.0 < good.lock_s < 3.0
    assert low.forced_bar < good.forced_bar - 1.0


def test_a_forcing_point_far_too_high_forces_a_sound_aircraft():
    aircraft, advice = advised(CURLEW)
    permit_bar = advice.thresholds["retract_above"].advised_bar
    day = day_of(CURLEW, 3, begin_bar=permit_bar + 0.2, cooling_k=10.0)
    high = ordinary_day(aircraft, day, curve_of(CURLEW)[HIGHEST])
    good = ordinary_day(aircraft, day, advised_point(CURLEW))
    assert high.retracted and high.cause == "low air"
    assert good.retracted and good.cause == ""
    assert good.lowest_bar > advice.thresholds["force_below"].advised_bar


def test_both_are_counted():
    aircraft, advice = advised(CURLEW)
    day = day_of(CURLEW, 3, begin_bar=advice.thresholds["retract_above"].advised_bar + 0.2, cooling_k=10.0)
    result = fly_drawn(aircraft, day, curve_of(CURLEW))
    assert result.nuisance[HIGHEST] and not result.nuisance[LOWEST]
    assert result.locked[HIGHEST] and not result.locked[LOWEST]
    assert all(result.forced)


def test_a_retraction_below_the_permit_is_refused_and_is_no_nuisance():
    aircraft, advice = advised(CURLEW)
    day = day_of(CURLEW, 3, begin_bar=advice.thresholds["retract_above"].advised_bar - 0.3)
    flown = ordinary_day(aircraft, day, advised_point(CURLEW))
    assert (flown.retracted, flown.cause, flown.forced_bar) == (False, "", None)


def test_an_aircraft_that_leaks_far_more_than_stated_is_a_nuisance():
    aircraft, advice = advised(CURLEW)
    day = day_of(CURLEW, 3, begin_bar=advice.thresholds["retract_above"].advised_bar + 0.1, up_for_s=480.0)
    leaking = replace(day, air=replace(day.air, leak_m3_s_pa=30.0 * aircraft.air.leak_m3_s_pa))
    assert ordinary_day(aircraft, leaking, advised_point(CURLEW)).cause == "low air"


UNMEASURED = "{rail: {measured: no, nominal: 5 V, error: 0 V, ratio: 0.5}}"


@pytest.mark.parametrize("number", [1, 2])
def test_a_rail_that_nobody_measures_moves_where_the_gear_is_forced(number):
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(UNMEASURED, "options"))
    advice = advise(aircraft.installed, aircraft.settings)
    day = draw(aircraft, advice, SEED, number)
    point = next(point for point in points(aircraft, advice) if point.is_advised)
    flown = failing_day(aircraft, day, point)
    assert flown.retracted and flown.cause == "low air" and flown.locked
    # What went while the controller made sure, and its noise.
    assert flown.forced_bar == pytest.approx(true_bar(day, point.force_below_mbar / 1000.0) - 0.01, abs=0.02)


# Common random numbers, and what is not flown.


def test_all_points_see_the_same_readings_until_one_forces():
    aircraft, _ = advised(CURLEW)
    day = day_of(CURLEW, 0)
    flown = [ordinary_day(aircraft, day, point) for point in curve_of(CURLEW)]
    unforced = {one.lowest_bar for one in flown if not one.cause}
    assert len(unforced) == 1
    # Forced are the highest points, and no other.
    causes = [bool(one.cause) for one in flown]
    assert causes == sorted(causes) and 0 < sum(causes) < len(causes)


def assert_same(name, days):
    aircraft, advice = advised(name)
    for whole in days:
        quick = fly_drawn(aircraft, draw(aircraft, advice, SEED, whole.number), curve_of(name))
        assert quick.flights < whole.flights == 2 * len(curve_of(name))
        assert replace(quick, flights=whole.flights) == whole


@pytest.mark.deep
def test_what_is_not_flown_would_have_come_out_so():
    assert_same(CURLEW, thorough_days(CURLEW, 2))


@pytest.mark.deep
@pytest.mark.parametrize("name", [CURLEW, TERN])
def test_what_is_not_flown_would_have_come_out_so_on_many_days(name):
    assert_same(name, thorough_days(name, 25))


# The wait.


def real_ordinary_day(aircraft, day, point):
    """The day with its gear up for as long as it says, second by second; no brake taps."""
    up = gear_up.GearUp(aircraft, day, point, day.begin_bar, day.ambient_k)
    state, began_s = up.state, up.t_s
    first_k, first_m = state.ambient_k, state.altitude_m
    while up.t_s < began_s + day.up_for_s and not up.forced:
        share = min(1.0, (up.t_s - began_s) / day.up_for_s)
        state.ambient_k, state.altitude_m = first_k - share * day.cooling_k, first_m - share * day.climb_m
        up.step()
    return up


def test_the_wait_of_a_sound_aircraft_ends_where_the_real_one_does():
    aircraft, _ = advised(CURLEW)
    # A leak large enough to be seen in two minutes, and all of the cooling and the descent.
    day = day_of(CURLEW, 3, up_for_s=120.0, cooling_k=8.0, climb_m=250.0, taps=(), begin_bar=6.0)
    day = replace(day, air=replace(day.air, leak_m3_s_pa=8.0 * day.air.leak_m3_s_pa))
    point = advised_point(CURLEW)
    real = real_ordinary_day(aircraft, day, point)
    short = ordinary_day(aircraft, day, point)
    fall_bar = 7.0 * (leak_share(day.air, 120.0) + 8.0 / 288.0) + 0.03
    assert fall_bar > 0.25
    # In two minutes the tank's air lags half a kelvin behind its surroundings: 10 mbar.
    assert short.lowest_bar == pytest.approx(real.lowest_mbar / 1000.0, abs=0.02)


@pytest.mark.parametrize("number", [0, 6])
def test_the_wait_of_a_leak_forces_as_the_real_leak_does(number, monkeypatch):
    aircraft, _ = advised(CURLEW)
    day = day_of(CURLEW, number)
    day = replace(day, leak_bar_s=0.02, leak_m3_s_pa=0.02 / day.leak_bar_s * day.leak_m3_s_pa)
    point = advised_point(CURLEW)
    short = failing_day(aircraft, day, point)
    monkeypatch.setattr(gear_up.GearUp, "wait_until", lambda self, bar: None)
    real = failing_day(aircraft, day, point)
    assert short.cause == real.cause == "low air"
    assert short.forced_bar == pytest.approx(real.forced_bar, abs=0.015)
    assert short.lock_s == pytest.approx(real.lock_s, abs=0.08)


def test_a_wait_four_times_as_fast_would_be_taken_for_a_burst(monkeypatch):
    aircraft, _ = advised(CURLEW)
    day, point = day_of(CURLEW, 3), curve_of(CURLEW)[2]
    assert failing_day(aircraft, day, point).cause == "low air"
    step_bar = gear_up.GearUp._step_bar
    monkeypatch.setattr(gear_up.GearUp, "_step_bar", lambda self, s: 4.0 * step_bar(self, s))
    assert failing_day(aircraft, day, point).cause == "burst"


def test_no_air_appears_or_vanishes():
    for day in thorough_days(CURLEW, 2):
        assert day.ordinary.balance_error < 1e-9 and day.failing.balance_error < 1e-9
