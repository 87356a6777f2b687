"""Flies shipped scenarios until a claim fails: `python -m tests.seeded.fly [NAME ...]`, the named ones first, then all.

Exit status 1 at the first claim that does not hold, or when the controller raises; 0 when all claims hold.
"""

import sys

from host_sim.claims import judge
from host_sim.engines import EngineError
from host_sim.flight import fly
from host_sim.scenario import load_scenario, shipped_scenarios


def first_failure(path):
    """One line for the first claim of the scenario that does not hold, "" when all hold."""
    scenario = load_scenario(path)
    try:
        trace = fly(scenario)
    except EngineError as error:
        return f"{path.stem}: {error}"
    for verdict in judge(scenario, trace):
        if not verdict.holds:
            return f"{path.stem}: {verdict.claim_text}"
    return ""


def main(names):
    paths = sorted(shipped_scenarios(), key=lambda path: (path.stem not in names, path.stem))
    for path in paths:
        failure = first_failure(path)
        if failure:
            print(f"FAILED {failure}")
            return 1
    print(f"{len(paths)} flights with every claim held")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
