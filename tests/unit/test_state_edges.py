"""What the controller's objects hold: at boot nothing is known and nothing is confirmed; later only whole numbers."""

from fnmatch import fnmatchcase

import pytest

from controller import codes

from .driver import DOWN_US, SILENT, UP_US, Rig, codes_of

# Every feature fitted, and every time different, so that no two limits can be mistaken for one another.
FITTED = {
    "sensor_count": 2,
    "rail_fitted": 1,
    "rail_nominal_counts": 3103,
    "supply_fitted": 1,
    "lock_count": 3,
    "ground_fitted": 1,
    "signature_channel": 4,
    "tick_ms": 20,
    "sensor_a_zero_counts": 401,
    "sensor_b_zero_counts": 397,
    "sensor_a_full_counts": 3590,
    "sensor_b_full_counts": 3592,
    "sensor_open_counts": 201,
    "sensor_short_counts": 3790,
    "sensor_noise_mbar": 11,
    "sensor_disagree_mbar": 310,
    "sensor_confirm_ms": 220,
    "sensor_force_ms": 2060,
    "supply_force_mv": 4520,
    "supply_confirm_ms": 460,
    "low_confirm_ms": 480,
    "warn_confirm_ms": 240,
    "permit_confirm_ms": 290,
    "heal_ms": 170,
    "recover_ms": 2090,
    "release_hold_ms": 270,
    "link_degraded_ms": 130,
    "link_recover_ms": 310,
    "link_force_ms": 1010,
    "link_settle_ms": 2130,
    "switch_frames": 4,
    "gear_low_us": 1310,
    "gear_high_us": 1690,
    "signature_low_us": 2060,
    "signature_high_us": 2140,
    "signature_age_ms": 70,
    "throttle_idle_us": 1110,
    "throttle_full_us": 1880,
    "throttle_idle_permille": 60,
    "brake_off_us": 1870,
    "brake_full_us": 1120,
    "brake_on_permille": 110,
    "light_off_us": 1130,
    "light_on_us": 1860,
    "brake_confirm_ms": 930,
    "approach_confirm_ms": 3010,
    "alert_clear_ms": 20030,
    "lock_closed_level": 1,
    "lock_margin_ms": 550,
    "lock_confirm_ms": 260,
    "ground_clear_level": 1,
    "ground_clear_ms": 1170,
    "coil_ms": 330,
    "coil_repeat_ms": 10030,
    "burst_window_ms": 540,
    "stroke_ms": 3090,
    "extend_ms": 2510,
}

# Not zero at boot. Times in ticks of 20 ms: what forces is rounded down, what permits is rounded up. A name with * is
# one of a list. All that is not named here is 0.
BOOT = {
    # nothing has been seen of the link, the switch, the levers
    "frames._channel": 4,
    "frames._low_us": 2060,
    "frames._high_us": 2140,
    "frames._age_need": 3,
    "frames._age": 3,
    "link.state": codes.LINK_LOST,
    "link._silence": 7,
    "link._degraded": 6,
    "link._need": 16,
    "link._force": 50,
    "switch.frame": codes.POSITION_UNKNOWN,
    "switch.position": codes.POSITION_UNKNOWN,
    "switch._seen": codes.POSITION_UNKNOWN,
    "switch._zone": codes.POSITION_UNKNOWN,
    "switch._need": 4,
    "switch._low_us": 1310,
    "switch._high_us": 1690,
    "switch._up_high": 1,
    "throttle._channel": 1,
    "throttle._rest_us": 1110,
    "throttle._travel_us": 770,
    "brake._channel": 2,
    "brake._rest_us": 1870,
    "brake._travel_us": -750,
    "light._channel": 3,
    "light._rest_us": 1130,
    "light._travel_us": 730,
    **{f"{lever}.permille": -1 for lever in ("throttle", "brake", "light")},
    **{f"{lever}._fitted": 1 for lever in ("throttle", "brake", "light")},
    **{f"{lever}._need": 25 for lever in ("throttle", "brake", "light")},
    # no pressure is known
    "pressure.mbar": -1,
    "pressure.doubted_mbar": -1,
    "pressure._count": 2,
    "pressure._gap_mbar": 310,
    "pressure._disagree.need": 11,
    "pressure._disagree.heal": 9,
    "pressure._rail.good": 1,
    "pressure._rail._fitted": 1,
    "pressure._rail._nominal": 3103,
    "pressure._rail._now": 3103,
    "pressure._rail._low": 2482,
    "pressure._rail._high": 3723,
    "pressure.sensors*.grade": codes.SENSOR_OPEN,
    "pressure.sensors*.raw_low": 4095,
    "pressure.sensors0._zero": 401,
    "pressure.sensors0._full": 3590,
    "pressure.sensors0.code_mbar_x16": 50,
    "pressure.sensors1._zero": 397,
    "pressure.sensors1._full": 3592,
    "pressure.sensors1.code_mbar_x16": 50,
    "pressure.sensors*._span_mbar": 10000,
    "pressure.sensors*._open": 201,
    "pressure.sensors*._short": 3790,
    "pressure.sensors*._confirm.need": 11,
    "pressure.sensors*._confirm.heal": 9,
    # no stroke is going on, and the end is settled; no brake has moved
    "strokes.since_change": 180 + 50 + 1,
    "strokes.brake_age": 30,
    "strokes._count": 2,
    "strokes._slopes*.window._need": 27,
    "strokes._slopes*._pause": 5,
    "strokes._burst.need": 3,
    "strokes._loss.need": 3,
    "tank._ring*": -1,
    "tank._last": -1,
    # no leg counts as locked, and the ground switch has not been seen clear
    "ground._fitted": 1,
    "ground._level": 1,
    "ground._steady.need": 59,
    "locks._n": 3,
    "locks._level": 1,
    "locks.leg0": codes.LOCK_OPEN,
    "locks.leg1": codes.LOCK_OPEN,
    "locks.leg2": codes.LOCK_OPEN,
    "locks.all": codes.LOCK_OPEN,
    "locks._open*.need": 13,
    "locks._open*.heal": 2,
    "locks._closed*.need": 2,
    "locks._due": 153,
    "locks._up_ticks": 180,
    # no tick has been late
    "health._tick_ms": 20,
    "health._since_one": 1000,
    "health._since_two": 1000,
    # nothing is permitted but what boot itself has checked
    "judge.facts.frame": codes.POSITION_UNKNOWN,
    "judge.facts.settings_ok": 1,
    "judge.facts.wiring_ok": 1,
    "judge._low.need": 24,
    "judge._pressure.need": 103,
    "judge._supply.need": 10,
    "judge._air.need": 15,
    "judge._supply_ok.need": 15,
    "judge._*.heal": 9,
    "gear._settle_need": 107,
    "gear._away_need": 105,
    "gear._hold_need": 14,
    "gear._frames_need": 4,
    "valve._kind": codes.VALVE_TWO_COIL,
    "valve._pulse_need": 17,
    "valve._repeat_need": 501,
    "valve._dead_need": 2,
    # aids, alerts and what explains
    "aids._*.fact": codes.UNKNOWN,
    "aids._throttle._on": 60,
    "aids._throttle._off": 40,
    "aids._brake._on": 110,
    "aids._brake._off": 90,
    "aids._light._on": 600,
    "aids._light._off": 400,
    "aids._brakes.need": 46,
    "aids._idle.need": 150,
    "aids._*.heal": 9,
    "aids._down_need": 180,
    "aids._shed_mv": 4820,
    "alerts._clear_need": 1002,
    "alerts._tick_ms": 20,
    "alerts._flash_*": 1000,
    "conditions._low.need": 12,
    "conditions._supply.need": 2,
    "conditions._*.heal": 9,
    "explain.cause": codes.CAUSE_NONE,
    "scribe._mode": -1,
    "scribe._link": -1,
    "scribe._second": 50,
    "supply_mv": -2,
    # the second path knows as little, and takes half as long again
    "interlock._usable": 1,
    "interlock._gaps_need": 75,
    "interlock._ground_need": 59,
    "interlock._low_need": 36,
    "interlock._blind_need": 17 + 155,
    "interlock._away_need": 9,
    "interlock._sensors0._zero": 401,
    "interlock._sensors0._codes": 3189,
    "interlock._sensors1._zero": 397,
    "interlock._sensors1._codes": 3195,
    "interlock._sensors*._span": 10000,
    "interlock._sensors*._low": 201,
    "interlock._sensors*._high": 3790,
    "interlock._sensors*._nominal": 3103,
    "interlock._sensors*._rail": 1,
    "interlock._sensors*._[xyz]": -32000,
    "interlock._switch._shown": codes.POSITION_UNKNOWN,
    "interlock._switch._quiet": 6,
    "interlock._switch._gap_need": 6,
    "interlock._switch._steady_need": 16,
    "interlock._switch._gaps_most": 75,
    "interlock._switch._mark_age": 3,
    "interlock._switch._mark_need": 3,
}

FLAGS = {
    "Gear": "held armed refused_now",
    "Frames": "valid _outside",
    "Link": "broke was_good",
    "Switch": "down_run up_done",
    "Lever": "seen lost",
    "Window": "full",
    "Slope": "votes start_known",
    "Strokes": "in_progress burst_now loss_now too_cheap _from_settled _braked last",
    "Pressure": "read lost disagree doubted jumped",
    "Rail": "good",
    "Sensor": "ready failed frozen",
    "Ground": "clear",
    "Locks": "overdue distrusted _was_locked",
    "Aids": "brakes_on not_down light _shed",
    "Alerts": "_button _button_was _lamp _acked active wanted",
    "Health": "feed_leave late_latch clock_bad late _started _sick",
    "Restarts": "locked_out",
    "Tank": "charging leaking",
    "RawSensor": "known bad",
    "RawSwitch": "good shown_down moved_up _mark_ok",
    "Interlock": "leave _ready _usable",
    "Valve": "_any _last",
    "Facts": "link_good down_run up_done settings_ok wiring_ok pressure_known sensors_agree air_ok not_charging"
    " supply_ok ground_clear leave present absent",
}
FLAG_NAMES = {(owner, name) for owner, names in FLAGS.items() for name in names.split()}
# Not state: the checked settings and what is derived from them, and the bytes of the journal.
NOT_STATE = ("settings", "limits", "_s", "_l", "data")


def leaves(thing, path="", owner=("", "")):
    """(path, owner, value) of all that `thing` holds, `owner` being (class, attribute)."""
    if isinstance(thing, list):
        for index, item in enumerate(thing):
            yield from leaves(item, f"{path}{index}", owner)
        return
    kind = type(thing)
    if not kind.__module__.startswith("controller"):
        yield path, owner, thing
        return
    for name in getattr(kind, "__slots__", None) or vars(thing):
        if name not in NOT_STATE:
            yield from leaves(getattr(thing, name), f"{path}.{name}".lstrip("."), (kind.__name__, name))


def expected_at_boot(path):
    for name, value in BOOT.items():
        if fnmatchcase(path, name):
            return value
    return 0


@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-02", "acts")
def test_at_boot_nothing_is_known_and_nothing_is_confirmed():
    rig = Rig(valve_kind=codes.VALVE_TWO_COIL, **FITTED)
    assert rig.controller.settings_state == codes.SETTINGS_GOOD
    held = {path: value for path, _, value in leaves(rig.controller)}
    assert held == {path: expected_at_boot(path) for path in held}
    unknown = [name for name in BOOT if not any(fnmatchcase(path, name) for path in held)]
    assert unknown == []


def whole_numbers(rig):
    """Asserts that every value is an int, and every flag 0 or 1."""
    for path, owner, value in leaves(rig.controller):
        assert type(value) is int, path
        if owner in FLAG_NAMES:
            assert 0 <= value <= 1, path
    for name in rig.outputs.__slots__:
        value = getattr(rig.outputs, name)
        for one in value if isinstance(value, list) else [value]:
            assert type(one) is int, name


# (ticks, what changes): the world of a flight in which much goes wrong.
TROUBLES = (
    (190, {}),
    (6, {"gear_us": UP_US}),
    (6, {"gear_us": DOWN_US, "brake_us": 1400}),
    (4, {"gear_us": UP_US, "button": 1, "throttle_us": 1100}),
    (40, {"a": codes_of(6700), "b": codes_of(6690), "light_us": 1900}),
    (9, {"gear_us": SILENT, "brake_us": 3000}),
    (70, {"b": codes_of(5000), "light_us": SILENT}),
    (9, {"a": 0, "gear_us": UP_US}),
    (30, {"a": codes_of(6690), "b": 4095, "locks": [1, 0, 1, 0]}),
    (20, {"supply": 0, "rail": 0, "ground": 0}),
    (20, {"supply": 4096, "rail": 3103, "ground": 1}),
    (60, {"a": codes_of(3000), "b": codes_of(3000), "period_ms": 25}),
    (5, {"period_ms": 45}),
    (2, {"period_ms": 400}),
    (130, {"period_ms": 20, "gear_us": DOWN_US, "a": codes_of(7000), "b": codes_of(7000)}),
)


@pytest.mark.sr("SR-34", "acts")
@pytest.mark.parametrize("kind", [codes.VALVE_SPRING, codes.VALVE_TWO_COIL, codes.VALVE_SERVO, codes.VALVE_INVALID])
def test_all_state_is_whole_numbers_and_flags_are_0_or_1(kind):
    rig = Rig(valve_kind=kind, servo=(1000, 2000), **{**FITTED, "signature_channel": kind})
    rig.spare_us = 1500
    for ticks, world in TROUBLES:
        for tick in range(ticks):
            rig.step(1, **world if tick == 0 else {})
            if tick < 6 or tick % 29 == 0:
                whole_numbers(rig)
