"""Two failures at once: every pair of failures of the catalogue, one variant of each, on a coarse grid.

Judged is what must hold with any two failures: the rules of watch.Watch; DOWN within the time of each failure that asks
for it, by whatever cause; no retraction that either of them forbids; no hazard that neither of them admits, nor the two
together by a limit named in pair_judge.py; and nothing forced where neither asks or allows it. Alerts are judged for
singles only.
"""

import itertools
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from .base_flights import PAIR_ONSETS_MS, PHASE_BY_NAME, base_scenario
from .campaign import FULL, Part
from .case import LANDED_MS, Flown, fly_faults
from .expected import Expected, ms
from .pair_judge import EVENT_MS, LOSES_AIR, PairJudge
from .variants import VARIANTS, fault_of

LAG_MS = 300
# Where two failures meet in time: phase, onset, onset of the second later by.
_ROLL_MS, _CRUISE_MS, _STROKE_MS = PAIR_ONSETS_MS
MEETINGS = (
    ("take-off roll and lift-off", _ROLL_MS, 0),
    ("up and cruising", _CRUISE_MS, LAG_MS),
    ("retraction", _STROKE_MS, 0),
)


def representatives(aircraft):
    """One variant of each failure that the aircraft flies in a circuit: the first one of the table."""
    found = {}
    for variant in VARIANTS:
        if aircraft in variant.expected and not variant.phases:
            found.setdefault(variant.failure, variant)
    return list(found.values())


@dataclass(frozen=True)
class PairCase:
    """Two variants, an aircraft and a meeting. Looks like a case.Case to Story."""

    first: object
    second: object
    aircraft: str
    phase: str
    onset_ms: int
    lag_ms: int

    @property
    def rows(self):
        """Both rows of the table, with their onsets."""
        onsets = (self.onset_ms, self.onset_ms + self.lag_ms)
        pair = (self.first, self.second)
        return [(v, v.expected[self.aircraft], 0 if v.before_flight else t) for v, t in zip(pair, onsets, strict=True)]

    @property
    def expected(self):
        """Hazards of either, and the longer time to follow DOWN."""
        rows = [row for _, row, _ in self.rows]
        within = " + ".join(f"({row.down_within})" for row in rows)
        return Expected(hazards=rows[0].hazards + rows[1].hazards, down_within=within)

    @property
    def flag(self):
        """How the command line names this pair."""
        return f"{self.aircraft}/{self.first.label}/{self.second.label}/{self.phase}"


def pair_cases(aircraft, every=1):
    """All pairs of an aircraft, every `every`-th of them; the third meeting for every second pair."""
    for n, (first, second) in enumerate(itertools.combinations(representatives(aircraft), 2)):
        if n % every:
            continue
        both_before = first.before_flight and second.before_flight
        meetings = MEETINGS[:1] if both_before else MEETINGS[: 2 + (n // every) % 2]
        for phase, onset_ms, lag_ms in meetings:
            yield PairCase(first, second, aircraft, phase, onset_ms, lag_ms)


def _until_ms(case):
    aircraft = base_scenario(case.aircraft, "circuit").aircraft
    acts = [ms(row.within, aircraft) for _, row, _ in case.rows if row.up in ("forced", "reset", "switch")]
    until = case.onset_ms + case.lag_ms + max([*acts, 1000]) + EVENT_MS + 500
    if case.onset_ms < 7000:
        until = max(until, 7000 + max([*acts, 0]) + 1000)
    air = any(v.failure in LOSES_AIR for v, _, _ in case.rows)
    return LANDED_MS if air else until


def fly_pair(case):
    """Flown of a pair."""
    faults = [fault_of(variant, onset_ms) for variant, _, onset_ms in case.rows]
    start = 0 if any(v.before_flight for v, _, _ in case.rows) else case.onset_ms
    until = _until_ms(case)
    flight, watch, up = fly_faults(case.aircraft, case.phase, start, faults, until, case.onset_ms + 2000)
    return Flown(case, watch, flight, up)


def _fly(task):
    aircraft, every, share, shares = task
    part = Part()
    for n, case in enumerate(pair_cases(aircraft, every)):
        if n % shares == share:
            part.count(PairJudge(fly_pair(case)).verdict(), f'--pair "{case.flag}"')
    return part


def pair_again(text):
    """Verdict of one pair by its flag."""
    aircraft = text.split("/")[0]
    case = next(case for case in pair_cases(aircraft) if case.flag == text)
    assert case.phase in PHASE_BY_NAME
    return PairJudge(fly_pair(case)).verdict()


def fly_pairs(form=FULL, jobs=2):
    """Part of all pairs on both aircraft; the other forms take every 41st."""
    shares = 16
    tasks = [
        (aircraft, 1 if form == FULL else 41, share, shares)
        for aircraft in ("curlew", "tern")
        for share in range(shares)
    ]
    total = Part()
    with ProcessPoolExecutor(jobs) as pool:
        for part in pool.map(_fly, tasks):
            total.merge(part)
    return total
