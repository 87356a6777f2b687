"""What a step of the bench is, what it works with, and what comes out of it."""

from dataclasses import dataclass, field

from ..quantities import show_pressure
from ..wording import show_difference
from .readings import governing_bar

GLANCE_S = 0.3

PASSED, NOT_PASSED, SKIPPED, ACCEPTED = "passed", "not passed", "skipped", "accepted"
VERDICTS = (PASSED, NOT_PASSED, SKIPPED, ACCEPTED)
MEASURED, OPERATOR, BOTH = "measured", "operator", "measured and operator"
SAYERS = (MEASURED, OPERATOR, BOTH)


@dataclass
class Result:
    """What came out of one step. `seen` lines for people; `by` one of SAYERS; `why` what was wrong, one sentence each;
    `propose` lines for the aircraft file; `rows` {key of `measured`: value}; `accepted_by` a name."""

    step: str
    verdict: str = PASSED
    by: str = MEASURED
    seen: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)
    propose: list[str] = field(default_factory=list)
    rows: dict = field(default_factory=dict)
    accepted_by: str = ""
    at: str = ""

    def note(self, line):
        """One more thing that was seen."""
        self.seen.append(line)

    def fail(self, why):
        """It did not pass, and why."""
        self.verdict = NOT_PASSED
        self.why.append(why)

    def need(self, holds, why):
        """Fail with `why` unless it holds; returns whether it does."""
        if not holds:
            self.fail(why)
        return bool(holds)


class Skip(Exception):
    """The operator goes on to the next step."""


class Stop(Exception):
    """The operator ends the session: end of input, Ctrl-C, or "stop"."""


@dataclass
class Setting:
    """What a step works with: Aircraft, BenchBoard, the person (person.py), the pressure unit that people read."""

    aircraft: object
    board: object
    person: object
    unit: str

    @property
    def settings(self):
        """Settings of the aircraft file."""
        return self.aircraft.settings

    def show(self, bar):
        """A gauge pressure in the reader's unit."""
        return show_pressure(bar, self.unit)

    def show_step(self, bar):
        """A difference of two pressures in the reader's unit."""
        return show_difference(bar, self.unit)

    def ready_air(self, bar):
        """Have about `bar` in the tank, settled."""
        text = f"Fill or vent the tank to {self.show(bar)}; {self.tank_words()} now. Hose off. Wait a minute."
        self.person.do(("fill", bar), text)

    def tank_words(self):
        """What the controller's sensors say of the tank at this moment."""
        bar = governing_bar(self.board.watch(GLANCE_S), self.settings)
        return "its pressure cannot be read" if bar is None else f"it reads {self.show(bar)}"


class Step:
    """One step. `name` is what is typed; `title`, `what` (to do) and `expect` are for people.

    `moves` says what may move, "" for nothing: a caution is read and answered before the step begins.
    """

    name = ""
    title = ""
    what = ""
    expect = ""
    moves = ""

    def fits(self, aircraft):
        """Whether this aircraft has what the step is about."""
        return True

    def fitted(self, aircraft):
        """The step as this aircraft needs it."""
        return self

    def run(self, on):
        """Result, from a Setting. Raises Skip, Stop, LinkError."""
        raise NotImplementedError


GEAR_MOVES = "The gear will move."


def gear_is(on, position, question=""):
    """Whether the operator sees every leg there, "down" (locked) or "up"."""
    text = question or ("Are all legs down and locked?" if position == "down" else "Are all legs up?")
    return on.person.yes(("gear", position), text)
