"""Runs the proofs, then the breaks that they have to reject.

python -m tests.proof               all proofs, all breaks
python -m tests.proof --short       all proofs but the longest, one break for each
python -m tests.proof --no-breaks   all proofs only
python -m tests.proof --only NAME   proofs whose name begins with NAME (may be given more than once), and their breaks
python -m tests.proof --first-failure   stops at the first goal that does not hold

Exit status: 0 all proved and every break rejected, 1 something is not. Writes out/evidence/proof.json.
"""

import argparse
import json
import multiprocessing
import re
import sys
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from .breaks import BREAKS
from .contracts import MEANING, unmet
from .registry import FULL_ONLY, PROOFS
from .worker import prove, try_break

RESULT = Path(__file__).parents[2] / "out" / "evidence" / "proof.json"


def options_of(arguments):
    parser = argparse.ArgumentParser(
        prog="python -m tests.proof", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--short", action="store_true", help="one break for each proof")
    parser.add_argument("--no-breaks", action="store_true", help="no breaks")
    parser.add_argument("--only", action="append", metavar="NAME", help="proofs whose name begins so")
    parser.add_argument("--first-failure", action="store_true", help="stop at the first failure")
    parser.add_argument("--jobs", type=int, default=2, help="processes, 2 unless given")
    return parser.parse_args(arguments)


def chosen_breaks(names, options):
    """Breaks to try: none, the first of each proof, or all."""
    if options.no_breaks:
        return []
    found, seen = [], set()
    for name, one in BREAKS.items():
        proof = one["proof"]
        if proof in names and not (options.short and proof in seen):
            found.append(name)
            seen.add(proof)
    return found


def run_proofs(pool, names, first_failure):
    """{name: Outcome}; prints each as it ends."""
    outcomes = {}
    # The decision path stands last, and is where a broken controller is most likely found.
    order = reversed(names) if first_failure else names
    for future in as_completed([pool.submit(prove, name) for name in order]):
        done = future.result()
        outcomes[done.name] = done
        print(
            f"{done.name:32} {done.paths:5} paths {done.goals:6} goals {done.bounded:6} intermediates below 2**30 "
            f"{done.seconds:6.1f} s  {'FAILED' if done.failures else 'proved'}",
            flush=True,
        )
        for goal, model in done.failures:
            print(f"    not proved: {goal}\n        {' '.join(model.split())[:1500]}", flush=True)
        if done.failures and first_failure:
            break
    return {name: outcomes[name] for name in names if name in outcomes}


def run_breaks(pool, names):
    """{name: goal or ""}; prints each as it ends."""
    goals = {}
    if names:
        print("\neach proof can fail: a deliberate break of the source, and the goal that rejects it")
    for future in as_completed([pool.submit(try_break, name) for name in names]):
        name, goal, seconds = future.result()
        goals[name] = goal
        print(f"{name:44} {seconds:6.1f} s  {goal or 'NOT REJECTED'}", flush=True)
    return {name: goals[name] for name in names}


def requirements_of(outcomes):
    """{SR-nn: {"holds", "what"}} from the names of the goals."""
    found = {}
    for outcome in outcomes.values():
        failed = {name for name, _ in outcome.failures}
        for goal in outcome.names:
            for requirement in re.findall(r"SR-\d\d", goal):
                entry = found.setdefault(requirement, {"holds": True, "goals": set(), "proofs": {}})
                entry["goals"].add((outcome.name, goal))
                entry["proofs"][outcome.name] = None
                # Every goal of a proof rests on its invariant and its cover.
                entry["holds"] &= not failed
    order = list(outcomes)
    return {
        requirement: {
            "holds": entry["holds"],
            "what": _words(len(entry["goals"]), sorted(entry["proofs"], key=order.index)),
        }
        for requirement, entry in sorted(found.items())
    }


def _words(n_goals, proofs):
    """A table cell: the proofs by name where they are few."""
    goals = f"{n_goals} goal{'s' * (n_goals > 1)}"
    return f"{goals} in {len(proofs)} proofs" if len(proofs) > 4 else f"{goals}: {', '.join(proofs)}"


def write(outcomes, breaks, open_contracts, holds, seconds):
    RESULT.parent.mkdir(parents=True, exist_ok=True)
    result = {
        "means": "proof",
        "command": "python -m tests.proof",
        "holds": holds,
        "seconds": round(seconds, 1),
        "totals": {
            "proofs": len(outcomes),
            "paths": sum(outcome.paths for outcome in outcomes.values()),
            "goals": sum(outcome.goals for outcome in outcomes.values()),
            "intermediates bounded": sum(outcome.bounded for outcome in outcomes.values()),
            "breaks rejected": sum(1 for goal in breaks.values() if goal),
        },
        "requirements": requirements_of(outcomes),
        "contracts": {
            name: {
                "meaning": MEANING[name],
                "assumed by": [o.name for o in outcomes.values() if name in o.assumes],
                "proved by": [o.name for o in outcomes.values() if name in o.discharges],
                "holds": name not in open_contracts,
            }
            for name in sorted({c for o in outcomes.values() for c in (*o.assumes, *o.discharges)})
        },
        "breaks": breaks,
    }
    RESULT.write_text(json.dumps(result, indent=1) + "\n")


def _stop(pool):
    """Ends the workers of this command, whatever they are at."""
    workers = list(pool._processes.values())
    pool.shutdown(wait=False, cancel_futures=True)
    for worker in workers:
        worker.terminate()


def main(arguments=None):
    options = options_of(arguments)
    names = [n for n in PROOFS if not options.only or any(n.startswith(o) for o in options.only)]
    if options.short:
        names = [name for name in names if name not in FULL_ONLY]
    if not names:
        print(f"no proof is named so; there are: {', '.join(PROOFS)}")
        return 1
    began = time.monotonic()
    with ProcessPoolExecutor(options.jobs, mp_context=multiprocessing.get_context("spawn")) as pool:
        outcomes = run_proofs(pool, names, options.first_failure)
        failed = [name for name, outcome in outcomes.items() if outcome.failures]
        if failed and options.first_failure:
            _stop(pool)
            breaks = {}
        else:
            breaks = run_breaks(pool, chosen_breaks(names, options))
    # A single proof takes from others that did not run.
    open_contracts = {} if options.only or len(outcomes) < len(names) else unmet(outcomes.values())
    for contract, users in open_contracts.items():
        print(f"assumed by {', '.join(users)} and proved by none: {contract} ({MEANING[contract]})")
    lost = [name for name, goal in breaks.items() if not goal]
    holds = not (failed or lost or open_contracts)
    if not options.only:
        write(outcomes, breaks, open_contracts, holds, time.monotonic() - began)
    print(
        f"\n{len(outcomes)} proofs, {sum(o.paths for o in outcomes.values())} paths, "
        f"{sum(o.goals for o in outcomes.values())} goals, "
        f"{len({c for o in outcomes.values() for c in o.assumes})} contracts between them, {len(breaks)} breaks: "
        f"{'all proved, all rejected' if holds else 'FAILED: ' + ', '.join([*failed, *lost, *open_contracts])}, "
        f"{time.monotonic() - began:.0f} s"
    )
    return 0 if holds else 1


if __name__ == "__main__":
    sys.exit(main())
