"""Each rule between settings from both sides of its edge, one step apart."""

import pytest

from controller.checks import _apart, first_fault, force_floor_mbar, retract_drop_mbar, warn_floor_mbar
from controller.settings import range_fault

from .driver import settings_with

TWO = {"sensor_count": 2}
# An air system and pressures so small that no other rule of the air is near.
SMALL = {"retract_swept_ul": 1000, "retract_dead_ul": 0, "extend_swept_ul": 1000, "extend_dead_ul": 0}
# So little is needed to lock that half a tank may go into one stroke.
DEEP = {"lock_min_mbar": 200, "force_below_mbar": 660, "warn_below_mbar": 5600}
MARKED = {"signature_channel": 4}

# (rule, settings that keep it by nothing to spare, the change that breaks it)
EDGES = [
    (1, {"sensor_a_zero_counts": 800, "sensor_a_full_counts": 1300}, {"sensor_a_full_counts": 1299}),
    (2, {**TWO, "sensor_b_zero_counts": 800, "sensor_b_full_counts": 1300}, {"sensor_b_full_counts": 1299}),
    (3, {"sensor_open_counts": 398}, {"sensor_open_counts": 399}),
    (3, {**TWO, "sensor_open_counts": 390, "sensor_b_zero_counts": 391}, {"sensor_b_zero_counts": 390}),
    (4, {"sensor_short_counts": 3592}, {"sensor_short_counts": 3591}),
    (4, {**TWO, "sensor_b_full_counts": 3788}, {"sensor_b_full_counts": 3789}),
    (5, {"retract_swept_ul": 300000, "retract_dead_ul": 75000, **DEEP}, {"retract_dead_ul": 75001}),
    (5, {"extend_swept_ul": 300000, "extend_dead_ul": 75000}, {"extend_dead_ul": 75001}),
    (6, {"fill_mbar": 5600}, {"fill_mbar": 5599}),
    (6, {"fill_mbar": 10000}, {"fill_mbar": 10001}),
    (7, {"force_below_mbar": 4354}, {"force_below_mbar": 4353}),
    (7, {"force_below_mbar": 4700, "burst_floor_mbar_s": 213}, {"burst_floor_mbar_s": 214}),
    (8, {"retract_above_mbar": 5243}, {"retract_above_mbar": 5242}),
    (9, {"warn_below_mbar": 5097}, {"warn_below_mbar": 5096}),
    (9, {"warn_below_mbar": 4900, **SMALL}, {"warn_below_mbar": 4899}),
    (9, {"warn_below_mbar": 4884, "retract_above_mbar": 4884, **SMALL}, {"warn_below_mbar": 4883}),
    (10, {"warn_confirm_ms": 500}, {"warn_confirm_ms": 501}),
    (11, {"begin_slack_mbar": 184, "retract_above_mbar": 4884, **SMALL}, {"begin_slack_mbar": 185}),
    (12, {"stroke_ms": 2500}, {"stroke_ms": 2499}),
    (13, {"link_force_ms": 200}, {"link_force_ms": 199}),
    (14, {"tick_ms": 30, "link_degraded_ms": 60, "sensor_confirm_ms": 60}, {"link_degraded_ms": 59}),
    (14, {"tick_ms": 10, "link_degraded_ms": 50}, {"link_degraded_ms": 49}),
    (15, {"gear_low_us": 1600}, {"gear_low_us": 1601}),
    (16, {**MARKED, "signature_low_us": 2050, "signature_high_us": 2051}, {"signature_low_us": 2051}),
    (16, {**MARKED, "signature_low_us": 2050}, {"signature_low_us": 2049}),
    (16, {**MARKED, "signature_low_us": 850, "signature_high_us": 950}, {"signature_high_us": 951}),
    (
        16,
        {**MARKED, "signature_travel_low_us": 1000, "signature_travel_high_us": 1000},
        {"signature_travel_high_us": 999},
    ),
    (17, {"throttle_full_us": 1300}, {"throttle_full_us": 1299}),
    (17, {"throttle_full_us": 900}, {"throttle_full_us": 901}),
    (18, {"brake_full_us": 1300}, {"brake_full_us": 1299}),
    (18, {"brake_full_us": 900}, {"brake_full_us": 901}),
    (19, {"light_on_us": 1300}, {"light_on_us": 1299}),
    (19, {"light_on_us": 900}, {"light_on_us": 901}),
    (20, {"supply_full_mv": 4801}, {"supply_full_mv": 4800}),
    (21, {"tick_ms": 30, "low_confirm_ms": 60, "warn_confirm_ms": 60}, {"low_confirm_ms": 59, "warn_confirm_ms": 59}),
    (21, {"sensor_confirm_ms": 40}, {"sensor_confirm_ms": 39}),
    (21, {"tick_ms": 30, "supply_confirm_ms": 60}, {"supply_confirm_ms": 59}),
    (21, {"tick_ms": 30, "warn_confirm_ms": 60}, {"warn_confirm_ms": 59}),
    (22, {**TWO, "sensor_b_span_mbar": 10000}, {"sensor_b_span_mbar": 10001}),
    (22, {**TWO, "sensor_b_span_mbar": 10000}, {"sensor_b_span_mbar": 9999}),
    (23, {**MARKED, "signature_age_ms": 20}, {"tick_ms": 21}),
    (23, {**MARKED, "signature_age_ms": 99}, {"signature_age_ms": 100}),
    (24, {"coil_ms": 500, "coil_repeat_ms": 1000}, {"coil_ms": 501}),
]


@pytest.mark.sr("SR-30", "acts")
@pytest.mark.sr("SR-30", "spares")
@pytest.mark.parametrize(("number", "kept", "change"), EDGES, ids=[f"{i} rule {e[0]}" for i, e in enumerate(EDGES)])
def test_rule_holds_at_its_edge_and_is_broken_one_step_beyond(number, kept, change):
    for changes, fault in ((kept, 0), ({**kept, **change}, number)):
        settings = settings_with(**changes)
        assert range_fault(settings) == -1
        assert first_fault(settings) == fault


@pytest.mark.sr("SR-30", "acts")
def test_of_several_faults_the_first_is_named():
    broken = {}
    for changes, fault in (
        ({"gear_low_us": 1601}, 15),
        ({"coil_ms": 1000, "coil_repeat_ms": 1000}, 24),
        ({"stroke_ms": 2499}, 12),
        ({"sensor_open_counts": 399}, 3),
    ):
        broken.update(changes)
        assert first_fault(settings_with(**broken)) == fault


@pytest.mark.sr("SR-30", "spares")
def test_rules_of_what_is_not_fitted_bind_nobody():
    settings = settings_with(
        signature_low_us=2150,
        signature_high_us=2100,
        signature_age_ms=100,
        sensor_b_full_counts=1000,
        sensor_b_zero_counts=1000,
        sensor_b_span_mbar=9000,
    )
    assert first_fault(settings) == 0


@pytest.mark.parametrize(
    "one, other, least, apart", [(9, 4, 5, 1), (4, 9, 5, 1), (9, 5, 5, 0), (5, 9, 5, 0), (9, 3, 5, 1), (3, 9, 5, 1)]
)
def test_apart_either_way(one, other, least, apart):
    assert _apart(one, other, least) == apart


@pytest.mark.sr("SR-03", "acts")
def test_lowest_forcing_point_is_the_sum_of_the_sentence_rounded_up():
    # 3900 + 150 + 100 mbar/s x (0.5 + 2 x 0.02 + 2.5) s
    assert force_floor_mbar(settings_with()) == 4354
    # 51 mbar/s x 3.04 s = 155.04
    assert force_floor_mbar(settings_with(burst_floor_mbar_s=51)) == 3900 + 150 + 156


@pytest.mark.sr("SR-12", "acts")
def test_lowest_warning_point():
    settings = settings_with()
    # 1.4 / 750 mL x ((5600 + 1013) x 34 mL - 1013 x 12 mL) = 397 mbar, ratios rounded up and products down
    assert retract_drop_mbar(settings) == 397
    assert warn_floor_mbar(settings) == 4700 + 397
    assert warn_floor_mbar(settings_with(**SMALL)) == 4900
    assert warn_floor_mbar(settings_with(retract_above_mbar=4850, **SMALL)) == 4850
    assert type(warn_floor_mbar(settings)) is int
