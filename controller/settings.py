"""The one table of settings: every value a builder can change, with its unit, range, default and safe rounding.

A row is (name, unit, low, high, default, rounding, requirement). The unit is the last part of the name where there is
one. `rounding` says which side is safe when a value with a fraction becomes an integer: "down", "up", or "exact" for
counts and choices. Packing, range checks, the PC's aircraft files and the print-outs all read this table; the order
of the rows is the order in the packed file, so a change of rows is a new SCHEMA.

Times are milliseconds here; limits.py turns them into ticks.
"""

SCHEMA = 1

# fmt: off
FIELDS = (
    ("tick_ms",                 "ms",      10,    50,    20, "exact", "SR-33"),
    # pressure sensors: codes of a 12-bit ADC at zero gauge and at full span
    ("sensor_count",            "",         1,     2,     1, "exact", "SR-05"),
    ("sensor_a_zero_counts",    "counts", 100,  2000,   399, "exact", "SR-05"),
    ("sensor_a_full_counts",    "counts", 1000, 4095,  3591, "exact", "SR-05"),
    ("sensor_a_span_mbar",      "mbar",  2000, 16000, 10000, "exact", "SR-05"),
    ("sensor_b_zero_counts",    "counts", 100,  2000,   399, "exact", "SR-05"),
    ("sensor_b_full_counts",    "counts", 1000, 4095,  3591, "exact", "SR-05"),
    ("sensor_b_span_mbar",      "mbar",  2000, 16000, 10000, "exact", "SR-05"),
    ("sensor_open_counts",      "counts",  20,  1500,   200, "up",    "SR-05"),
    ("sensor_short_counts",     "counts", 1500, 4094,  3789, "down",  "SR-05"),
    ("sensor_noise_mbar",       "mbar",     0,   200,    10, "up",    "SR-15"),
    ("sensor_error_mbar",       "mbar",    20,  1000,   150, "up",    "SR-03"),
    ("sensor_disagree_mbar",    "mbar",    50,  2000,   300, "down",  "SR-05"),
    ("sensor_confirm_ms",       "ms",      20,  1000,   200, "down",  "SR-05"),
    ("sensor_force_ms",         "ms",     100, 10000,  2000, "down",  "SR-05"),
    ("rail_fitted",             "",         0,     1,     0, "exact", "SR-05"),
    ("rail_nominal_counts",     "counts", 1000, 4000,  3102, "exact", "SR-05"),
    # supply of receiver and valve
    ("supply_fitted",           "",         0,     1,     0, "exact", "SR-13"),
    ("supply_full_mv",          "mV",    3300, 40000, 13200, "exact", "SR-13"),
    ("supply_force_mv",         "mV",    2500, 20000,  4500, "up",    "SR-13"),
    ("supply_confirm_ms",       "ms",      40,  2000,   500, "down",  "SR-13"),
    # pressures, gauge
    ("fill_mbar",               "mbar",  2000, 15000,  7500, "down",  "SR-02"),
    ("retract_above_mbar",      "mbar",  1000, 15000,  5600, "up",    "SR-02"),
    ("warn_below_mbar",         "mbar",   500, 15000,  5100, "up",    "SR-12"),
    ("force_below_mbar",        "mbar",   500, 15000,  4700, "up",    "SR-03"),
    ("lock_min_mbar",           "mbar",   200, 15000,  3900, "up",    "SR-03"),
    ("brake_mbar",              "mbar",     0,  2000,    70, "up",    "SR-02"),
    ("begin_slack_mbar",        "mbar",     0,   500,   100, "exact", "SR-11"),
    ("burst_floor_mbar_s",      "mbar/s",  50,  2000,   100, "up",    "SR-04"),
    ("burst_window_ms",         "ms",     200,   600,   500, "exact", "SR-04"),
    ("burst_lead_ms",           "ms",       0,  5000,  1000, "up",    "SR-04"),
    # air system
    ("tank_ml",                 "mL",     100,  5000,   750, "down",  "SR-02"),
    ("retract_swept_ul",        "uL",       0, 300000, 22000, "up",   "SR-02"),
    ("retract_dead_ul",         "uL",       0, 300000, 12000, "up",   "SR-02"),
    ("extend_swept_ul",         "uL",       0, 300000, 26000, "up",   "SR-15"),
    ("extend_dead_ul",          "uL",       0, 300000, 12000, "up",   "SR-15"),
    ("extend_ms",               "ms",     200, 10000,  2500, "up",    "SR-03"),
    ("stroke_ms",               "ms",     200, 10000,  3000, "up",    "SR-04"),
    ("stroke_settle_ms",        "ms",     100,  2000,   500, "up",    "SR-04"),
    ("stroke_fraction_permille", "permille", 300, 750, 650, "exact",  "SR-15"),
    # confirm times
    ("low_confirm_ms",          "ms",      40,  2000,   500, "down",  "SR-03"),
    ("warn_confirm_ms",         "ms",      40,  2000,   200, "down",  "SR-12"),
    ("permit_confirm_ms",       "ms",      40,  5000,   200, "up",    "SR-02"),
    ("heal_ms",                 "ms",      40,  5000,   200, "up",    "SR-17"),
    ("recover_ms",              "ms",     100, 60000,  2000, "up",    "SR-07"),
    ("release_hold_ms",         "ms",      40,  5000,   200, "up",    "SR-07"),
    # link
    ("link_degraded_ms",        "ms",      40,   500,   100, "down",  "SR-06"),
    ("link_recover_ms",         "ms",      40,  5000,   200, "up",    "SR-06"),
    ("link_force_ms",           "ms",     100,  2000,  1000, "down",  "SR-06"),
    ("link_settle_ms",          "ms",     100, 30000,  2000, "up",    "SR-01"),
    ("switch_frames",           "",         2,    10,     3, "exact", "SR-08"),
    # channels
    ("gear_low_us",             "us",     900,  2000,  1300, "exact", "SR-09"),
    ("gear_high_us",            "us",    1000,  2100,  1700, "exact", "SR-09"),
    ("gear_up_high",            "",         0,     1,     1, "exact", "SR-09"),
    ("signature_channel",       "",         0,     4,     0, "exact", "SR-06"),
    ("signature_low_us",        "us",     800,  2200,  2050, "down",  "SR-06"),
    ("signature_high_us",       "us",     800,  2200,  2150, "up",    "SR-06"),
    ("signature_travel_low_us", "us",     800,  2200,  1000, "down",  "SR-06"),
    ("signature_travel_high_us", "us",    800,  2200,  2000, "up",    "SR-06"),
    ("signature_age_ms",        "ms",      20,   100,    40, "down",  "SR-06"),
    ("throttle_fitted",         "",         0,     1,     1, "exact", "SR-21"),
    ("throttle_idle_us",        "us",     800,  2200,  1100, "exact", "SR-21"),
    ("throttle_full_us",        "us",     800,  2200,  1900, "exact", "SR-21"),
    ("throttle_idle_permille",  "permille", 30,  400,    50, "down",  "SR-21"),
    ("brake_fitted",            "",         0,     1,     1, "exact", "SR-21"),
    ("brake_off_us",            "us",     800,  2200,  1100, "exact", "SR-21"),
    ("brake_full_us",           "us",     800,  2200,  1900, "exact", "SR-21"),
    ("brake_on_permille",       "permille", 30,  500,   100, "down",  "SR-21"),
    ("brake_confirm_ms",        "ms",      40,  5000,  1000, "down",  "SR-21"),
    ("light_fitted",            "",         0,     1,     1, "exact", "SR-22"),
    ("light_off_us",            "us",     800,  2200,  1100, "exact", "SR-22"),
    ("light_on_us",             "us",     800,  2200,  1900, "exact", "SR-22"),
    ("approach_confirm_ms",     "ms",     500, 20000,  3000, "down",  "SR-23"),
    ("alert_clear_ms",          "ms",   20000, 60000, 20000, "up",    "SR-24"),
    # switches to ground with a pull-up: a broken wire reads 1, so that 1 has to mean not locked, and on the ground
    ("lock_count",              "",         0,     4,     0, "exact", "SR-14"),
    ("lock_closed_level",       "",         0,     1,     0, "exact", "SR-14"),
    ("lock_margin_ms",          "ms",     100,  5000,   500, "down",  "SR-14"),
    ("lock_confirm_ms",         "ms",      40,  1000,   200, "down",  "SR-14"),
    ("ground_fitted",           "",         0,     1,     0, "exact", "SR-16"),
    ("ground_clear_level",      "",         0,     1,     0, "exact", "SR-16"),
    ("ground_clear_ms",         "ms",      40, 10000,  1000, "up",    "SR-16"),
    # valve
    ("coil_ms",                 "ms",      50,  1000,   300, "up",    "SR-18"),
    ("coil_repeat_ms",          "ms",    1000, 60000, 10000, "down",  "SR-18"),
)
# fmt: on

NAME = 0
UNIT = 1
LOW = 2
HIGH = 3
DEFAULT = 4
ROUNDING = 5
REQUIREMENT = 6
N_FIELDS = len(FIELDS)


class Settings:
    """One attribute for each row of FIELDS, made with the defaults, which are the conservative built-in settings."""

    def __init__(self):
        for row in FIELDS:
            setattr(self, row[NAME], row[DEFAULT])


def range_fault(settings):
    """Index of the first row whose value is out of its range, or -1 when all are inside."""
    for index in range(N_FIELDS):
        row = FIELDS[index]
        value = getattr(settings, row[NAME])
        if value < row[LOW]:
            return index
        if value > row[HIGH]:
            return index
    return -1
