"""The trace of a flight: one row a tick, in words and user-facing numbers, and its CSV.

Pressures are gauge. Cells are floats, ints or words, made the same way every time, so that two flights are equal
exactly when their CSV files are equal byte for byte.
"""

from controller import codes
from controller.frames import ABSENT, NOT_KNOWN

COLUMNS = (
    "t_s",  # time since power-on, s
    "tank_bar",  # true tank pressure, bar gauge
    "reading_mbar",  # what the controller believes, mbar gauge, or "unknown"
    "link",
    "switch",  # as the controller decodes it
    "gear_command",
    "gear_travel",  # least of all legs, 0 up .. 1 down
    "locked",  # as the controller reports it
    "mode",
    "causes",  # all that hold the gear down, "+"-joined
    "alert",
    "severity",
    "throttle",  # as the controller reads it, percent, or "unknown" or "absent"
    "brake",
    "brakes_on",
    "light",
    "supply_mv",  # or "absent"
    "cause",  # the first cause
    "cause_value",  # in codes.CAUSE_UNITS
    "cause_t_s",
    "refusal",
    "refusal_value",
    "gear_valve",  # where the real valve is
    "coil_up",
    "coil_down",
    "valve_us",
    "lamp",
    "tone_hz",
    "feed",
    "alerts",  # all active, "+"-joined, the most urgent first
    "pilot_switch",
    "true_locked",
)
NONE = "none"
YES_NO = ("no", "yes")
ON_OFF = ("off", "on")
_DECIMALS = {"t_s": 3, "tank_bar": 4, "gear_travel": 4, "throttle": 1, "brake": 1, "cause_t_s": 3}
_FLOAT_FORMATS = tuple(f"%.{_DECIMALS.get(name, 6)}f" for name in COLUMNS)


class Trace:
    """Rows of one flight, and what happened to the controller on the way.

    rows     list of tuples in the order of COLUMNS
    resets   list of (t_s, why): every start of the controller after the first
    mass_balance_error   of the plant at the end, relative
    """

    def __init__(self):
        self.rows = []
        self.resets = []
        self.mass_balance_error = 0.0

    def column(self, name):
        """All cells of one column, a list."""
        index = COLUMNS.index(name)
        return [row[index] for row in self.rows]

    def csv_text(self):
        """The CSV: a header, then one line a row, "\\n" line ends."""
        lines = [",".join(COLUMNS)]
        for row in self.rows:
            lines.append(",".join(_cell(cell, form) for cell, form in zip(row, _FLOAT_FORMATS, strict=True)))
        return "\n".join(lines) + "\n"

    def write_csv(self, path):
        """Write `csv_text` to a file."""
        with open(path, "w", encoding="utf-8", newline="") as file:
            file.write(self.csv_text())


def _cell(cell, form):
    return form % cell if isinstance(cell, float) else str(cell)


class Recorder:
    """Turns Outputs and the truth into rows. Joined words are kept, because the same ones come again and again."""

    def __init__(self, trace):
        self._rows = trace.rows
        self._causes = {}
        self._alerts = {}
        self._tick_t_s = {}

    def restarted(self):
        """Ticks count from the beginning again."""
        self._tick_t_s.clear()

    def add(self, t_us, outputs, truth):
        """One row. `truth` is (tank_bar, gear_travel, gear_valve, pilot_switch, true_locked)."""
        o = outputs
        t_s = t_us / 1e6
        tank_bar, travel, valve, pilot_switch, true_locked = truth
        self._tick_t_s[o.tick] = t_s
        cause_t_s = NONE if o.cause == codes.CAUSE_NONE else self._tick_t_s.get(o.cause_tick, t_s)
        self._rows.append(
            (
                t_s,
                round(tank_bar, 4),
                o.pressure_mbar if o.pressure_mbar != NOT_KNOWN else "unknown",
                codes.LINK_WORDS[o.link],
                codes.POSITION_WORDS[o.switch],
                codes.POSITION_WORDS[o.gear_command],
                round(travel, 4),
                codes.LOCK_WORDS[o.locked],
                codes.MODE_WORDS[o.mode],
                _joined(self._causes, o.latched, codes.CAUSE_WORDS),
                codes.ALERT_WORDS[o.alert],
                codes.SEVERITY_WORDS[o.severity],
                _percent(o.throttle_permille),
                _percent(o.brake_permille),
                YES_NO[o.brakes_on],
                ON_OFF[o.light],
                o.supply_mv if o.supply_mv != ABSENT else "absent",
                codes.CAUSE_WORDS[o.cause],
                o.cause_value,
                cause_t_s,
                codes.REFUSAL_WORDS[o.refusal],
                o.refusal_value,
                codes.POSITION_WORDS[valve],
                o.coil_up,
                o.coil_down,
                o.valve_us,
                o.lamp,
                o.tone_hz,
                o.feed,
                _joined(self._alerts, o.active, codes.ALERT_WORDS),
                pilot_switch,
                YES_NO[true_locked],
            )
        )


def _percent(permille):
    if permille == NOT_KNOWN:
        return "unknown"
    if permille == ABSENT:
        return "absent"
    return permille / 10.0


def _joined(kept, flags, words):
    key = bytes(flags)
    text = kept.get(key)
    if text is None:
        text = "+".join(words[index] for index, flag in enumerate(flags) if flag) or NONE
        kept[key] = text
    return text
