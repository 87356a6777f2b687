"""The story of one flight as lines a person can read: when, what, why, and the air there was.

`timeline(...)` groups the events of events.py; `print_lines(...)` gives them as text.
"""

import textwrap
from dataclasses import dataclass

from .events import ALERT_END, LINK, find_events
from .quantities import show_pressure
from .wording import BAR_PER_MBAR, number

# What happens within a tenth of a second of one another is one moment to a person.
MOMENT_S = 0.1
# More changes of the link than this in a row are told as one line.
LINK_LINES = 3
# A reading that is off by more than this is worth a word: twice what a trimmed sensor chain does.
READING_OFF_BAR = 0.3
MARKS = {"": " ", "fault": "*", "advisory": "i", "caution": "!", "warning": "!!"}
_MARK_ORDER = ("", "fault", "advisory", "caution", "warning")


@dataclass(frozen=True)
class Line:
    """One moment. Pressures are bar gauge; `reading_bar` is None where the controller knew none.

    t_s    seconds since power-on
    what   what happened, one or more sentences
    why    cause and reading, "" where the change explains itself
    mark   "", "fault", "advisory", "caution" or "warning"
    """

    t_s: float
    what: str
    why: str
    mark: str
    tank_bar: float
    reading_bar: float | None

    def pressure(self, unit):
        """The true air, and the reading where it tells another story."""
        text = show_pressure(self.tank_bar, unit)
        if self.reading_bar is None:
            return f"{text}, reading unknown"
        if abs(self.reading_bar - self.tank_bar) > READING_OFF_BAR:
            return f"{text}, reads {show_pressure(self.reading_bar, unit)}"
        return text


def timeline(trace, settings, unit, faults=(), deeds=()):
    """The lines of a flight.

    trace     a Trace of the flight
    settings  the controller's Settings, for the thresholds named in the reasons
    unit      one of quantities.PRESSURE_UNITS
    faults, deeds   (t_s, sentence) pairs: what the scenario breaks and mends; what is done that no column shows
    """
    groups = []
    for event in find_events(trace, settings, unit, faults, deeds):
        if groups and event.t_s - groups[-1][0].t_s <= MOMENT_S + 1e-6:
            groups[-1].append(event)
        else:
            groups.append([event])
    return [_line(group) for group in _quieten(groups)]


def _quieten(groups):
    """Folds a stuttering link into its first lines and a count, so that the rest of the flight stays readable."""
    kept, run = [], []
    for group in groups:
        if all(event.kind == LINK for event in group):
            run.append(group)
            continue
        kept.extend(_fold(run))
        run = []
        kept.append(group)
    return kept + _fold(run)


def _fold(run):
    if len(run) <= LINK_LINES + 1:
        return run
    last = run[-1][-1]
    changes = sum(len(group) for group in run[LINK_LINES:])
    what = f"The link changed {changes} more times until {last.t_s:.2f} s; then {last.row.link}."
    rest = type(last)(run[LINK_LINES][0].t_s, LINK, what, "", last.mark, last.row)
    return [*run[:LINK_LINES], [rest]]


def _line(group):
    group = sorted(group, key=lambda event: event.kind)
    row = max(group, key=lambda event: event.t_s).row
    reading = number(row.reading_mbar)
    return Line(
        t_s=min(event.t_s for event in group),
        what=" ".join(_once(event.what for event in group)),
        why=" ".join(_once(event.why for event in group if event.kind != ALERT_END and event.why)),
        mark=max((event.mark for event in group), key=_MARK_ORDER.index),
        tank_bar=row.tank_bar,
        reading_bar=None if reading is None else reading * BAR_PER_MBAR,
    )


def _once(texts):
    return list(dict.fromkeys(texts))


def text_lines(lines, unit, width=100):
    """The lines of a timeline as text, `width` columns wide: time, mark, what happened, then why, then the air."""
    head = 12
    room = max(width - head, 40)
    out = []
    for line in lines:
        start = f"{line.t_s:8.2f} {MARKS[line.mark]:<2} "
        body = textwrap.wrap(f"{line.what} [{line.pressure(unit)}]", room)
        out.append(start + body[0])
        out.extend(" " * head + more for more in body[1:])
        out.extend(" " * head + "  " + more for more in textwrap.wrap(line.why, room - 2))
    return out


LEGEND = "Times in seconds since power-on. * something breaks   i advisory   ! caution   !! warning   [air in the tank]"
