"""How sure an advice is: random days around it, flown through the real controller, and what so many of them can show.

Intervals are those of Clopper and Pearson (1934, Biometrika 26, 404-413; from memory), two-sided 95 %, exact for the
binomial. With no event among n the upper end is 1 - 0.025^(1/n), about 3.7/n; the rule of three, 3/n, is one-sided
(Hanley and Lippman-Hand 1983, JAMA 249(13), 1743-1745, from memory).
"""

from collections import Counter
from dataclasses import dataclass
from functools import partial

from ..errors import InputError
from .days import advised_bars
from .one_day import fly_day
from .points import points
from .pool import MOST_JOBS, run
from .words import percent

CONFIDENCE = 0.95
MOST_FLIGHTS = 1_000_000
MOST_WORST = 3
DISTRIBUTION = (
    "Random specimens of this aircraft on random days: loads, friction, flow, volumes, leak and sensor errors about the "
    "file's values or within what was measured; weather, fill, habits and leaks as host_sim/budget/days.py lists them. "
    "Invented, from memory; common practice, no source."
)


@dataclass(frozen=True)
class Share:
    """`events` among `of`, with the interval `low` to `high` of the chance; 0 to 1 where there is nothing to judge."""

    events: int
    of: int
    low: float
    high: float

    @property
    def chance(self):
        """Events over all; 0 where there is nothing to judge."""
        return self.events / self.of if self.of else 0.0

    @property
    def triple(self):
        """(chance, low, high)."""
        return self.chance, self.low, self.high


@dataclass(frozen=True)
class CurvePoint:
    """Chances at one forcing point, bar gauge: `failed` of the forced extensions, `nuisance` of all days.

    `board_accepts` False where a board would refuse these settings and the value was put into the running controller.
    """

    force_below_bar: float
    is_advised: bool
    board_accepts: bool
    failed: Share
    nuisance: Share


@dataclass(frozen=True)
class Worst:
    """A day to look at again: fly_day(aircraft, advice, seed, number). `kind` is "not locked", "nuisance", "slowest lock"
    (`value` s) or "closest to forcing" (`value` bar from the forcing point up to the lowest reading)."""

    number: int
    kind: str
    value: float | None


@dataclass(frozen=True)
class Chances:
    """What n days came to at the advised thresholds, and along the curve of forcing points.

    `thresholds` {key: bar gauge} that were flown; `refused` days whose retraction the controller refused; `causes` and
    `forced_by` {cause: days} of nuisances and of forced extensions; `shows`, `cannot_show` sentences; `flights` flown.
    """

    n: int
    seed: int
    distribution: str
    thresholds: dict[str, float]
    nuisance: Share
    failed: Share
    refused: int
    causes: dict[str, int]
    forced_by: dict[str, int]
    curve: tuple[CurvePoint, ...]
    shows: tuple[str, ...]
    cannot_show: tuple[str, ...]
    worst: tuple[Worst, ...]
    flights: int


def fly_days(aircraft, advice, n, seed=0, jobs=1, cluster="", progress=None):
    """Chances of n days. `jobs` processes here, or the workers of the Dask scheduler at the address `cluster`.

    The same for the same seed, whatever does the work. progress(k) is told how many days have just been done. Raises
    InputError for what cannot be used, for an advice that has problems, and where the work could not be done.
    """
    for name, value, low, high in (("--flights", n, 1, MOST_FLIGHTS), ("--jobs", jobs, 1, MOST_JOBS)):
        if not low <= value <= high:
            raise InputError(name, "", f"{value} is out of range; allowed: {low} to {high}")
    curve = points(aircraft, advice)
    days = run(partial(fly_day, aircraft, advice, seed), n, jobs, cluster, progress)
    return summed_up(days, curve, seed, advised_bars(advice))


def share(events, of):
    """Share with its Clopper-Pearson interval."""
    if of == 0:
        return Share(0, 0, 0.0, 1.0)
    interval = _binomtest()(events, of).proportion_ci(CONFIDENCE, method="exact")
    return Share(events, of, float(interval.low), float(interval.high))


def _binomtest():
    # Here, because scipy takes its time to load.
    from scipy.stats import binomtest

    return binomtest


def summed_up(days, curve, seed, thresholds):
    """Chances of a list of DayResults, flown at the Points of `curve`."""
    made = tuple(_curve_point(days, n, point) for n, point in enumerate(curve))
    advised = next(point for point in made if point.is_advised)
    return Chances(
        n=len(days),
        seed=seed,
        distribution=DISTRIBUTION,
        thresholds=dict(thresholds),
        nuisance=advised.nuisance,
        failed=advised.failed,
        refused=sum(not day.ordinary.retracted for day in days),
        causes=_counted(day.ordinary.cause for day in days),
        forced_by=_counted(day.failing.cause for day in days),
        curve=made,
        shows=tuple(_all_shown(advised)),
        cannot_show=tuple(_cannot_show(len(days))),
        worst=_worst(days, thresholds["force_below"]),
        flights=sum(day.flights for day in days),
    )


def _curve_point(days, n, point):
    forced = [day for day in days if day.forced[n]]
    return CurvePoint(
        force_below_bar=point.force_below_mbar / 1000.0,
        is_advised=point.is_advised,
        board_accepts=point.board_accepts,
        failed=share(sum(not day.locked[n] for day in forced), len(forced)),
        nuisance=share(sum(day.nuisance[n] for day in days), len(days)),
    )


def _counted(causes):
    return dict(sorted(Counter(cause for cause in causes if cause).items()))


def _all_shown(advised):
    yield _shows("the gear is forced down though nothing is wrong", "day", advised.nuisance)
    yield _shows("a forced extension does not lock", "forced extension", advised.failed)
    if advised.failed.events:
        yield (
            "The advice takes loads and friction as the file has them; these specimens lie about that, some higher in all of "
            "them. A lock minimum measured on the bench against the full air load narrows it."
        )


def _shows(what, one, found):
    """What was seen, in one sentence."""
    if found.of == 0:
        return f"That {what}: no {one} to judge."
    if found.events:
        return (
            f"That {what}: {found.events} of {found.of}, a chance of {percent(found.chance)} for one {one} "
            f"(95 %: {percent(found.low)} to {percent(found.high)})."
        )
    return f"That {what}: none of {found.of}, so a chance of at most {percent(found.high)} for one {one} (95 %)."


def _cannot_show(n):
    yield (
        f"{n} days without an event cannot show a chance below about {percent(min(1.0, 3.0 / n))} (rule of three, "
        f"one-sided 95 %), and no number of days shows that it is zero."
    )
    yield (
        "The distribution is invented: the chances hold for it, not for your aircraft, and a part that is outside it, "
        "a fault that it does not have or a leak that is a burst is not in them."
    )
    yield "A chance that a forced extension fails holds once one is forced; how often a leak begins is not in it."


def _worst(days, force_bar):
    """The days with an event, a few of each kind, and those that came closest to one."""
    found = [Worst(day.number, "not locked", None) for day in days if day.failing.locked is False][:MOST_WORST]
    found += [Worst(day.number, "nuisance", None) for day in days if day.ordinary.cause][:MOST_WORST]
    locks = sorted((-day.failing.lock_s, day.number) for day in days if day.failing.lock_s is not None)
    found += [Worst(number, "slowest lock", -lock_s) for lock_s, number in locks[:MOST_WORST]]
    sound = [day for day in days if day.ordinary.retracted and not day.ordinary.cause]
    spare = sorted((day.ordinary.lowest_bar - force_bar, day.number) for day in sound)
    found += [Worst(number, "closest to forcing", bar) for bar, number in spare[:MOST_WORST]]
    return tuple(found)
