"""python -m tests.exhaustive: runs the searches, writes out/evidence/search.json, exits 1 when anything is broken."""

import argparse
import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from .plans_parts import plans
from .results import lines_of, record, run_plan


def arguments(argv):
    parser = argparse.ArgumentParser(prog="python -m tests.exhaustive", description=__doc__)
    parser.add_argument("--short", action="store_true", help="the part for the five-minute command")
    parser.add_argument("--jobs", type=int, default=2, help="processes, default 2")
    parser.add_argument("--only", metavar="NAME", help="searches whose name contains NAME")
    parser.add_argument("--no-liveness", action="store_true", help="safety only")
    parser.add_argument("--first-failure", action="store_true", help="stop at the first search that is broken")
    return parser.parse_args(argv)


def run_numbered(number, with_liveness):
    """In another process: plans hold functions, which cannot be sent, so a number is."""
    return run_plan(plans()[number], with_liveness)


def run_all(numbers, options):
    """Results in the order of the plans; prints each as it ends."""
    found = {}
    pool = ProcessPoolExecutor(options.jobs)
    waiting = {pool.submit(run_numbered, number, not options.no_liveness): number for number in numbers}
    for future in as_completed(waiting):
        result = found[waiting[future]] = future.result()
        print("\n".join(lines_of(result)), flush=True)
        if result["broken"] and options.first_failure:
            for process in list(pool._processes.values()):
                process.terminate()
            break
    pool.shutdown(wait=True, cancel_futures=True)
    return [found[number] for number in sorted(found)]


def main(argv):
    options = arguments(argv)
    began = time.perf_counter()
    everything = plans()
    numbers = [
        number
        for number, plan in enumerate(everything)
        if (plan.short or not options.short or options.only) and (options.only or "") in plan.name
    ]
    if not numbers:
        print(f"no search is called {options.only}; there are: {', '.join(plan.name for plan in everything)}")
        return 2
    results = run_all(numbers, options)
    told = record(results, "python -m tests.exhaustive " + " ".join(argv), round(time.perf_counter() - began, 1))
    folder = Path("out/evidence")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "search.json").write_text(json.dumps(told, indent=1) + "\n")
    totals = told["totals"]
    verdict = "nothing is broken" if told["holds"] else f"{totals['violations']} broken"
    print(
        f"{totals['searches']} searches, {totals['states']:,} states, {totals['transitions']:,} transitions, "
        f"{totals['questions']} questions of liveness: {verdict}; {told['seconds']} s"
    )
    return 0 if told["holds"] else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
