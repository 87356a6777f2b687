"""Settings into ticks and ratios: which way each time is rounded, and each figure by hand."""

import pytest

from controller.limits import Limits, adiabatic_drop_mbar, isothermal_drop_mbar, ratio_of_tank, ticks_down, ticks_up

from .driver import settings_with


@pytest.mark.parametrize(
    "time_ms, down, up",
    [(0, 2, 2), (39, 2, 2), (40, 2, 2), (41, 2, 3), (59, 2, 3), (60, 3, 3), (61, 3, 4), (1000, 50, 50), (1019, 50, 51)],
)
def test_ticks_of_a_time(time_ms, down, up):
    assert (ticks_down(time_ms, 20), ticks_up(time_ms, 20)) == (down, up)
    assert type(ticks_down(time_ms, 20)) is type(ticks_up(time_ms, 20)) is int


@pytest.mark.parametrize(
    "volume_ul, tank_ml, ratio", [(0, 750, 0), (1, 750, 1), (75, 750, 1), (76, 750, 2), (31, 103, 4), (34000, 750, 454)]
)
def test_ratio_of_the_tank_is_rounded_up(volume_ul, tank_ml, ratio):
    assert ratio_of_tank(volume_ul, tank_ml) == ratio


def test_drops_by_hand():
    # (7000 + 1013) x 454 - 1013 x 160 = 3475822; 347 x 14 // 10; 34758 x 100 // 10454
    assert adiabatic_drop_mbar(7000, 454, 160) == 485
    assert isothermal_drop_mbar(7000, 454, 160) == 332
    assert type(adiabatic_drop_mbar(7000, 454, 160)) is type(isothermal_drop_mbar(7000, 454, 160)) is int
    # Nothing is filled: nothing is spent.
    assert adiabatic_drop_mbar(7000, 0, 0) == isothermal_drop_mbar(7000, 0, 0) == 0
    # Coarse steps show where the rounding is done: 2013 x 100 - 1013 x 90 = 110130.
    assert adiabatic_drop_mbar(1000, 100, 90) == 11 * 14 // 10
    assert isothermal_drop_mbar(1000, 100, 90) == 1101 * 100 // 10100


# Each time one that does not fill its last tick of 20 ms.
TIMES = {
    "low_confirm_ms": 479,
    "warn_confirm_ms": 239,
    "sensor_confirm_ms": 219,
    "sensor_force_ms": 2059,
    "supply_confirm_ms": 459,
    "link_degraded_ms": 139,
    "link_force_ms": 1019,
    "signature_age_ms": 79,
    "brake_confirm_ms": 939,
    "approach_confirm_ms": 3019,
    "lock_confirm_ms": 259,
    "permit_confirm_ms": 281,
    "heal_ms": 161,
    "recover_ms": 2081,
    "release_hold_ms": 261,
    "link_recover_ms": 301,
    "link_settle_ms": 2121,
    "ground_clear_ms": 1161,
    "alert_clear_ms": 20021,
    "stroke_ms": 3081,
    "stroke_settle_ms": 521,
    "extend_ms": 2511,
    "lock_margin_ms": 548,
    "burst_window_ms": 521,
}
TICKS = {
    "low_ticks": 23,
    "warn_ticks": 11,
    "sensor_ticks": 10,
    "sensor_force_ticks": 102,
    "supply_ticks": 22,
    "link_degraded_ticks": 6,
    "link_force_ticks": 50,
    "signature_age_ticks": 3,
    "brake_ticks": 46,
    "approach_ticks": 150,
    "lock_open_ticks": 12,
    "lock_due_ticks": 152,
    "lever_lost_ticks": 25,
    "permit_ticks": 15,
    "heal_ticks": 9,
    "recover_ticks": 105,
    "release_ticks": 14,
    "link_recover_ticks": 16,
    "link_settle_ticks": 107,
    "ground_ticks": 59,
    "alert_clear_ticks": 1002,
    "stroke_ticks": 181,
    "brake_settle_ticks": 30,
    "window_ticks": 27,
    "second_ticks": 50,
    "tick_ms": 20,
}


def test_each_time_is_rounded_to_its_safe_side():
    limits = Limits(settings_with(**TIMES))
    assert {name: getattr(limits, name) for name in TICKS} == TICKS


def test_times_that_no_builder_sets_are_rounded_too():
    limits = Limits(settings_with(tick_ms=30))
    assert (limits.second_ticks, limits.lever_lost_ticks, limits.brake_settle_ticks) == (34, 16, 20)
    assert Limits(settings_with(tick_ms=40)).brake_settle_ticks == 15
    assert Limits(settings_with(tick_ms=45)).brake_settle_ticks == 14


AIR = {
    "tank_ml": 800,
    "retract_swept_ul": 21000,
    "retract_dead_ul": 11000,
    "extend_swept_ul": 25000,
    "extend_dead_ul": 13000,
    "fill_mbar": 8000,
}


def test_air_and_supply():
    limits = Limits(settings_with(**AIR, supply_force_mv=4600))
    assert (limits.retract_ratio, limits.retract_dead) == (400, 138)
    assert (limits.extend_ratio, limits.extend_dead) == (475, 163)
    # Adiabatic drop of an extension from a full tank: (9013 x 475 - 1013 x 163) // 10000 x 14 // 10 = 576 mbar;
    # 4 / 14 of it comes back as heat, twice that and 0.3 bar is more than any rebound.
    assert limits.charge_mbar == 300 + 2 * (576 * 4 // 14)
    assert limits.supply_permit_mv == 4900


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize(
    "span_mbar, noise_mbar, deadband_mbar",
    [(10000, 10, 200), (10000, 99, 200), (10000, 100, 200), (10000, 101, 202), (9999, 10, 199), (2000, 200, 400)],
)
def test_deadband_is_the_larger_of_range_and_noise(span_mbar, noise_mbar, deadband_mbar):
    limits = Limits(settings_with(sensor_a_span_mbar=span_mbar, sensor_noise_mbar=noise_mbar))
    assert limits.deadband_mbar == deadband_mbar
    assert type(limits.deadband_mbar) is int
