"""Flies all singles in processes and sums them up: cells, wrong ones with how to fly them again, requirements."""

from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

from .cells import Cell
from .danger_table import danger_of
from .singles import cases_of, judge_case, short_cases_of
from .variants import VARIANTS
from .verdict import WRONG


@dataclass
class Part:
    """What one share of a campaign found. `wrong` has (requirement ids, reproduction, text)."""

    flights: int = 0
    outcomes: Counter = field(default_factory=Counter)
    cells: dict = field(default_factory=dict)
    wrong: list = field(default_factory=list)
    rests_on: Counter = field(default_factory=Counter)
    broken: Counter = field(default_factory=Counter)

    def merge(self, other):
        """Add another share; cells are never split between shares."""
        self.flights += other.flights
        self.outcomes += other.outcomes
        self.cells.update(other.cells)
        self.wrong += other.wrong
        self.rests_on += other.rests_on
        self.broken += other.broken

    def count(self, verdict, flag):
        """One judged flight; `flag` is what flies it again."""
        self.flights += 1
        self.outcomes[verdict.outcome] += 1
        self.rests_on.update(verdict.rests_on)
        if verdict.outcome == WRONG:
            self.broken.update({line[:5] for line in verdict.wrong})
            self.wrong.append((flag, "; ".join(verdict.wrong[:3])))


FULL, SHORT, ONCE = "full", "short", "once"


def _cases(index, form):
    if form == SHORT:
        return short_cases_of(index)
    return cases_of(VARIANTS[index], once=form == ONCE)


def fly_variant(index, form):
    """Part of one variant: FULL, SHORT, or with one onset in ONCE every phase."""
    variant, part = VARIANTS[index], Part()
    for case in _cases(index, form):
        verdict = judge_case(case)
        key = (case.aircraft, variant.label, case.phase)
        cell = part.cells.get(key)
        if cell is None:
            danger = danger_of(case)
            cell = part.cells[key] = Cell(variant.failure, variant.name, case.aircraft, case.phase, danger)
        cell.add(verdict)
        part.count(verdict, f'--case "{case.flag}"')
    return part


def fly_singles(form=FULL, jobs=2):
    """Part of all variants."""
    total = Part()
    with ProcessPoolExecutor(jobs) as pool:
        for part in pool.map(fly_variant, range(len(VARIANTS)), [form] * len(VARIANTS)):
            total.merge(part)
    return total
