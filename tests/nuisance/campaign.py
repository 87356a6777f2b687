"""Many flights on several processes, in the order of their seeds, summed up."""

import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

from .bound import per_flight, per_hour
from .corners import met, needed, silences
from .distribution import draw
from .flight import fly
from .judge import Verdict, judge

FULL = 1440
SHORT = 48
# Of a hundred flights at most so many may leave the healthy range: the others are what is judged.
LEFT_PERCENT = 15


@dataclass(frozen=True)
class Flown:
    """What is kept of one flight."""

    verdict: Verdict
    corners: frozenset
    duration_s: float
    longest_silence_s: float


@dataclass
class Summary:
    """A campaign. `events` are (seed, t_s, kind, detail); corners {name: count}."""

    first_seed: int
    flights: int = 0
    counted: int = 0
    with_event: int = 0
    left: Counter = field(default_factory=Counter)
    hours: float = 0.0
    moves: int = 0
    granted: int = 0
    excused_moves: int = 0
    longest_silence_s: float = 0.0
    events: list = field(default_factory=list)
    excused: Counter = field(default_factory=Counter)
    corners: Counter = field(default_factory=Counter)

    @property
    def missed(self):
        """(name, count, needed) of each corner that was met too seldom."""
        return [(name, self.corners[name], n) for name, n in needed(self.flights).items() if self.corners[name] < n]

    @property
    def holds(self):
        """No event, every corner met often enough, and few flights that could not be judged to their end."""
        return not self.events and not self.missed and 100 * self.left.total() <= LEFT_PERCENT * self.flights

    @property
    def bound_per_flight(self):
        """Upper 95 % bound of the chance of an event per flight; 1.0 where no flight counts."""
        return per_flight(self.with_event, self.counted) if self.counted else 1.0

    @property
    def bound_per_hour(self):
        """The same per flight hour."""
        return per_hour(self.with_event, self.hours)

    def add(self, flown):
        """One more flight."""
        verdict = flown.verdict
        self.flights += 1
        self.counted += verdict.counts
        self.with_event += bool(verdict.events)
        self.left.update([verdict.left_why] if verdict.left_why else [])
        self.hours += verdict.healthy_s / 3600.0
        self.moves += verdict.moves
        self.granted += verdict.granted
        self.excused_moves += verdict.excused_moves
        self.longest_silence_s = max(self.longest_silence_s, flown.longest_silence_s)
        self.events += [(verdict.seed, *event) for event in verdict.events]
        self.excused.update(f"{kind}: {detail}" for _, kind, detail in verdict.excused)
        self.corners.update(flown.corners)


def fly_one(seed):
    """Flown of a seed."""
    return fly_plan(draw(seed))


def fly_plan(plan):
    """Flown of a plan, drawn or changed by hand."""
    with tempfile.TemporaryDirectory() as folder:
        record = fly(plan, folder)
    verdict = judge(plan, record)
    until_s = record.t_s[-1] if verdict.left_s is None else verdict.left_s
    longest_s = max((to - at for at, to in silences(plan, record) if to <= until_s), default=0.0)
    return Flown(verdict, frozenset(met(plan, record, verdict)), plan.duration_s, longest_s)


def run(seeds, jobs):
    """Summary of the flights of a range of seeds."""
    summary = Summary(seeds[0])
    if jobs == 1:
        for seed in seeds:
            summary.add(fly_one(seed))
        return summary
    with ProcessPoolExecutor(jobs) as pool:
        for flown in pool.map(fly_one, seeds, chunksize=8):
            summary.add(flown)
    return summary
