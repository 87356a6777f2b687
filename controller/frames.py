"""What goes into a tick and what comes out of it: records made once, never again (SR-34).

Every number is an integer and carries its unit in its name. `__slots__` is enforced on CPython, so that a misspelt
field fails on the PC; MicroPython ignores it.
"""

from .codes import (
    CAUSE_NONE,
    DOWN,
    LINK_LOST,
    LOCK_NOT_FITTED,
    N_ALERTS,
    N_CAUSES,
    N_CHANNELS,
    N_LEGS,
    N_SENSORS,
    POSITION_UNKNOWN,
    REFUSAL_NONE,
    SENSOR_ABSENT,
    SETTINGS_NONE,
    SEVERITY_NONE,
    VALVE_INVALID,
    WAKING,
)

ABSENT = -2
NOT_KNOWN = -1


class Inputs:
    """Raw values as the board samples them. Filled by `Board.sample`; read only by the controller.

    At every tick:
    now_ms          board clock, 0 .. 2**30 - 1, wraps
    pulse_us[5]     width of the last pulse of each channel (codes.GEAR .. codes.SPARE)
    fresh[5]        1 if that pulse ended since the last tick, else 0
    counts[2]       12-bit ADC codes of the pressure sensors
    rail_counts     12-bit ADC code of the sensors' rail, where `rail_fitted`
    supply_counts   12-bit ADC code of the supply, where `supply_fitted`
    lock_level[4]   pin level of the lock switches, where `lock_count` says so
    ground_level    pin level of the ground switch, where `ground_fitted`
    button          1 while the acknowledge button is pressed

    Once, before the first tick:
    settings_a, settings_b   the two packed copies, bytes; b"" where there is none
    valve_kind               from the board's wiring record; VALVE_INVALID when the record does not check
    servo_down_us, servo_up_us   from the wiring record, for a servo valve
    retained_count, retained_check   the two words kept in memory that survives a reset (SR-32)
    """

    __slots__ = (
        "now_ms",
        "pulse_us",
        "fresh",
        "counts",
        "rail_counts",
        "supply_counts",
        "lock_level",
        "ground_level",
        "button",
        "settings_a",
        "settings_b",
        "valve_kind",
        "servo_down_us",
        "servo_up_us",
        "retained_count",
        "retained_check",
    )

    def __init__(self):
        self.now_ms = 0
        self.pulse_us = [0] * N_CHANNELS
        self.fresh = [0] * N_CHANNELS
        self.counts = [0] * N_SENSORS
        self.rail_counts = 0
        self.supply_counts = 0
        self.lock_level = [0] * N_LEGS
        self.ground_level = 0
        self.button = 0
        self.settings_a = b""
        self.settings_b = b""
        self.valve_kind = VALVE_INVALID
        self.servo_down_us = 0
        self.servo_up_us = 0
        self.retained_count = 0
        self.retained_check = 0


class Outputs:
    """What the controller wants of the board, and why. Filled by `Controller.tick`.

    To the hardware:
    coil_up, coil_down   1 energised, 0 not
    valve_us             servo pulse, 0 for no pulse
    light                landing light, 0 or 1
    lamp                 alert lamp at this tick, 0 or 1
    tone_hz              alert tone at this tick, 0 for silence
    feed                 1 if the watchdog may be fed for this tick (SR-31)
    retained_count, retained_check   to be kept in memory that survives a reset (SR-32)

    To people and to logs (codes of codes.py):
    tick                 ticks since boot, stops at 2**29
    gear_command, mode, link, switch
    latched[9]           1 for each cause that holds the gear down
    cause                the first cause that did it, CAUSE_NONE if none
    cause_value          the reading that did it, unit in codes.CAUSE_UNITS
    cause_tick           since when
    refusal, refusal_value, refusal_tick   the same for a refused retraction; value is mbar, or mV for the supply
    pressure_mbar        governing reading, gauge; NOT_KNOWN when no sensor is believed
    grade[2]             what each sensor is graded
    supply_mv            ABSENT when not measured
    throttle_permille, brake_permille   0 idle or off .. 1000; NOT_KNOWN; ABSENT
    brakes_on            1 while the brakes-on alert holds
    locked, leg_locked[4]   LOCK_ codes
    settings_state       SETTINGS_ code
    active[27]           1 for each alert that is active
    alert, severity      the one that shows
    """

    __slots__ = (
        "coil_up",
        "coil_down",
        "valve_us",
        "light",
        "lamp",
        "tone_hz",
        "feed",
        "retained_count",
        "retained_check",
        "tick",
        "gear_command",
        "mode",
        "link",
        "switch",
        "latched",
        "cause",
        "cause_value",
        "cause_tick",
        "refusal",
        "refusal_value",
        "refusal_tick",
        "pressure_mbar",
        "grade",
        "supply_mv",
        "throttle_permille",
        "brake_permille",
        "brakes_on",
        "locked",
        "leg_locked",
        "settings_state",
        "active",
        "alert",
        "severity",
    )

    def __init__(self):
        self.coil_up = 0
        self.coil_down = 0
        self.valve_us = 0
        self.light = 0
        self.lamp = 0
        self.tone_hz = 0
        self.feed = 0
        self.retained_count = 0
        self.retained_check = 0
        self.tick = 0
        self.gear_command = DOWN
        self.mode = WAKING
        self.link = LINK_LOST
        self.switch = POSITION_UNKNOWN
        self.latched = [0] * N_CAUSES
        self.cause = CAUSE_NONE
        self.cause_value = 0
        self.cause_tick = 0
        self.refusal = REFUSAL_NONE
        self.refusal_value = 0
        self.refusal_tick = 0
        self.pressure_mbar = NOT_KNOWN
        self.grade = [SENSOR_ABSENT] * N_SENSORS
        self.supply_mv = ABSENT
        self.throttle_permille = ABSENT
        self.brake_permille = ABSENT
        self.brakes_on = 0
        self.locked = LOCK_NOT_FITTED
        self.leg_locked = [LOCK_NOT_FITTED] * N_LEGS
        self.settings_state = SETTINGS_NONE
        self.active = [0] * N_ALERTS
        self.alert = 0
        self.severity = SEVERITY_NONE
