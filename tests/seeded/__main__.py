"""`python -m tests.seeded`: deliberate breaks of controller/, each in a copy, against every means that claims to see it.

Exit status 0 when every break is rejected by every means that claims one of its requirements, but for those that say
in one sentence why they cannot see it; 1 when not.
"""

import argparse
import json
import sys
import time

from .breaks import load_breaks
from .copies import ROOT
from .matrix import Copies, known_claims, run_controls, run_matrix
from .means import all_means
from .page import page, summary
from .short import run_short

EVIDENCE = ROOT / "out" / "evidence" / "seeded.json"
PAGE = ROOT / "tests" / "seeded" / "SEEDED.md"


def options_of(arguments):
    parser = argparse.ArgumentParser(prog="python -m tests.seeded", description=__doc__.splitlines()[0])
    parser.add_argument("--short", action="store_true", help="at least one break of each requirement, one means each")
    parser.add_argument("--write", action="store_true", help="write SEEDED.md, instead of comparing it")
    parser.add_argument("--blind", action="store_true", help="try those too that a means says it cannot see")
    parser.add_argument("--no-controls", action="store_true", help="believe out/evidence; nothing is written")
    parser.add_argument("--jobs", type=int, default=2, help="processes at a time (default: 2)")
    parser.add_argument(
        "--only", action="append", metavar="ID", help="only this break; no controls, nothing is written"
    )
    parser.add_argument("--means", action="append", metavar="NAME", help="only this means; nothing is written")
    return parser.parse_args(arguments)


def tell(line):
    print(line, flush=True)


def chosen(options):
    """(breaks, means) that the options ask for. Exits with status 2 for a name that is none."""
    breaks, means = load_breaks(), all_means()
    for name in options.only or ():
        if name not in {one.id for one in breaks}:
            sys.exit(f"python -m tests.seeded: no break is called {name}")
    for name in options.means or ():
        if name not in {one.name for one in means}:
            sys.exit(f"python -m tests.seeded: no means is called {name}; there are {', '.join(m.name for m in means)}")
    if options.only:
        breaks = [one for one in breaks if one.id in options.only]
    if options.means:
        means = [one for one in means if one.name in options.means]
    return breaks, means


def full(options, breaks, means):
    """The matrix; returns the evidence."""
    with Copies(options.jobs) as copies:
        if options.only or options.no_controls:
            claims, wrong = known_claims(means), []
        else:
            claims, wrong = run_controls(copies, means, options.jobs, tell)
        cells, by, problems, seconds = run_matrix(
            copies, breaks, means, claims, options.jobs, tell, bool(options.means), options.blind
        )
    for name, spent in seconds.items():
        tell(f"{name}: {spent:.0f} s in all")
    return summary(breaks, cells, by, wrong + problems, "python -m tests.seeded", is_part=bool(options.only))


def compare(text, found, write):
    """SEEDED.md is what this run found, or that is one more problem."""
    if write:
        PAGE.write_text(text)
    if not PAGE.is_file() or PAGE.read_text() != text:
        found["problems"].append(f"{PAGE.name} is not what this run found; write it with --write")
        found["holds"] = False


def main(arguments=None):
    options = options_of(arguments)
    started = time.monotonic()
    is_part = bool(options.only or options.means or options.no_controls)
    breaks, means = chosen(options)
    found = run_short(options.jobs, breaks, tell) if options.short else full(options, breaks, means)
    found["seconds"] = round(time.monotonic() - started, 1)
    if not (options.short or is_part):
        compare(page(breaks, means, found), found, options.write)
    if not is_part:
        EVIDENCE.parent.mkdir(parents=True, exist_ok=True)
        EVIDENCE.write_text(json.dumps(found, indent=1) + "\n")
    for problem in found["problems"]:
        tell(f"DOES NOT HOLD: {problem}")
    totals = found["totals"]
    tell(
        f"{totals['breaks']} breaks, {totals['rejected']} rejected, {len(found['problems'])} problems, "
        f"{found['seconds']:.0f} s"
    )
    return 0 if found["holds"] else 1


if __name__ == "__main__":
    sys.exit(main())
