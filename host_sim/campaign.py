"""Flies scenarios many times with other seeds: other noise, other jitter, other glitches, the same claims.

    python -m host_sim.campaign [--seeds 10] [--jobs 2] [SCENARIO ...]

Without names all shipped scenarios are flown. A claim that holds for one seed only would be luck.
"""

import argparse
import dataclasses
import os
import sys
from concurrent.futures import ProcessPoolExecutor

from .claims import judge
from .errors import InputError
from .flight import fly
from .scenario import load_scenario, shipped_scenarios


@dataclasses.dataclass(frozen=True)
class Result:
    """One flight of a campaign. `failed` has the text of each claim that did not hold."""

    name: str
    seed: int
    failed: tuple[str, ...]
    mass_balance_error: float


def fly_seed(path, seed):
    """Result of the scenario of a file, flown with another seed."""
    scenario = dataclasses.replace(load_scenario(path), seed=seed)
    trace = fly(scenario)
    failed = tuple(verdict.claim_text for verdict in judge(scenario, trace) if not verdict.holds)
    return Result(scenario.name, seed, failed, trace.mass_balance_error)


def campaign(paths, seeds, jobs=1):
    """Yields a Result for each path and seed, in order. `jobs` is the number of processes."""
    tasks = [(path, seed) for path in paths for seed in seeds]
    if jobs <= 1:
        for path, seed in tasks:
            yield fly_seed(path, seed)
        return
    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(fly_seed, *zip(*tasks, strict=True))


def main(arguments=None):
    """The command; returns the exit status: 0, 1 for a claim that failed, 2 for bad input."""
    parser = argparse.ArgumentParser(prog="python -m host_sim.campaign", description=__doc__.split("\n")[0])
    parser.add_argument("scenarios", nargs="*", metavar="SCENARIO", help="scenario files; all shipped ones without")
    parser.add_argument("--seeds", type=int, default=10, choices=range(1, 10001), metavar="1..10000")
    parser.add_argument("--first", type=int, default=1000, choices=range(0, 2**31 - 10001), metavar="SEED")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), choices=range(1, 257), metavar="1..256")
    options = parser.parse_args(arguments)
    paths = options.scenarios or shipped_scenarios()
    seeds = range(options.first, options.first + options.seeds)
    n_failed = n_flown = 0
    try:
        for path in paths:
            load_scenario(path)
        for result in campaign(paths, seeds, options.jobs):
            n_flown += 1
            n_failed += bool(result.failed)
            for claim in result.failed:
                print(f"{result.name}, seed {result.seed}: FAILED {claim}")
    except InputError as error:
        print(error, file=sys.stderr)
        return 2
    print(f"{n_flown} flights, {n_failed} with a claim that failed.")
    return 1 if n_failed else 0


if __name__ == "__main__":
    raise SystemExit(main())
