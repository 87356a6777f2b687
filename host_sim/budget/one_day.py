"""One day at every forcing point of the curve, flown no more often than it takes.

All points see the same day, noise and all. Not every day is flown at every point: an ordinary day on which no reading
came below a forcing point has not been forced by it, and what forces the gear at one forces it at a higher one; a gear
that locks when it is forced at one point locks from a higher one, and one that does not, does not from a lower one.
`thorough` takes none of this for granted; a test compares the two.
"""

from dataclasses import dataclass

from .day_flight import Flown, failing_day, ordinary_day
from .days import draw
from .points import points

# The second path decodes for itself and may read a few mbar less than what is shown.
SECOND_PATH_BAR = 0.01
LOW_AIR = "low air"


@dataclass(frozen=True)
class DayResult:
    """One day: for each point whether the ordinary day was a `nuisance`, whether the failing day was `forced`, and
    whether every leg `locked` then; what was flown at the advised point; `flights` flown in all."""

    number: int
    nuisance: tuple[bool, ...]
    forced: tuple[bool, ...]
    locked: tuple[bool, ...]
    ordinary: Flown
    failing: Flown
    flights: int


def fly_day(aircraft, advice, seed, number, thorough=False):
    """DayResult of a day of a seed. `thorough` flies it at every point."""
    return fly_drawn(aircraft, draw(aircraft, advice, seed, number), points(aircraft, advice), thorough)


def fly_drawn(aircraft, day, curve, thorough=False):
    """DayResult of a Day at the Points of a curve, drawn or changed by hand."""
    return _Curve(aircraft, day, curve).result(thorough)


class _Curve:
    """The flights of one day, each made when it is first asked for."""

    def __init__(self, aircraft, day, curve):
        self.aircraft, self.day, self.curve = aircraft, day, curve
        self.advised = next(n for n, point in enumerate(curve) if point.is_advised)
        self._ordinary, self._failing = {}, {}

    def ordinary(self, n):
        """Flown of the ordinary day at point n."""
        if n not in self._ordinary:
            self._ordinary[n] = ordinary_day(self.aircraft, self.day, self.curve[n])
        return self._ordinary[n]

    def failing(self, n):
        """Flown of the failing day at point n."""
        if n not in self._failing:
            self._failing[n] = failing_day(self.aircraft, self.day, self.curve[n])
        return self._failing[n]

    def result(self, thorough):
        """The DayResult."""
        every = range(len(self.curve))
        if thorough or not self._is_plain():
            nuisance = [self._is_nuisance(n) for n in every]
            forced = [self.failing(n).cause != "" for n in every]
            locked = [bool(self.failing(n).locked) for n in every]
        else:
            first = self._first_nuisance()
            nuisance = [n >= first for n in every]
            first = self._first_locked()
            forced, locked = [True] * len(self.curve), [n >= first for n in every]
        return DayResult(
            number=self.day.number,
            nuisance=tuple(nuisance),
            forced=tuple(forced),
            locked=tuple(locked),
            ordinary=self.ordinary(self.advised),
            failing=self.failing(self.advised),
            flights=len(self._ordinary) + len(self._failing),
        )

    def _is_plain(self):
        """Whether nothing but low air has a say at the advised point: all else may depend on a point in other ways."""
        ordinary, failing = self.ordinary(self.advised), self.failing(self.advised)
        return ordinary.cause in ("", LOW_AIR) and failing.cause == LOW_AIR

    def _is_nuisance(self, n):
        return self.ordinary(n).cause != ""

    def _first_nuisance(self):
        """The lowest point at which the ordinary day is a nuisance; the number of points where none is."""
        first = self.advised
        if self._is_nuisance(first):
            while first > 0 and self._is_nuisance(first - 1):
                first -= 1
            return first
        lowest_bar = self.ordinary(self.advised).lowest_bar
        for n in range(self.advised + 1, len(self.curve)):
            below = lowest_bar < self.curve[n].force_below_mbar / 1000.0 + SECOND_PATH_BAR
            if below and self._is_nuisance(n):
                return n
        return len(self.curve)

    def _first_locked(self):
        """The lowest point at which the failing day's gear locks; the number of points where it does at none."""
        low, high = -1, self.advised
        if not self.failing(self.advised).locked:
            for n in range(self.advised + 1, len(self.curve)):
                if self.failing(n).locked:
                    return n
            return len(self.curve)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.failing(middle).locked else (middle, high)
        return high
