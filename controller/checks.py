"""Cross-checks of settings: rules that no single range can state. Run on the PC and again on the board (SR-30).

`first_fault` returns the number of the first rule that is broken, 0 when none is; RULE_SENTENCES says it in words and
RULE_FIELDS names the row to look at.
"""

from .limits import adiabatic_drop_mbar, ratio_of_tank

RULE_FIELDS = (
    "",
    "sensor_a_full_counts",
    "sensor_b_full_counts",
    "sensor_open_counts",
    "sensor_short_counts",
    "tank_ml",
    "fill_mbar",
    "force_below_mbar",
    "retract_above_mbar",
    "warn_below_mbar",
    "warn_confirm_ms",
    "begin_slack_mbar",
    "stroke_ms",
    "link_force_ms",
    "link_degraded_ms",
    "gear_high_us",
    "signature_low_us",
    "throttle_full_us",
    "brake_full_us",
    "light_on_us",
    "supply_force_mv",
    "low_confirm_ms",
    "sensor_b_span_mbar",
    "signature_age_ms",
    "coil_repeat_ms",
)
RULE_SENTENCES = (
    "all rules hold",
    "sensor a: the code at full span must lie at least 500 counts above the code at zero",
    "sensor b: the code at full span must lie at least 500 counts above the code at zero",
    "sensor_open_counts must lie below the zero code of every sensor in use",
    "sensor_short_counts must lie above the full-span code of every sensor in use",
    "the air that one stroke fills (swept and dead volume) must be at most half the tank",
    "fill_mbar must be at least retract_above_mbar and within the span of the sensors",
    "force_below_mbar must be at least lock_min_mbar + sensor_error_mbar + burst_floor_mbar_s x (low_confirm_ms + two ticks + extend_ms)",
    "retract_above_mbar must be at least force_below_mbar + the adiabatic drop of one retraction + brake_mbar + 100 mbar",
    "warn_below_mbar must be at least force_below_mbar + the larger of 200 mbar and one retraction's drop, or retract_above_mbar where that is lower",
    "warn_confirm_ms must not be longer than low_confirm_ms",
    "begin_slack_mbar must be at most retract_above_mbar - force_below_mbar",
    "stroke_ms must be at least extend_ms",
    "link_force_ms must be at least twice link_degraded_ms",
    "link_degraded_ms must be at least two ticks and three frames of 20 ms less one tick",
    "gear_high_us must lie at least 100 us above gear_low_us",
    "the signature window must be in order and at least 50 us outside the taught travel of its channel",
    "throttle_idle_us and throttle_full_us must lie at least 200 us apart",
    "brake_off_us and brake_full_us must lie at least 200 us apart",
    "light_off_us and light_on_us must lie at least 200 us apart",
    "supply_force_mv + 300 mV must lie below supply_full_mv",
    "low_confirm_ms, sensor_confirm_ms, supply_confirm_ms, warn_confirm_ms must be at least two ticks",
    "with two sensors both must have the same span",
    "signature_age_ms must be at least one tick and shorter than link_degraded_ms",
    "coil_repeat_ms must be at least twice coil_ms, so that a coil cools",
)
N_RULES = len(RULE_SENTENCES)


def _apart(one, other, least):
    if one - other >= least:
        return 1
    if other - one >= least:
        return 1
    return 0


def force_floor_mbar(s):
    """Lowest force_below that SR-03 accepts: what a leak just too slow for SR-04 costs until the legs are locked."""
    time_ms = s.low_confirm_ms + 2 * s.tick_ms + s.extend_ms
    return s.lock_min_mbar + s.sensor_error_mbar + (s.burst_floor_mbar_s * time_ms + 999) // 1000


def retract_drop_mbar(s):
    """Adiabatic drop of one retraction that starts at retract_above, mbar."""
    filled = ratio_of_tank(s.retract_swept_ul + s.retract_dead_ul, s.tank_ml)
    return adiabatic_drop_mbar(s.retract_above_mbar, filled, ratio_of_tank(s.retract_dead_ul, s.tank_ml))


def warn_floor_mbar(s):
    """Lowest warn_below that SR-12 accepts."""
    margin_mbar = retract_drop_mbar(s)
    if margin_mbar < 200:
        margin_mbar = 200
    floor_mbar = s.force_below_mbar + margin_mbar
    if floor_mbar > s.retract_above_mbar:
        return s.retract_above_mbar
    return floor_mbar


def _sensor_fault(s):
    if s.sensor_a_full_counts - s.sensor_a_zero_counts < 500:
        return 1
    if s.sensor_open_counts >= s.sensor_a_zero_counts:
        return 3
    if s.sensor_short_counts <= s.sensor_a_full_counts:
        return 4
    if s.fill_mbar > s.sensor_a_span_mbar:
        return 6
    if s.sensor_count == 1:
        return 0
    if s.sensor_b_full_counts - s.sensor_b_zero_counts < 500:
        return 2
    if s.sensor_open_counts >= s.sensor_b_zero_counts:
        return 3
    if s.sensor_short_counts <= s.sensor_b_full_counts:
        return 4
    if s.sensor_b_span_mbar != s.sensor_a_span_mbar:
        return 22
    return 0


def _air_fault(s):
    if 2 * (s.retract_swept_ul + s.retract_dead_ul) > s.tank_ml * 1000:
        return 5
    if 2 * (s.extend_swept_ul + s.extend_dead_ul) > s.tank_ml * 1000:
        return 5
    if s.fill_mbar < s.retract_above_mbar:
        return 6
    if s.force_below_mbar < force_floor_mbar(s):
        return 7
    if s.retract_above_mbar < s.force_below_mbar + retract_drop_mbar(s) + s.brake_mbar + 100:
        return 8
    if s.warn_below_mbar < warn_floor_mbar(s):
        return 9
    if s.warn_confirm_ms > s.low_confirm_ms:
        return 10
    if s.begin_slack_mbar > s.retract_above_mbar - s.force_below_mbar:
        return 11
    if s.stroke_ms < s.extend_ms:
        return 12
    return 0


def _time_fault(s):
    if s.link_force_ms < 2 * s.link_degraded_ms:
        return 13
    if s.link_degraded_ms < 2 * s.tick_ms:
        return 14
    if s.link_degraded_ms < 60 - s.tick_ms:
        return 14
    for time_ms in (s.low_confirm_ms, s.sensor_confirm_ms, s.supply_confirm_ms, s.warn_confirm_ms):
        if time_ms < 2 * s.tick_ms:
            return 21
    if s.coil_repeat_ms < 2 * s.coil_ms:
        return 24
    return 0


def _signature_fault(s):
    if s.signature_channel == 0:
        return 0
    if s.signature_age_ms < s.tick_ms:
        return 23
    if s.signature_age_ms >= s.link_degraded_ms:
        return 23
    if s.signature_low_us >= s.signature_high_us:
        return 16
    if s.signature_travel_low_us > s.signature_travel_high_us:
        return 16
    if s.signature_low_us >= s.signature_travel_high_us + 50:
        return 0
    if s.signature_high_us <= s.signature_travel_low_us - 50:
        return 0
    return 16


def _channel_fault(s):
    if s.gear_high_us - s.gear_low_us < 100:
        return 15
    if _apart(s.throttle_idle_us, s.throttle_full_us, 200) == 0:
        return 17
    if _apart(s.brake_off_us, s.brake_full_us, 200) == 0:
        return 18
    if _apart(s.light_off_us, s.light_on_us, 200) == 0:
        return 19
    if s.supply_force_mv + 300 >= s.supply_full_mv:
        return 20
    return _signature_fault(s)


def first_fault(settings):
    """Number of the first broken rule, 0 for none. Call settings.range_fault first: rules assume values in range."""
    fault = _sensor_fault(settings)
    if fault != 0:
        return fault
    fault = _air_fault(settings)
    if fault != 0:
        return fault
    fault = _time_fault(settings)
    if fault != 0:
        return fault
    return _channel_fault(settings)
