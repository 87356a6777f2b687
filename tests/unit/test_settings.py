"""The table of settings and what is derived from it: ranges, defaults, rounding, constants (SR-17, SR-24, SR-30, SR-34)."""

import pytest

from controller import codes, limits
from controller.checks import first_fault
from controller.limits import Limits, adiabatic_drop_mbar, isothermal_drop_mbar, ratio_of_tank, ticks_down, ticks_up
from controller.settings import FIELDS, HIGH, LOW, NAME, ROUNDING, SCHEMA, Settings, range_fault

from .driver import settings_with

ROWS = {row[NAME]: row for row in FIELDS}


def test_every_row_is_whole():
    assert SCHEMA == 1
    assert len(ROWS) == len(FIELDS)
    for name, unit, low, high, default, rounding, requirement in FIELDS:
        assert low <= default <= high, name
        assert 0 <= low and high < 2**24, name
        assert rounding in ("down", "up", "exact"), name
        assert requirement.startswith("SR-"), name
        if unit:
            assert name.endswith("_" + unit.replace("/", "_").lower()), name


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("name", ROWS)
def test_value_beside_its_range_is_found(name):
    row = ROWS[name]
    settings = Settings()
    for value in (row[LOW] - 1, row[HIGH] + 1):
        setattr(settings, name, value)
        assert FIELDS[range_fault(settings)][NAME] == name


@pytest.mark.sr("SR-30", "spares")
def test_defaults_pass_every_check():
    assert range_fault(Settings()) == -1
    assert first_fault(Settings()) == 0


# What a new installation starts from, as the requirements give it.
DEFAULTS = {
    "link_settle_ms": 2000,
    "permit_confirm_ms": 200,
    "ground_clear_ms": 1000,
    "low_confirm_ms": 500,
    "burst_window_ms": 500,
    "burst_floor_mbar_s": 100,
    "burst_lead_ms": 1000,
    "sensor_confirm_ms": 200,
    "sensor_force_ms": 2000,
    "link_degraded_ms": 100,
    "link_recover_ms": 200,
    "link_force_ms": 1000,
    "recover_ms": 2000,
    "release_hold_ms": 200,
    "switch_frames": 3,
    "gear_low_us": 1300,
    "gear_high_us": 1700,
    "begin_slack_mbar": 100,
    "supply_force_mv": 4500,
    "supply_confirm_ms": 500,
    "heal_ms": 200,
    "coil_ms": 300,
    "coil_repeat_ms": 10000,
    "brake_on_permille": 100,
    "throttle_idle_permille": 50,
    "brake_confirm_ms": 1000,
    "approach_confirm_ms": 3000,
    "alert_clear_ms": 20000,
    "stroke_settle_ms": 500,
    "lock_confirm_ms": 200,
}


@pytest.mark.parametrize("name", DEFAULTS)
def test_default_is_the_one_of_the_requirements(name):
    assert getattr(Settings(), name) == DEFAULTS[name]


# Times that force are rounded down, times that permit or release are rounded up.
FORCING = (
    "low_confirm_ms warn_confirm_ms sensor_confirm_ms sensor_force_ms supply_confirm_ms link_degraded_ms link_force_ms "
    "brake_confirm_ms approach_confirm_ms lock_margin_ms lock_confirm_ms coil_repeat_ms signature_age_ms"
).split()
RELEASING = (
    "permit_confirm_ms heal_ms recover_ms release_hold_ms link_recover_ms link_settle_ms ground_clear_ms "
    "alert_clear_ms stroke_ms stroke_settle_ms"
).split()


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize("name", FORCING)
def test_time_that_forces_is_rounded_down(name):
    assert ROWS[name][ROUNDING] == "down"


@pytest.mark.sr("SR-30", "spares")
@pytest.mark.parametrize("name", RELEASING)
def test_time_that_permits_or_releases_is_rounded_up(name):
    assert ROWS[name][ROUNDING] == "up"


@pytest.mark.parametrize("name", ["retract_above_mbar", "warn_below_mbar", "force_below_mbar", "lock_min_mbar"])
def test_pressure_that_keeps_air_is_rounded_up(name):
    assert ROWS[name][ROUNDING] == "up"


@pytest.mark.sr("SR-17", "acts")
@pytest.mark.parametrize(
    ("time_ms", "down", "up"), [(1, 2, 2), (59, 2, 2), (60, 2, 2), (61, 2, 3), (90, 3, 3), (119, 3, 4)]
)
def test_ticks_of_a_time(time_ms, down, up):
    assert ticks_down(time_ms, 30) == down
    assert ticks_up(time_ms, 30) == up


def test_constants_of_the_requirements():
    assert limits.BRAKE_SETTLE_MS == 600
    assert limits.BURST_SAMPLES == 3
    assert (limits.STROKE_LOSS_PERCENT, limits.STROKE_LOSS_MBAR) == (130, 50)
    assert limits.SUPPLY_MARGIN_MV == 300
    assert (limits.CHARGE_RISE_MBAR, limits.CHARGE_HOLD_S, limits.CHARGE_SPAN_S) == (300, 60, 30)
    assert (limits.LEAK_MBAR, limits.LEAK_SPAN_S, limits.LEAK_QUIET_S, limits.LEAK_FILL_S) == (100, 60, 30, 180)
    # ICAO Doc 7488/3, sea level: 1013.25 mbar.
    assert limits.AMBIENT_MBAR_ABS == 1013


def test_all_limits_of_the_defaults():
    derived = Limits(Settings())
    expected = {
        "low_ticks": 25,
        "warn_ticks": 10,
        "sensor_ticks": 10,
        "sensor_force_ticks": 100,
        "supply_ticks": 25,
        "link_degraded_ticks": 5,
        "link_force_ticks": 50,
        "brake_ticks": 50,
        "approach_ticks": 150,
        "lock_open_ticks": 10,
        "lock_due_ticks": 150,
        "permit_ticks": 10,
        "heal_ticks": 10,
        "recover_ticks": 100,
        "release_ticks": 10,
        "link_recover_ticks": 10,
        "link_settle_ticks": 100,
        "ground_ticks": 50,
        "alert_clear_ticks": 1000,
        "stroke_ticks": 175,
        "brake_settle_ticks": 30,
        "window_ticks": 25,
        "supply_permit_mv": 4800,
        "deadband_mbar": 200,
    }
    assert {name: getattr(derived, name) for name in expected} == expected


@pytest.mark.parametrize("pressure_mbar", [1000, 4000, 7500, 15000])
@pytest.mark.parametrize(
    ("tank_ml", "swept_ul", "dead_ul"), [(750, 22000, 12000), (300, 40000, 5000), (1500, 9000, 30000)]
)
def test_drops_follow_the_closed_forms(pressure_mbar, tank_ml, swept_ul, dead_ul):
    filled = ratio_of_tank(swept_ul + dead_ul, tank_ml)
    dead = ratio_of_tank(dead_ul, tank_ml)
    p = pressure_mbar + 1013.25
    vt, vd, vs = tank_ml, dead_ul / 1000, swept_ul / 1000
    # Isothermal mixing: p' = (p Vt + pa Vd)/(Vt + Vd + Vs); adiabatic drop: gamma/Vt (p (Vd + Vs) - pa Vd).
    isothermal = p - (p * vt + 1013.25 * vd) / (vt + vd + vs)
    adiabatic = 1.4 / vt * (p * (vd + vs) - 1013.25 * vd)
    assert isothermal_drop_mbar(pressure_mbar, filled, dead) == pytest.approx(isothermal, rel=0.02, abs=3)
    assert adiabatic_drop_mbar(pressure_mbar, filled, dead) == pytest.approx(adiabatic, rel=0.02, abs=3)


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize(("span", "noise", "deadband"), [(10000, 10, 200), (16000, 10, 320), (5000, 80, 160)])
def test_deadband_is_the_larger_of_two_percent_and_twice_the_noise(span, noise, deadband):
    assert Limits(settings_with(sensor_a_span_mbar=span, sensor_noise_mbar=noise)).deadband_mbar == deadband


def test_words_stand_for_every_code():
    assert len(codes.CAUSE_WORDS) == len(codes.CAUSE_SENTENCES) == len(codes.CAUSE_UNITS) == codes.N_CAUSES + 1
    assert len(codes.REFUSAL_WORDS) == len(codes.REFUSAL_SENTENCES) == codes.N_REFUSALS
    assert len(codes.MODE_WORDS) == len(codes.MODE_SENTENCES) == codes.LOCKED_OUT + 1
    assert len(codes.ALERT_WORDS) == len(codes.ALERT_SENTENCES) == codes.N_ALERTS
    assert len(codes.CHANNEL_WORDS) == codes.N_CHANNELS
    assert len(codes.LINK_WORDS) == codes.LINK_LOST + 1
    assert len(codes.GRADE_WORDS) == codes.SENSOR_FROZEN + 1
    assert len(codes.LOCK_WORDS) == codes.LOCK_DISTRUSTED + 1
    assert len(codes.SETTINGS_WORDS) == codes.SETTINGS_NONE + 1
    assert len(codes.VALVE_WORDS) == codes.VALVE_SERVO + 1
    for words in (codes.CAUSE_WORDS, codes.REFUSAL_WORDS, codes.MODE_WORDS, codes.ALERT_WORDS):
        assert len(set(words)) == len(words)
