"""What happened in a flight: the changes between rows of a trace, as sentences.

Each watcher looks at one matter and yields an Event where it changed. timeline.py groups them into lines.
"""

from collections import namedtuple
from dataclasses import dataclass

from controller.codes import ALERT_FORCED, ALERT_HELD, ALERT_REFUSED, ALERT_WORDS

from .trace import COLUMNS
from .wording import alert_sentence, cause_why, refusal_why, severity_of

Row = namedtuple("Row", COLUMNS)

FORCED = ALERT_WORDS[ALERT_FORCED]
HELD = ALERT_WORDS[ALERT_HELD]
REFUSED = ALERT_WORDS[ALERT_REFUSED]
TRAVEL_UP = 0.001
TRAVEL_DOWN = 0.999
# A leg that moved less than this in a second, short of its end, has stopped. Extension takes 1 to 4 s over all travel.
STALL_TRAVEL = 0.002
STALL_S = 1.0

_RESETS = {
    "watchdog": "RESET: the watchdog was not fed, and the controller starts again.",
    "supply": "RESET: the supply failed, and the controller starts again.",
    "reset": "RESET: the controller starts again.",
}

# Order of events of one moment: what the pilot or the world did, then what the controller made of it.
PILOT, FAULT, GEAR, REFUSAL, CAUSE, ALERT, LINK, TRAVEL, LIGHT, ALERT_END = range(10)


@dataclass(frozen=True)
class Event:
    """One change. `kind` sorts those of one moment, `mark` is "", "fault" or a severity, `row` is where it was seen."""

    t_s: float
    kind: int
    what: str
    why: str
    mark: str
    row: Row


def words(cell):
    """The members of a "+"-joined cell as a tuple; "none" has none."""
    return () if cell in ("none", "") else tuple(cell.split("+"))


def find_events(trace, settings, unit, faults=(), deeds=()):
    """All events of a trace, in order.

    faults  (t_s, sentence) pairs of what the scenario breaks and mends
    deeds   (t_s, sentence) pairs of what the pilot and the world do that no column shows
    """
    rows = [Row(*row) for row in trace.rows]
    if not rows:
        return []
    found = list(_start(rows[0], "Power on"))
    stall = _Stall(rows[0])
    since = _Strokes(rows[0])
    resets_s = [t_s for t_s, _ in trace.resets]
    for before, row in zip(rows, rows[1:], strict=False):
        if any(before.t_s < t_s <= row.t_s for t_s in resets_s):
            # The row before says nothing of this one: the controller has begun anew.
            found.extend(_start(row, "The controller is back"))
            found.extend(since.look(before, row))
            continue
        found.extend(_pilot(before, row))
        found.extend(_gear(before, row, settings, unit))
        found.extend(_refusal(before, row, settings, unit))
        found.extend(_alerts(before, row))
        found.extend(_link(before, row))
        found.extend(_light(before, row))
        found.extend(since.look(before, row))
        found.extend(stall.look(row))
    resets = [(t_s, _RESETS.get(why, why)) for t_s, why in trace.resets]
    found.extend(_told([*faults, *resets], FAULT, "fault", rows))
    found.extend(_told(deeds, PILOT, "", rows))
    return sorted(found, key=lambda event: (event.t_s, event.kind))


def _start(row, what):
    yield Event(row.t_s, PILOT, f"{what}: gear command {row.gear_command}, mode {row.mode}.", "", "", row)
    for alert in words(row.alerts):
        yield _alert(alert, row)


def _told(pairs, kind, mark, rows):
    at = 0
    for t_s, sentence in sorted(pairs):
        while at < len(rows) - 1 and rows[at].t_s < t_s:
            at += 1
        yield Event(t_s, kind, sentence, "", mark, rows[at])


def _pilot(before, row):
    if row.pilot_switch != before.pilot_switch:
        yield Event(row.t_s, PILOT, f"Pilot puts the gear switch to {row.pilot_switch}.", "", "", row)
    elif row.switch != before.switch and row.switch != row.pilot_switch:
        what = f"The controller reads the gear switch as {row.switch}; the pilot has it at {row.pilot_switch}."
        yield Event(row.t_s, PILOT, what, "", "", row)


def _gear(before, row, settings, unit):
    new = [cause for cause in words(row.causes) if cause not in words(before.causes)]
    moved = row.gear_command != before.gear_command
    if moved and row.gear_command == "up":
        what, why, mark = "Gear command up.", "A fresh move of the switch, and every permit holds.", ""
    elif moved and new:
        what, why, mark = "GEAR FORCED DOWN.", _causes_why(new, row, settings, unit), "warning"
    elif moved:
        what, why, mark = "Gear command down.", _down_why(row), ""
    elif new:
        what, why, mark = f"Held down: {' and '.join(new)}.", _causes_why(new, row, settings, unit), "caution"
    elif row.mode != before.mode:
        what, why = _mode(before.mode, row.mode)
        mark = "warning" if row.mode == "locked out" else ""
    else:
        return
    yield Event(row.t_s, GEAR, what, why, mark, row)


def _down_why(row):
    if row.switch == "down":
        return "The switch says down."
    return f"The controller went to '{row.mode}'."


def _mode(before, now):
    if now == "down" and before == "waking":
        return "Ready: the gear answers the switch.", "The link is good and the switch was seen at down."
    if now == "down" and before == "held down":
        return "Released: the gear answers the switch again.", "Every cause is gone and the switch was seen at down."
    return f"Mode: {now}.", ""


def _causes_why(new, row, settings, unit):
    return " ".join(cause_why(cause, row.cause_value if cause == row.cause else None, unit, settings) for cause in new)


def _refusal(before, row, settings, unit):
    if row.refusal != before.refusal and row.refusal != "none":
        why = refusal_why(row.refusal, row.refusal_value, unit, settings)
        yield Event(row.t_s, REFUSAL, "Retraction refused.", why, "caution", row)


def _alerts(before, row):
    old, now = words(before.alerts), words(row.alerts)
    forced_here = row.gear_command == "down" and before.gear_command == "up"
    for alert in now:
        told = forced_here and alert in (FORCED, HELD) or alert == REFUSED and row.refusal != before.refusal
        if alert not in old and not told:
            yield _alert(alert, row)
    gone = [alert for alert in old if alert not in now]
    if gone:
        yield Event(row.t_s, ALERT_END, f"Alert ends: {', '.join(gone)}.", "", "", row)


def _alert(alert, row):
    severity = severity_of(alert)
    return Event(row.t_s, ALERT, f"{alert.capitalize()} ({severity}).", alert_sentence(alert), severity, row)


def _link(before, row):
    if row.link == before.link:
        return
    if row.link == "good":
        what, why = "Link good.", ""
    elif before.link == "good":
        what, why = "Link degraded.", "No valid gear signal; the gear stays as it is for now."
    else:
        what, why = f"Link {row.link}.", ""
    yield Event(row.t_s, LINK, what, why, "" if row.link == "good" else "caution", row)


def _light(before, row):
    if row.light != before.light:
        yield Event(row.t_s, LIGHT, f"Landing light {row.light}.", "", "", row)


class _Strokes:
    """Sees the gear reach its ends, and says how long that took."""

    def __init__(self, row):
        self.command_t_s = row.t_s
        self.command_bar = row.tank_bar
        self.away = False

    def look(self, before, row):
        if row.gear_command != before.gear_command:
            self.command_t_s = row.t_s
            self.command_bar = row.tank_bar
        if TRAVEL_UP < row.gear_travel < TRAVEL_DOWN:
            self.away = True
        if self.away and row.gear_travel >= TRAVEL_DOWN:
            yield self._end(row, "down", "locked" if row.true_locked == "yes" else "NOT locked")
        elif self.away and row.gear_travel <= TRAVEL_UP:
            yield self._end(row, "up", "")

    def _end(self, row, end, lock):
        self.away = False
        what = f"Gear is {end}{' and ' + lock if lock else ''}."
        why = ""
        if row.gear_command == end:
            why = f"{row.t_s - self.command_t_s:.1f} s after the command."
        return Event(row.t_s, TRAVEL, what, why, "warning" if lock == "NOT locked" else "", row)


class _Stall:
    """Sees the gear stop short of the end it was told to go to."""

    def __init__(self, row):
        self.travel = row.gear_travel
        self.t_s = row.t_s
        self.told = False

    def look(self, row):
        at_end = row.gear_travel >= TRAVEL_DOWN if row.gear_command == "down" else row.gear_travel <= TRAVEL_UP
        if at_end or abs(row.gear_travel - self.travel) > STALL_TRAVEL:
            self.travel, self.t_s, self.told = row.gear_travel, row.t_s, False
            return
        if not self.told and row.t_s - self.t_s >= STALL_S:
            self.told = True
            what = f"The gear has stopped at {100 * row.gear_travel:.0f} % of its travel; 100 % is down."
            yield Event(row.t_s, TRAVEL, what, f"The command is {row.gear_command}.", "warning", row)
