"""The command: python -m tests.nuisance [--flights N] [--short] [--jobs 2] [--seed S] [--flight SEED --keep FOLDER]"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from .campaign import FULL, SHORT, run
from .distribution import draw
from .flight import fly
from .judge import judge
from .report import lines, write_json


def main(arguments=None):
    """Fly, print, write out/evidence/nuisance.json; returns 0 when all holds, else 1."""
    parser = argparse.ArgumentParser(prog="python -m tests.nuisance", description="Nuisance flights.")
    parser.add_argument("--flights", type=int, choices=range(1, 100_001), metavar="1..100000")
    parser.add_argument("--short", action="store_true", help=f"{SHORT} flights instead of {FULL}")
    parser.add_argument("--jobs", type=int, default=2, choices=range(1, 257), metavar="1..256")
    parser.add_argument("--seed", type=int, default=0, choices=range(0, 2**31 - 100_001), metavar="S")
    parser.add_argument("--flight", type=int, metavar="SEED", help="fly this one alone and say what happened")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="with --flight: leave its scenario file there")
    options = parser.parse_args(arguments)
    if options.flight is not None:
        return one(options.flight, options.keep)
    began = time.perf_counter()
    n_flights = options.flights or (SHORT if options.short else FULL)
    summary = run(range(options.seed, options.seed + n_flights), options.jobs)
    seconds = time.perf_counter() - began
    command = " ".join(["python -m tests.nuisance", *(arguments if arguments is not None else sys.argv[1:])])
    print("\n".join(lines(summary, seconds)))
    write_json(summary, command, seconds)
    return 0 if summary.holds else 1


def one(seed, folder):
    """Fly one seed and print what was drawn, what was true and what happened."""
    plan = draw(seed)
    with tempfile.TemporaryDirectory() as scratch:
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
        verdict = judge(plan, fly(plan, folder or scratch))
    for name, value in vars(plan).items():
        print(f"{name}: {value}")
    for name, value in vars(verdict).items():
        print(f"{name}: {value}")
    if folder is not None:
        print(f"written: {folder}/nuisance_{seed}.yaml (all but the shape of the noise)")
    return 1 if verdict.events else 0


if __name__ == "__main__":
    raise SystemExit(main())
