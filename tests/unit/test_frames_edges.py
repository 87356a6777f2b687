"""Inputs and Outputs as they are made: nothing seen, nothing driven, nothing known."""

from controller import codes
from controller.frames import ABSENT, NOT_KNOWN, Inputs, Outputs


def held(thing):
    return {name: getattr(thing, name) for name in thing.__slots__}


def test_new_inputs_show_nothing():
    assert held(Inputs()) == {
        "now_ms": 0,
        "pulse_us": [0] * 5,
        "fresh": [0] * 5,
        "counts": [0, 0],
        "rail_counts": 0,
        "supply_counts": 0,
        "lock_level": [0] * 4,
        "ground_level": 0,
        "button": 0,
        "settings_a": b"",
        "settings_b": b"",
        "valve_kind": codes.VALVE_INVALID,
        "servo_down_us": 0,
        "servo_up_us": 0,
        "retained_count": 0,
        "retained_check": 0,
    }


def test_new_outputs_drive_nothing_and_claim_nothing():
    zero = (
        "coil_up coil_down valve_us light lamp tone_hz feed retained_count retained_check tick cause_value cause_tick"
        " refusal_value refusal_tick brakes_on alert"
    )
    assert held(Outputs()) == {
        **dict.fromkeys(zero.split(), 0),
        "gear_command": codes.DOWN,
        "mode": codes.WAKING,
        "link": codes.LINK_LOST,
        "switch": codes.POSITION_UNKNOWN,
        "latched": [0] * 9,
        "cause": codes.CAUSE_NONE,
        "refusal": codes.REFUSAL_NONE,
        "pressure_mbar": NOT_KNOWN,
        "grade": [codes.SENSOR_ABSENT] * 2,
        "supply_mv": ABSENT,
        "throttle_permille": ABSENT,
        "brake_permille": ABSENT,
        "locked": codes.LOCK_NOT_FITTED,
        "leg_locked": [codes.LOCK_NOT_FITTED] * 4,
        "settings_state": codes.SETTINGS_NONE,
        "active": [0] * 27,
        "severity": codes.SEVERITY_NONE,
    }


def test_lists_are_the_record_s_own():
    one, other = Outputs(), Outputs()
    one.latched[0] = one.grade[0] = one.leg_locked[0] = one.active[0] = 9
    assert held(other) == held(Outputs())
