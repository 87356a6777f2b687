"""Flies every shipped scenario with its own seed, and says for each requirement which of them speak for it.

python -m tests.evidence.scenarios [--jobs 2]
"""

import argparse
import json
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from host_sim.campaign import fly_seed
from host_sim.scenario import load_scenario, shipped_scenarios

from .safety import ROOT, covers_of_scenarios

OUT = ROOT / "out" / "evidence" / "scenarios.json"


def fly_one(path):
    """(scenario, the claims that failed)."""
    return Path(path).stem, list(fly_seed(path, load_scenario(path).seed).failed)


def fly_all(jobs):
    """{scenario: the claims that failed} for every shipped one."""
    with ProcessPoolExecutor(jobs) as pool:
        return dict(pool.map(fly_one, shipped_scenarios()))


def per_requirement(failed):
    """{requirement: {"holds", "what", "scenarios"}} of {scenario: the claims that failed}."""
    names = defaultdict(lambda: {"acts": set(), "spares": set()})
    for requirement, side, name in covers_of_scenarios():
        names[requirement][side].add(name)
    rows = {}
    for requirement, sides in sorted(names.items()):
        flown = sides["acts"] | sides["spares"]
        rows[requirement] = {
            "holds": all(name in failed and not failed[name] for name in flown),
            "what": f"{len(sides['acts'])} where it acts, {len(sides['spares'])} where it spares",
            "scenarios": sorted(flown),
        }
    return rows


def main(arguments=None):
    parser = argparse.ArgumentParser(prog="python -m tests.evidence.scenarios", description=__doc__.split("\n")[0])
    parser.add_argument("--jobs", type=int, default=2)
    options = parser.parse_args(arguments)
    began = time.monotonic()
    failed = fly_all(options.jobs)
    for name, claims in failed.items():
        for claim in claims:
            print(f"{name}: FAILED {claim}")
    n_failed = sum(bool(claims) for claims in failed.values())
    seconds = time.monotonic() - began
    OUT.parent.mkdir(parents=True, exist_ok=True)
    result = {
        "means": "scenarios",
        "command": "python -m tests.evidence.scenarios",
        "holds": n_failed == 0,
        "seconds": round(seconds, 1),
        "totals": {"scenarios": len(failed), "failed": n_failed},
        "requirements": per_requirement(failed),
    }
    OUT.write_text(json.dumps(result, indent=1) + "\n")
    print(f"scenarios: {len(failed)} flown on a PC, {n_failed} with a claim that failed, {seconds:.0f} s")
    return 1 if n_failed else 0


if __name__ == "__main__":
    sys.exit(main())
