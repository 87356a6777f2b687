"""Small-int codes of the controller, and the words that people read.

A code is what the controller computes with; its word goes into traces and logs; its sentence goes in front of a pilot.
The words stand here, beside the codes, so that a board's log and a PC's report can never disagree.
"""

# Gear command and switch position share their numbers: 0 is the safe one, and what a cleared memory holds.
DOWN = 0
UP = 1
POSITION_UNKNOWN = 2
POSITION_WORDS = ("down", "up", "unknown")

# What a condition looks like at one tick. UNKNOWN is never a pardon (SR-17).
NO = 0
YES = 1
UNKNOWN = 2
FACT_WORDS = ("no", "yes", "unknown")

# Input channels: the index into Inputs.pulse_us and Inputs.fresh.
GEAR = 0
THROTTLE = 1
BRAKE = 2
LIGHT = 3
SPARE = 4
N_CHANNELS = 5
CHANNEL_WORDS = ("gear", "throttle", "brake", "light", "spare")

N_SENSORS = 2
N_LEGS = 4

# Link (SR-06).
LINK_GOOD = 0
LINK_DEGRADED = 1
LINK_LOST = 2
LINK_WORDS = ("good", "degraded", "lost")

# Modes: gear.py is the only file that changes one.
WAKING = 0
MODE_DOWN = 1
MODE_UP = 2
HELD = 3
LOCKED_OUT = 4
MODE_WORDS = ("waking", "down", "up", "held down", "locked out")
MODE_SENTENCES = (
    "After power-on: gear down until the link has been good for a while and the switch has been seen at down.",
    "Gear down, as the switch says; a move of the switch to up will be considered.",
    "Gear up, as the pilot asked.",
    "Gear held down by the controller; the cause is named.",
    "Too many restarts since power-on: gear down until power is removed.",
)

# Sample grades of a pressure sensor (SR-05).
SENSOR_GOOD = 0
SENSOR_ABSENT = 1
SENSOR_OPEN = 2
SENSOR_SHORT = 3
SENSOR_RAIL = 4
SENSOR_FROZEN = 5
GRADE_WORDS = ("good", "not fitted", "open", "short", "rail", "frozen")

# Causes: why the gear is held down. Each latches by itself (SR-07).
CAUSE_LOW_AIR = 0
CAUSE_BURST = 1
CAUSE_STROKE_LOSS = 2
CAUSE_PRESSURE = 3
CAUSE_LINK = 4
CAUSE_SUPPLY = 5
CAUSE_LATE = 6
CAUSE_CLOCK = 7
CAUSE_SECOND_PATH = 8
N_CAUSES = 9
CAUSE_NONE = 9
CAUSE_WORDS = (
    "low air",
    "burst",
    "air lost in stroke",
    "pressure unknown",
    "link lost",
    "supply low",
    "tick late",
    "clock wrong",
    "second path",
    "none",
)
CAUSE_SENTENCES = (
    "Tank pressure fell below the forcing point.",
    "Tank pressure fell so fast that one extension would soon have been out of reach.",
    "The retraction cost far more air than it should have.",
    "No pressure sensor could be believed.",
    "No valid gear signal arrived for too long.",
    "Supply voltage fell below the point where the valve can still be driven safely.",
    "The controller ran late.",
    "The controller's clock runs at the wrong rate.",
    "The second path withdrew its leave.",
    "Nothing holds the gear down.",
)
# What Outputs.cause_value is, for each cause: the unit of the reading that did it.
CAUSE_UNITS = ("mbar", "mbar/s", "mbar", "grade", "ms", "mV", "ms", "ms", "", "")

# Refusals: why a move of the switch to up was not followed (SR-02). In the order in which they are looked at.
REFUSAL_NONE = 0
REFUSAL_LOCKED_OUT = 1
REFUSAL_HELD = 2
REFUSAL_WAKING = 3
REFUSAL_NO_DOWN = 4
REFUSAL_SETTINGS = 5
REFUSAL_WIRING = 6
REFUSAL_PRESSURE = 7
REFUSAL_DISAGREE = 8
REFUSAL_AIR = 9
REFUSAL_CHARGING = 10
REFUSAL_SUPPLY = 11
REFUSAL_GROUND = 12
REFUSAL_SECOND_PATH = 13
N_REFUSALS = 14
REFUSAL_WORDS = (
    "none",
    "locked out",
    "held down",
    "waking",
    "down not seen",
    "settings",
    "wiring record",
    "pressure unknown",
    "sensors disagree",
    "air",
    "charging",
    "supply",
    "ground",
    "second path",
)
REFUSAL_SENTENCES = (
    "No retraction was refused.",
    "Retraction refused: locked out after too many restarts; remove power.",
    "Retraction refused: the gear is held down; the cause is named.",
    "Retraction refused: the controller is still waking; move the switch to down first.",
    "Retraction refused: the switch was not seen at down with a good link since the last change; move it to down first.",
    "Retraction refused: the settings on the board are not valid.",
    "Retraction refused: the wiring record of the board is not valid.",
    "Retraction refused: tank pressure is not known.",
    "Retraction refused: the two pressure sensors disagree.",
    "Retraction refused: not enough air for a retraction and a sure extension after it.",
    "Retraction refused: the tank is being filled, or was a moment ago.",
    "Retraction refused: supply voltage is too low.",
    "Retraction refused: the ground switch does not read clear of the ground.",
    "Retraction refused: the second path gave no leave.",
)

# Locks (SR-14), for one leg and for all.
LOCK_NOT_FITTED = 0
LOCK_OPEN = 1
LOCK_CLOSED = 2
LOCK_DISTRUSTED = 3
LOCK_WORDS = ("not fitted", "no", "yes", "not trusted")

# Severity (SR-20).
SEVERITY_NONE = 0
ADVISORY = 1
CAUTION = 2
WARNING = 3
SEVERITY_WORDS = ("none", "advisory", "caution", "warning")

# Settings as found at boot (SR-30).
SETTINGS_GOOD = 0
SETTINGS_ONE_COPY = 1
SETTINGS_DIFFER = 2
SETTINGS_NONE = 3
SETTINGS_WORDS = ("good", "one copy", "copies differ", "none valid")

# Valve kinds of the wiring record (SR-18).
VALVE_INVALID = 0
VALVE_SPRING = 1
VALVE_TWO_COIL = 2
VALVE_SERVO = 3
VALVE_WORDS = ("record invalid", "spring-return", "two-coil", "servo")

# Alerts, the most urgent first; alerts.py gives each its severity, light and tone. SR-20 to SR-25.
ALERT_NONE = 0
ALERT_FORCED = 1
ALERT_NOT_LOCKED = 2
ALERT_NOT_DOWN = 3
ALERT_BRAKES = 4
ALERT_LOCKED_OUT = 5
ALERT_WIRING = 6
ALERT_AIR_LOW = 7
ALERT_REFUSED = 8
ALERT_PRESSURE = 9
ALERT_LINK = 10
ALERT_SUPPLY = 11
ALERT_SETTINGS_NONE = 12
ALERT_SETTINGS_DIFFER = 13
ALERT_SETTINGS_ONE = 14
ALERT_DISAGREE = 15
ALERT_SENSOR = 16
ALERT_HELD = 17
ALERT_LEAK = 18
ALERT_STROKE = 19
ALERT_LOCK_SWITCH = 20
ALERT_CHARGING = 21
ALERT_THROTTLE = 22
ALERT_BRAKE_CHANNEL = 23
ALERT_LIGHT_CHANNEL = 24
ALERT_RESTARTED = 25
ALERT_LATE = 26
N_ALERTS = 27
ALERT_WORDS = (
    "none",
    "gear forced down",
    "not locked",
    "gear not down",
    "brakes on",
    "locked out",
    "wiring record invalid",
    "air low",
    "retract refused",
    "pressure unknown",
    "link lost",
    "supply low",
    "no valid settings",
    "settings copies differ",
    "one settings copy bad",
    "sensors disagree",
    "one sensor failed",
    "gear held down",
    "leak",
    "stroke used too little air",
    "lock switch not trusted",
    "tank filling",
    "no throttle signal",
    "no brake signal",
    "no light signal",
    "restarted",
    "tick late",
)
ALERT_SENTENCES = (
    "All is well.",
    "The controller put the gear down against the switch. Put the switch to down; land.",
    "A leg has not locked. Do not trust the gear.",
    "Throttle at idle and the gear is up. Put the gear down, or open the throttle.",
    "Brakes are on with the throttle above idle. Release the brakes.",
    "Too many restarts. The gear stays down until power is removed. Do not fly.",
    "The board's wiring record is missing or wrong. Outputs are off. Do not fly.",
    "Tank air is low. A gear that is up should come down soon, while the moment is yours.",
    "A retraction was refused; the reason is named. Put the switch to down.",
    "Tank pressure is not known. The gear will not retract.",
    "No valid gear signal. The gear is down and stays down.",
    "Supply voltage is low. The landing light is off; land.",
    "No valid settings on the board: built-in ones are used and the gear will not retract.",
    "The two settings copies differ: the gear will not retract. Load the settings again.",
    "One of the two settings copies is damaged. Load the settings again.",
    "The two pressure sensors disagree. The lower one counts and the gear will not retract.",
    "One pressure sensor has failed; the other one counts.",
    "The gear is held down; the cause is named. It is released with the cause gone and the switch at down.",
    "The tank is losing air. Land while there is enough.",
    "A stroke used less air than it should: a leg may have jammed, or the valve did not move.",
    "A lock switch reads closed with the gear up: it is not trusted.",
    "The tank is being filled: the gear will not retract for a minute. Keep hands away from the gear.",
    "No throttle signal: no brake or gear warning can be given from it.",
    "No brake signal: no brake warning can be given.",
    "No light-switch signal: the landing light stays off.",
    "The controller restarted with power on.",
    "A tick of the controller ran late; it is in the journal.",
)
