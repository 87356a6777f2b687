"""What the picture of a flight shows, in the user's unit, ready to be drawn.

report.py and plots.py both draw a Picture, so that the page and the printed picture always show the same, in the same
order: air, gear, levers, link, what breaks, causes, alerts, lamps.
"""

from dataclasses import dataclass, field
from itertools import pairwise

from .events import Row, words
from .points import steps, thin
from .trace import COLUMNS
from .wording import BAR_PER_MBAR, in_unit, number, pressure_digits, severity_of

# A curve may leave out points that lie this close to the straight line between the points kept, as a fraction of
# full height: less than half a pixel.
FLAT = 0.001
# Of a lever, percent: the noise of a pulse.
LEVER_FLAT = 0.5
# These are of the model and the pilot, and go on without a controller.
_TRUTH = ("t_s", "tank_bar", "gear_travel", "gear_valve", "pilot_switch", "true_locked")
_SILENT = {name: "" for name in COLUMNS if name not in _TRUTH}
# Headings of the lanes of curves.
TITLES = {"air": "Air in the tank", "gear": "Gear", "levers": "Levers"}


@dataclass(frozen=True)
class Curve:
    """One line of a lane. `t_s` and `values` are of one length; a value of None is a gap. `steps` draws it as steps."""

    name: str
    t_s: list
    values: list
    steps: bool = False


@dataclass(frozen=True)
class Band:
    """From t0_s to t1_s something held. `level`: good, note, advisory, caution or warning."""

    t0_s: float
    t1_s: float
    word: str
    level: str


@dataclass(frozen=True)
class Strip:
    """One row of bands with its label."""

    label: str
    bands: list


@dataclass(frozen=True)
class Lane:
    """Strips under one heading; `empty` is what to say where there is none."""

    heading: str
    strips: list
    empty: str = ""

    @property
    def title(self):
        """The heading, with what there is to say about an empty lane."""
        return self.heading if self.strips else f"{self.heading}: {self.empty}"


@dataclass(frozen=True)
class Threshold:
    """A pressure that decides something, in the user's unit."""

    name: str
    value: float


@dataclass(frozen=True)
class Picture:
    """Everything drawn. Pressures are gauge, in `unit`; levers are percent; travel is 0 down and 1 up."""

    title: str
    unit: str
    end_s: float
    air: list
    thresholds: list
    gear: list
    levers: list
    lanes: list
    limits: list = field(default_factory=list)

    @property
    def air_axis(self):
        """Title of the pressure axis."""
        return f"{self.unit} gauge"

    @property
    def digits(self):
        """Decimals that a pressure in this unit is written with."""
        return pressure_digits(self.unit)

    def air_range(self):
        """(low, high) of the pressure axis: all that is drawn, with a little room."""
        values = [v for curve in self.air for v in curve.values if v is not None]
        values += [threshold.value for threshold in self.thresholds]
        low, high = min(values), max(values)
        room = max(high - low, in_unit(0.5, self.unit)) * 0.06
        return max(low - room, 0.0) if low >= 0 else low - room, high + room


def make_picture(title, trace, settings, unit, faults=(), limits=()):
    """The Picture of a flight.

    faults  (t0_s, t1_s, sentence) of what the scenario breaks
    limits  sentences of admitted limits, shown under the picture
    """
    rows = _with_silences([Row(*row) for row in trace.rows], [t_s for t_s, _ in trace.resets])
    times = [row.t_s for row in rows]
    return Picture(
        title=title,
        unit=unit,
        end_s=times[-1],
        air=_air(rows, times, unit),
        thresholds=_thresholds(settings, unit),
        gear=_gear(rows, times),
        levers=_levers(rows, times),
        lanes=_lanes(rows, faults),
        limits=list(limits),
    )


def _with_silences(rows, resets_s):
    """The rows, and one more at each reset that says nothing of the controller: until it has booted there is none."""
    found = rows[:1]
    for before, after in pairwise(rows):
        if any(before.t_s <= t_s < after.t_s for t_s in resets_s):
            # As early as it can be told from the tick before.
            found.append(before._replace(t_s=before.t_s + 0.001, **_SILENT))
        found.append(after)
    return found


def _air(rows, times, unit):
    true = [in_unit(row.tank_bar, unit) for row in rows]
    read = []
    for row in rows:
        mbar = number(row.reading_mbar)
        read.append(None if mbar is None else in_unit(mbar * BAR_PER_MBAR, unit))
    height = max(max(true), 0.1)
    return [
        Curve("in the tank", *thin(times, true, FLAT * height)),
        Curve("reading", *thin(times, read, FLAT * height)),
    ]


def _thresholds(settings, unit):
    named = (
        ("retract above", settings.retract_above_mbar),
        ("warn below", settings.warn_below_mbar),
        ("force below", settings.force_below_mbar),
        ("lock minimum", settings.lock_min_mbar),
    )
    return [Threshold(name, in_unit(mbar * BAR_PER_MBAR, unit)) for name, mbar in named]


def _gear(rows, times):
    place = {"down": 0.0, "up": 1.0}
    return [
        Curve("real gear", *thin(times, [1.0 - row.gear_travel for row in rows], FLAT)),
        Curve("pilot's switch", *steps(times, [place.get(row.pilot_switch) for row in rows]), steps=True),
        Curve("command", *steps(times, [place.get(row.gear_command) for row in rows]), steps=True),
    ]


def _levers(rows, times):
    curves = []
    for name in ("throttle", "brake"):
        values = [number(getattr(row, name)) for row in rows]
        if any(value is not None for value in values):
            curves.append(Curve(name, *thin(times, values, LEVER_FLAT)))
    return curves


def _lanes(rows, faults):
    end_s = rows[-1].t_s
    link = bands(rows, lambda row: row.link, {"good": "good", "degraded": "caution", "lost": "warning"})
    broken = [Strip(text, [Band(t0, min(t1, end_s), text, "note")]) for t0, t1, text in faults if t0 <= end_s]
    light = Strip("on", bands(rows, lambda row: row.light, {"on": "note"}))
    return [
        Lane("Link", [Strip(_link_key(link, any(row.link == "" for row in rows)), link)]),
        Lane("What breaks", broken, "nothing"),
        Lane("Gear held down by", _members(rows, "causes", lambda word: "warning"), "nothing"),
        Lane("Alerts", _members(rows, "alerts", severity_of), "none"),
        Lane("Landing light", [light] if light.bands else [], "off all the time"),
    ]


def _link_key(found, has_silences):
    """Which look of a band means what, of those that are there."""
    looks = {"good": "pale: good", "degraded": "hatched: degraded", "lost": "crossed: lost"}
    there = {band.word for band in found}
    told = [look for word, look in looks.items() if word in there]
    return ", ".join([*told, "none: the controller boots"] if has_silences else told)


def _members(rows, column, level_of):
    """One strip for each word that ever stands in a "+"-joined column, the most severe first, then in order of time."""
    seen = {}
    for row in rows:
        for word in words(getattr(row, column)):
            seen.setdefault(word, row.t_s)
    rank = {"warning": 0, "caution": 1}
    found = sorted(seen, key=lambda word: (rank.get(level_of(word), 2), seen[word]))
    return [
        Strip(
            f"{level_of(word)}: {word}" if column == "alerts" else word,
            bands(
                rows, lambda row, word=word: word if word in words(getattr(row, column)) else "", {word: level_of(word)}
            ),
        )
        for word in found
    ]


def bands(rows, word_of, levels):
    """Runs of rows with the same word, as Bands; rows whose word is not in `levels` are left out."""
    found, start, word = [], rows[0].t_s, word_of(rows[0])
    for row in rows[1:]:
        now = word_of(row)
        if now != word:
            if word in levels:
                found.append(Band(start, row.t_s, word, levels[word]))
            start, word = row.t_s, now
    if word in levels:
        found.append(Band(start, rows[-1].t_s, word, levels[word]))
    return found
