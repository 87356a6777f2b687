"""Runs searches until one is broken: `python -m tests.seeded.search_states SR-nn ...`.

Only the short ones (tests/exhaustive) that watch one of the requirements, whole flights, which take longest, last.
Exit status 1 at the first that is broken, 0 when all are as they should be.
"""

import sys

from tests.exhaustive.plans import plans
from tests.exhaustive.results import run_plan


def plans_for(requirements):
    """The short plans that watch one of the requirements, quick ones first."""
    watching = [plan for plan in plans() if plan.short and set(plan.requirements) & requirements]
    return sorted(watching, key=lambda plan: plan.asks is not None)


def main(requirements):
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
