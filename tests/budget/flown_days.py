"""An aircraft with its advice, and days of it, for the tests of random days."""

from dataclasses import replace
from functools import cache

from host_sim.aircraft import load_aircraft
from host_sim.budget.advice import advise
from host_sim.budget.days import draw
from host_sim.budget.one_day import fly_day
from host_sim.budget.points import points

from .shipped import AIRCRAFT_DIR

CURLEW, TERN = "curlew24", "tern30"
SEED = 1


@cache
def advised(name):
    """(Aircraft, Advice) of a shipped aircraft."""
    aircraft = load_aircraft(AIRCRAFT_DIR / f"{name}.yaml")
    return aircraft, advise(aircraft.installed, aircraft.settings)


@cache
def curve_of(name):
    """Points of a shipped aircraft."""
    return points(*advised(name))


def day_of(name, number, **changes):
    """A drawn Day with some of it changed by hand."""
    return replace(draw(*advised(name), SEED, number), **changes)


@cache
def thorough_days(name, n):
    """DayResults of the first n days, flown at every point."""
    return [fly_day(*advised(name), SEED, number, thorough=True) for number in range(n)]


def keeps_and_fills(values, low, high):
    """Inside its range, and over most of it: a constant or a narrow one would be another distribution."""
    assert low <= min(values) and max(values) <= high
    assert max(values) - min(values) > 0.4 * (high - low)
