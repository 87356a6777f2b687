"""Every number that stands outside functions in the controller, held against what the requirement says.

Three kinds: codes are the places of their words; figures of requirements stand in a table of their own with the id of
the requirement; what can be computed (checksum table, lamp patterns, sizes) is computed here another way.
"""

import importlib

import pytest

from controller import alerts, codes, journal, packing, settings

# The codes of each group in the order of their words: nothing is left out, none has two meanings, and the safe one is
# 0, which is what a cleared memory holds.
GROUPS = {
    "POSITION_WORDS": "DOWN UP POSITION_UNKNOWN",
    "FACT_WORDS": "NO YES UNKNOWN",
    "CHANNEL_WORDS": "GEAR THROTTLE BRAKE LIGHT SPARE",
    "LINK_WORDS": "LINK_GOOD LINK_DEGRADED LINK_LOST",
    "MODE_WORDS": "WAKING MODE_DOWN MODE_UP HELD LOCKED_OUT",
    "GRADE_WORDS": "SENSOR_GOOD SENSOR_ABSENT SENSOR_OPEN SENSOR_SHORT SENSOR_RAIL SENSOR_FROZEN",
    "CAUSE_WORDS": "CAUSE_LOW_AIR CAUSE_BURST CAUSE_STROKE_LOSS CAUSE_PRESSURE CAUSE_LINK CAUSE_SUPPLY CAUSE_LATE"
    " CAUSE_CLOCK CAUSE_SECOND_PATH CAUSE_NONE",
    "REFUSAL_WORDS": "REFUSAL_NONE REFUSAL_LOCKED_OUT REFUSAL_HELD REFUSAL_WAKING REFUSAL_NO_DOWN REFUSAL_SETTINGS"
    " REFUSAL_WIRING REFUSAL_PRESSURE REFUSAL_DISAGREE REFUSAL_AIR REFUSAL_CHARGING REFUSAL_SUPPLY REFUSAL_GROUND"
    " REFUSAL_SECOND_PATH",
    "LOCK_WORDS": "LOCK_NOT_FITTED LOCK_OPEN LOCK_CLOSED LOCK_DISTRUSTED",
    "SEVERITY_WORDS": "SEVERITY_NONE ADVISORY CAUTION WARNING",
    "SETTINGS_WORDS": "SETTINGS_GOOD SETTINGS_ONE_COPY SETTINGS_DIFFER SETTINGS_NONE",
    "VALVE_WORDS": "VALVE_INVALID VALVE_SPRING VALVE_TWO_COIL VALVE_SERVO",
    "ALERT_WORDS": "ALERT_NONE ALERT_FORCED ALERT_NOT_LOCKED ALERT_NOT_DOWN ALERT_BRAKES ALERT_LOCKED_OUT ALERT_WIRING"
    " ALERT_AIR_LOW ALERT_REFUSED ALERT_PRESSURE ALERT_LINK ALERT_SUPPLY ALERT_SETTINGS_NONE ALERT_SETTINGS_DIFFER"
    " ALERT_SETTINGS_ONE ALERT_DISAGREE ALERT_SENSOR ALERT_HELD ALERT_LEAK ALERT_STROKE ALERT_LOCK_SWITCH"
    " ALERT_CHARGING ALERT_THROTTLE ALERT_BRAKE_CHANNEL ALERT_LIGHT_CHANNEL ALERT_RESTARTED ALERT_LATE",
}
COUNTS = {
    "N_CHANNELS": len(codes.CHANNEL_WORDS),
    "N_CAUSES": len(codes.CAUSE_WORDS) - 1,
    "N_REFUSALS": len(codes.REFUSAL_WORDS),
    "N_ALERTS": len(codes.ALERT_WORDS),
    "N_SENSORS": 2,
    "N_LEGS": 4,
}


@pytest.mark.parametrize("words", list(GROUPS))
def test_codes_are_the_places_of_their_words(words):
    names = GROUPS[words].split()
    assert [getattr(codes, name) for name in names] == list(range(len(getattr(codes, words))))


def test_no_code_is_left_out():
    named = {name for names in GROUPS.values() for name in names.split()} | set(COUNTS)
    assert {name for name, value in vars(codes).items() if isinstance(value, int)} == named
    assert {name: getattr(codes, name) for name in COUNTS} == COUNTS


@pytest.mark.parametrize(
    "module, prefix, words",
    [(packing, "UNPACK_", packing.UNPACK_WORDS), (journal, "KIND_", journal.KIND_WORDS)],
    ids=["packing", "journal"],
)
def test_other_codes_are_the_places_of_their_words(module, prefix, words):
    found = {name: value for name, value in vars(module).items() if name.startswith(prefix) and isinstance(value, int)}
    assert list(found.values()) == list(range(len(words)))


# (file, name, value, requirement or source)
FIGURES = [
    ("aids", "DEAD_ZONE_PERMILLE", 20, "SR-21, by choice: two hundredths of a lever's travel"),
    ("aids", "LIGHT_ON_PERMILLE", 600, "SR-22, by choice: a switch, not a lever"),
    ("aids", "LIGHT_OFF_PERMILLE", 400, "SR-22, by choice"),
    ("alerts", "STEP_MS", 125, "SR-20: an eighth of a second"),
    ("alerts", "STEPS", 16, "SR-20: two seconds"),
    ("alerts", "FLASH_SPAN_MS", 1000, "SR-20: not over 3 flashes a second"),
    ("alerts", "AT_ONCE", 0, "SR-24"),
    ("alerts", "LEVEL", 1, "SR-24"),
    ("alerts", "SEVERITY", 0, "place in a row"),
    ("alerts", "ENDING", 1, "place in a row"),
    ("alerts", "PATTERN", 2, "place in a row"),
    ("alerts", "TONE_HZ", 3, "place in a row"),
    ("channels", "PULSE_LOW_US", 800, "SAFETY.md, Words: valid when 800-2200 us wide"),
    ("channels", "PULSE_HIGH_US", 2200, "SAFETY.md, Words: valid when 800-2200 us wide"),
    ("frames", "ABSENT", -2, "no reading of anything, and not NOT_KNOWN"),
    ("frames", "NOT_KNOWN", -1, "no reading of anything"),
    ("health", "CLOCK_MASK", 2**30 - 1, "SR-33: clocks wrap after 12.4 days on the boards"),
    ("health", "LATE_LATCH_MS", 100, "SR-31: a tick over 100 ms late"),
    ("health", "LATE_SPAN_MS", 1000, "SR-31: 3 late ones in a second"),
    ("health", "MEAN_TICKS", 50, "SR-33: the mean period of 50 ticks"),
    ("health", "RESTART_LIMIT", 3, "SR-32: after three resets"),
    ("health", "HEALTHY_MS", 60000, "SR-32: without 60 s of healthy running"),
    ("health", "CHECK_WORD", 0x2D5B, "SR-32, by choice: neither all zeros nor all ones, nor any count"),
    ("journal", "RECORD_BYTES", 16, "SR-35: the record as it is described"),
    ("journal", "KEPT", 256, "SR-35, by choice"),
    ("limits", "AMBIENT_MBAR_ABS", 1013, "ICAO Doc 7488/3: 1013.25 hPa at sea level"),
    ("limits", "RATIO_ONE", 10000, "unit of ratios"),
    ("limits", "BRAKE_SETTLE_MS", 600, "SR-04: brakes not moved for 0.6 s"),
    ("limits", "BURST_SAMPLES", 3, "SR-04: on 3 samples"),
    ("limits", "STROKE_LOSS_PERCENT", 130, "SR-04: 1.3 times the expected one"),
    ("limits", "STROKE_LOSS_MBAR", 50, "SR-04: + 50 mbar"),
    ("limits", "SUPPLY_MARGIN_MV", 300, "SR-02, SR-13: 0.3 V above its forcing point"),
    ("limits", "SUPPLY_CONFIRM_DRIVEN_MS", 200, "SR-13, by choice: while the valve can still be driven"),
    ("limits", "SUPPLY_DEADBAND_MV", 100, "SR-24: 2 % of 5 V"),
    ("limits", "CHARGE_RISE_MBAR", 300, "SR-19, by choice"),
    ("limits", "CHARGE_HOLD_S", 60, "SR-19: for 60 s after"),
    ("limits", "CHARGE_SPAN_S", 30, "SR-19, by choice"),
    ("limits", "LEAK_MBAR", 100, "SR-15: after 0.1 bar"),
    ("limits", "LEAK_SPAN_S", 60, "SR-15: in a quiet minute"),
    ("limits", "LEAK_QUIET_S", 30, "SR-15, by choice: heat of a stroke has come back"),
    ("limits", "LEAK_FILL_S", 180, "SR-15, by choice: heat of filling has gone"),
    ("limits", "MAX_RATE_MBAR_S", 20000, "SR-34: keeps the product below 2**30"),
    ("packing", "HEAD_BYTES", 8, "SR-30: magic 4, schema 2, rows 2"),
    ("second_inputs", "NO_SAMPLE_MBAR", -32000, "SR-11: below every reading"),
    ("sensor", "ADC_MAX", 2**12 - 1, "SR-05: a 12-bit converter"),
    ("settings", "SCHEMA", 1, "SR-30"),
    ("slopes", "PAUSE_TICKS", 5, "SR-04: one bad sample costs three ticks"),
    ("strokes", "FEW_MBAR", 25, "SR-15, by choice: large enough to be seen"),
    ("strokes", "BRAKE_MOVED_US", 30, "SR-04, by choice: more than a receiver's jitter"),
    ("tank", "EMPTY", -1, "no reading, below every pressure"),
    ("tank", "RISING_MBAR", 5, "SR-19, by choice"),
    ("tick", "LAST_TICK", 2**29, "SR-34"),
    ("valve", "DEAD_TIME_MS", 20, "SR-18: 20 ms between them"),
    ("valve", "SERVO_LOW_US", 800, "SR-18"),
    ("valve", "SERVO_HIGH_US", 2200, "SR-18"),
    ("valve", "SERVO_TRAVEL_US", 100, "SR-18, by choice: less moves no valve"),
]


@pytest.mark.parametrize(("file", "name", "value", "why"), FIGURES, ids=[f"{f[0]}.{f[1]}" for f in FIGURES])
def test_figure_is_that_of_the_requirement(file, name, value, why):
    assert getattr(importlib.import_module(f"controller.{file}"), name) == value, why


@pytest.mark.sr("SR-31", "acts")
def test_stages_are_the_order_of_a_tick():
    health = importlib.import_module("controller.health")
    order = "SECOND_PATH CHANNELS PRESSURE SLOW FACTS GEAR OUTPUTS ALERTS".split()
    assert [getattr(health, f"STAGE_{name}") for name in order] == list(range(health.N_STAGES))


def test_places_in_a_row_of_settings_and_the_size_of_a_copy():
    names = ("NAME", "UNIT", "LOW", "HIGH", "DEFAULT", "ROUNDING", "REQUIREMENT")
    assert [getattr(settings, name) for name in names] == list(range(7))
    assert settings.N_FIELDS == len(RANGES)
    assert packing.PACKED_BYTES == 4 + 2 + 2 + 4 * len(RANGES) + 4


# What the eye sees in two seconds, an eighth of a second each: three flashes a second at most (SR-20).
PATTERNS = {
    "DARK": "................",
    "QUICK": "##..#...##..#...",
    "LONG_PAIR": "##..##..##..##..",
    "TRIPLE": "..#.#.#.........",
    "PAIR": "#..#............",
    "SLOW": "########........",
    "BLINK": "#...............",
}


@pytest.mark.sr("SR-20", "acts")
@pytest.mark.parametrize("name", list(PATTERNS))
def test_pattern_is_what_the_eye_sees(name):
    bits = getattr(alerts, name)
    assert "".join("#" if bits >> step & 1 else "." for step in range(16)) == PATTERNS[name]
    assert bits >> 16 == 0


# Tones in Hz: none for advisories, 500-3000 otherwise, warnings above cautions (SR-20).
TONES = [0, 2400, 2000, 2800, 1600, 2400, 2400, 1200, 1000, *[800] * 9, 1200, *[0] * 8]


@pytest.mark.sr("SR-20", "acts")
def test_tones():
    assert [row[alerts.TONE_HZ] for row in alerts.TABLE] == TONES


# fmt: off
# (name, lowest, highest, built-in): the built-in one is on the cautious side.
RANGES = [
    ("tick_ms",                       10,     50,     20),
    ("sensor_count",                   1,      2,      1),
    ("sensor_a_zero_counts",         100,   2000,    399),
    ("sensor_a_full_counts",        1000,   4095,   3591),
    ("sensor_a_span_mbar",          2000,  16000,  10000),
    ("sensor_b_zero_counts",         100,   2000,    399),
    ("sensor_b_full_counts",        1000,   4095,   3591),
    ("sensor_b_span_mbar",          2000,  16000,  10000),
    ("sensor_open_counts",            20,   1500,    200),
    ("sensor_short_counts",         1500,   4094,   3789),
    ("sensor_noise_mbar",              0,    200,     10),
    ("sensor_error_mbar",             20,   1000,    150),
    ("sensor_disagree_mbar",          50,   2000,    300),
    ("sensor_confirm_ms",             20,   1000,    200),
    ("sensor_force_ms",              100,  10000,   2000),
    ("rail_fitted",                    0,      1,      0),
    ("rail_nominal_counts",         1000,   4000,   3102),
    ("supply_fitted",                  0,      1,      0),
    ("supply_full_mv",              3300,  40000,  13200),
    ("supply_force_mv",             2500,  20000,   4500),
    ("supply_confirm_ms",             40,   2000,    500),
    ("fill_mbar",                   2000,  15000,   7500),
    ("retract_above_mbar",          1000,  15000,   5600),
    ("warn_below_mbar",              500,  15000,   5100),
    ("force_below_mbar",             500,  15000,   4700),
    ("lock_min_mbar",                200,  15000,   3900),
    ("brake_mbar",                     0,   2000,     70),
    ("begin_slack_mbar",               0,    500,    100),
    ("burst_floor_mbar_s",            50,   2000,    100),
    ("burst_window_ms",              200,    600,    500),
    ("burst_lead_ms",                  0,   5000,   1000),
    ("tank_ml",                      100,   5000,    750),
    ("retract_swept_ul",               0, 300000,  22000),
    ("retract_dead_ul",                0, 300000,  12000),
    ("extend_swept_ul",                0, 300000,  26000),
    ("extend_dead_ul",                 0, 300000,  12000),
    ("extend_ms",                    200,  10000,   2500),
    ("stroke_ms",                    200,  10000,   3000),
    ("stroke_settle_ms",             100,   2000,    500),
    ("stroke_fraction_permille",     300,    750,    650),
    ("low_confirm_ms",                40,   2000,    500),
    ("warn_confirm_ms",               40,   2000,    200),
    ("permit_confirm_ms",             40,   5000,    200),
    ("heal_ms",                       40,   5000,    200),
    ("recover_ms",                   100,  60000,   2000),
    ("release_hold_ms",               40,   5000,    200),
    ("link_degraded_ms",              40,    500,    100),
    ("link_recover_ms",               40,   5000,    200),
    ("link_force_ms",                100,   2000,   1000),
    ("link_settle_ms",               100,  30000,   2000),
    ("switch_frames",                  2,     10,      3),
    ("gear_low_us",                  900,   2000,   1300),
    ("gear_high_us",                1000,   2100,   1700),
    ("gear_up_high",                   0,      1,      1),
    ("signature_channel",              0,      4,      0),
    ("signature_low_us",             800,   2200,   2050),
    ("signature_high_us",            800,   2200,   2150),
    ("signature_travel_low_us",      800,   2200,   1000),
    ("signature_travel_high_us",     800,   2200,   2000),
    ("signature_age_ms",              20,    100,     40),
    ("throttle_fitted",                0,      1,      1),
    ("throttle_idle_us",             800,   2200,   1100),
    ("throttle_full_us",             800,   2200,   1900),
    ("throttle_idle_permille",        30,    400,     50),
    ("brake_fitted",                   0,      1,      1),
    ("brake_off_us",                 800,   2200,   1100),
    ("brake_full_us",                800,   2200,   1900),
    ("brake_on_permille",             30,    500,    100),
    ("brake_confirm_ms",              40,   5000,   1000),
    ("light_fitted",                   0,      1,      1),
    ("light_off_us",                 800,   2200,   1100),
    ("light_on_us",                  800,   2200,   1900),
    ("approach_confirm_ms",          500,  20000,   3000),
    ("alert_clear_ms",             20000,  60000,  20000),
    ("lock_count",                     0,      4,      0),
    ("lock_closed_level",              0,      1,      0),
    ("lock_margin_ms",               100,   5000,    500),
    ("lock_confirm_ms",               40,   1000,    200),
    ("ground_fitted",                  0,      1,      0),
    ("ground_clear_level",             0,      1,      0),
    ("ground_clear_ms",               40,  10000,   1000),
    ("coil_ms",                       50,   1000,    300),
    ("coil_repeat_ms",              1000,  60000,  10000),
]
# fmt: on


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(("index", "row"), list(enumerate(RANGES)), ids=[row[0] for row in RANGES])
def test_range_and_built_in_value_of_a_setting(index, row):
    field = settings.FIELDS[index]
    assert (field[0], field[2], field[3], field[4]) == row
    assert row[1] <= row[3] <= row[2]
