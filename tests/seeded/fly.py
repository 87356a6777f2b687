"""Flies shipped scenarios until a claim fails: `python -m tests.seeded.fly [NAME ...]`, all of them without a name.

The shortest flights come first.

Exit status 1 at the first claim that does not hold, or when the controller raises; 0 when all claims hold.
"""

import sys

from host_sim.claims import judge
from host_sim.engines import EngineError
from host_sim.flight import fly
from host_sim.scenario import load_scenario, shipped_scenarios


def first_failure(scenario):
    """One line for the first claim of the scenario that does not hold, "" when all hold."""
    try:
        trace = fly(scenario)
    except EngineError as error:
        return f"{scenario.name}: {error}"
    for verdict in judge(scenario, trace):
        if not verdict.holds:
            return f"{scenario.name}: {verdict.claim_text}"
    return ""


def main(names):
    scenarios = [load_scenario(path) for path in shipped_scenarios() if not names or path.stem in names]
    for scenario in sorted(scenarios, key=lambda one: (one.duration_s, one.name)):
        failure = first_failure(scenario)
        if failure:
            print(f"FAILED {failure}")
            return 1
    print(f"{len(scenarios)} flights with every claim held")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
