"""Gives failures in flight until one flight is wrong: `python -m tests.seeded.fly_failures SR-nn ...`.

At most MOST flights of the short campaign (tests/in_flight), first of all those that rest on one of the requirements.
Exit status 1 at the first wrong one, 0 when all are as they should be.
"""

import sys

from tests.in_flight.judge import WRONG
from tests.in_flight.singles import judge_case, short_cases_of
from tests.in_flight.variants import VARIANTS

MOST = 100
# Looked at in every flight, whatever fails in it.
ALWAYS = {"SR-10", "SR-12", "SR-18", "SR-22", "SR-31"}


def thinned(cases, most):
    """At most `most` of the cases, evenly spread."""
    if len(cases) <= most:
        return cases
    return [cases[number * len(cases) // most] for number in range(most)]


def cases_for(requirements):
    """The flights that rest on one of the requirements, then others where every flight looks at it; MOST in all."""
    cases = [case for index in range(len(VARIANTS)) for case in short_cases_of(index)]
    resting = [case for case in cases if requirements & set(case.expected.rests_on)]
    others = [] if resting and not requirements & ALWAYS else [case for case in cases if case not in resting]
    resting = thinned(resting, MOST)
    return resting + thinned(others, MOST - len(resting))


def main(requirements):
    cases = cases_for(set(requirements))
    for case in cases:
        verdict = judge_case(case)
        if verdict.outcome == WRONG:
            print(f"FAILED {case.flag}: {verdict.wrong[0]}")
            return 1
    print(f"{len(cases)} failures in flight, none of them wrong")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
