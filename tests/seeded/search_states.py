"""Runs searches until one is broken: `python -m tests.seeded.search_states SR-nn ...`.

Only the short ones (tests/exhaustive) that watch one of the requirements, those that take longest last.
Exit status 1 at the first that is broken, 0 when all are as they should be. Without a requirement it prints those that
the short searches watch.
"""

import sys

from tests.exhaustive.__main__ import plans, run_plan

# From quick to slow; whatever is not named here is quicker.
SLOW = ("facts", "second path alone", "mode logic alone", "whole tick", "flight with measured supply", "flight")


def plans_for(requirements):
    """The short plans that watch one of the requirements, quick ones first."""
    watching = [plan for plan in plans() if plan.short and set(plan.requirements) & requirements]
    return sorted(watching, key=lambda plan: SLOW.index(plan.name) if plan.name in SLOW else -1)


def main(requirements):
    if not requirements:
        print(*sorted({name for plan in plans() if plan.short for name in plan.requirements}))
        return 0
    watching = plans_for(set(requirements))
    for plan in watching:
        result = run_plan(plan)
        if result["broken"]:
            print(f"FAILED {plan.name}: {result['broken'][0][0].strip()}")
            return 1
    print(f"{len(watching)} searches, nothing is broken")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
