"""SR-30 and the settings checks of SR-02, SR-03, SR-06, SR-12: one setting on each side of each rule."""

import pytest

from controller.checks import N_RULES, RULE_FIELDS, RULE_SENTENCES, first_fault
from controller.settings import FIELDS, NAME, range_fault

from .driver import settings_with


def rule(**changes):
    settings = settings_with(**changes)
    assert range_fault(settings) == -1, "out of range: says nothing of the rules"
    return first_fault(settings)


def test_every_rule_has_a_sentence_and_a_row():
    assert len(RULE_FIELDS) == len(RULE_SENTENCES) == N_RULES
    names = {row[NAME] for row in FIELDS}
    assert set(RULE_FIELDS[1:]) <= names


# lock minimum + sensor error + floor x (confirm + filter delay + extension): 3900 + 150 + 0.1 x (500 + 40 + 2500)
FORCE_FLOOR_MBAR = 3900 + 150 + 304


@pytest.mark.sr("SR-03", "acts")
def test_forcing_point_too_low_for_a_slow_leak_is_refused():
    assert rule(force_below_mbar=FORCE_FLOOR_MBAR - 1) == 7
    assert RULE_FIELDS[7] == "force_below_mbar"


@pytest.mark.sr("SR-03", "spares")
def test_forcing_point_just_high_enough_is_accepted():
    assert rule(force_below_mbar=FORCE_FLOOR_MBAR) == 0


# force + adiabatic drop of a retraction at the permit + brake + 0.1 bar
def permit_floor_mbar(force_mbar=4700, brake_mbar=70):
    level = 5000
    while level < force_mbar + 1.4 / 750 * ((level + 1013) * 34 - 1013 * 12) + brake_mbar + 100:
        level += 1
    return level


@pytest.mark.sr("SR-02", "acts")
def test_permit_too_close_to_the_forcing_point_is_refused():
    assert rule(retract_above_mbar=permit_floor_mbar() - 10) == 8


@pytest.mark.sr("SR-02", "spares")
def test_permit_far_enough_from_the_forcing_point_is_accepted():
    assert rule(retract_above_mbar=permit_floor_mbar() + 10) == 0


@pytest.mark.sr("SR-12", "acts")
def test_warning_point_too_close_to_the_forcing_point_is_refused():
    # A retraction's drop at 5600 mbar is about 395 mbar, more than 200.
    assert rule(warn_below_mbar=5050) == 9
    # A small one: 200 mbar.
    small = {"retract_swept_ul": 5000, "retract_dead_ul": 2000}
    assert rule(warn_below_mbar=4899, **small) == 9


@pytest.mark.sr("SR-12", "spares")
def test_warning_point_far_enough_is_accepted():
    assert rule(warn_below_mbar=5100) == 0
    assert rule(warn_below_mbar=4900, retract_swept_ul=5000, retract_dead_ul=2000) == 0


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize(
    ("low", "high"), [(2049, 2150), (2000, 2150), (1500, 1600), (850, 951), (2150, 2050), (2100, 2100)]
)
def test_signature_window_near_the_travel_is_refused(low, high):
    assert rule(signature_channel=4, signature_low_us=low, signature_high_us=high) == 16


@pytest.mark.sr("SR-06", "spares")
@pytest.mark.parametrize(("low", "high"), [(2050, 2150), (850, 950)])
def test_signature_window_outside_the_travel_is_accepted(low, high):
    assert rule(signature_channel=4, signature_low_us=low, signature_high_us=high) == 0


BROKEN = [
    (1, {"sensor_a_zero_counts": 2000, "sensor_a_full_counts": 2499}),
    (2, {"sensor_count": 2, "sensor_b_zero_counts": 2000, "sensor_b_full_counts": 2400}),
    (3, {"sensor_open_counts": 399}),
    (4, {"sensor_short_counts": 3591}),
    (5, {"retract_swept_ul": 300000, "retract_dead_ul": 80000}),
    (6, {"fill_mbar": 5599}),
    (10, {"warn_confirm_ms": 520}),
    (11, {"begin_slack_mbar": 500, "retract_above_mbar": 5199, "retract_swept_ul": 3000, "retract_dead_ul": 0}),
    (12, {"stroke_ms": 2499}),
    (13, {"link_force_ms": 199}),
    (14, {"link_degraded_ms": 40, "tick_ms": 10}),
    (15, {"gear_low_us": 1601}),
    (17, {"throttle_full_us": 1299}),
    (18, {"brake_full_us": 1299}),
    (19, {"light_on_us": 1299}),
    (20, {"supply_full_mv": 4800}),
    (21, {"tick_ms": 50, "supply_confirm_ms": 99}),
    (22, {"sensor_count": 2, "sensor_b_span_mbar": 9000}),
    (23, {"signature_channel": 4, "signature_age_ms": 100}),
]


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.parametrize(("number", "changes"), BROKEN, ids=[f"rule {number}" for number, _ in BROKEN])
def test_broken_rule_is_named(number, changes):
    assert rule(**changes) == number


@pytest.mark.sr("SR-30", "spares")
def test_rules_of_a_second_sensor_do_not_bind_an_aircraft_with_one():
    assert rule(sensor_count=1, sensor_b_zero_counts=2000, sensor_b_full_counts=1000, sensor_b_span_mbar=9000) == 0


@pytest.mark.sr("SR-18", "acts")
def test_coil_that_would_never_rest_is_refused():
    assert rule(coil_ms=1000, coil_repeat_ms=1000) != 0
