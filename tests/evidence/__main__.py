"""All evidence in one command.

python -m tests.evidence            proof, search, scenarios, branches, seeded faults: a few minutes on two cores
python -m tests.evidence --full     with mutation, faults in flight, FMEA and nuisance; then the page is compared
python -m tests.evidence --full --write   the same, and writes tests/evidence/EVIDENCE.md

Exit status: 0 all holds, 1 something does not.
"""

import argparse
import sys
import time

from .means import MEANS, RESULTS, result, run
from .page import PAGE, PageError, page, reasons
from .safety import requirements


def main(arguments=None):
    parser = argparse.ArgumentParser(
        prog="python -m tests.evidence",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    names = [means.name for means in MEANS]
    parser.add_argument("--full", action="store_true", help="every means, in its full form")
    parser.add_argument("--write", action="store_true", help="write the page instead of comparing it")
    parser.add_argument(
        "--page-may-differ", action="store_true", help="tell a page that differs, and do not fail on it"
    )
    parser.add_argument("--only", nargs="+", choices=names, metavar="MEANS", help=f"of {', '.join(names)}")
    parser.add_argument("--join", action="store_true", help="run nothing, join what earlier runs wrote")
    options = parser.parse_args(arguments)
    chosen = [means for means in MEANS if not options.only or means.name in options.only]
    began = time.monotonic()
    failed = [] if options.join else _run(chosen, options.full)
    results = {means.name: found for means in MEANS if (found := result(means)) is not None}
    if not options.full and not options.join:
        # What an earlier full run left is not of this run.
        ran = {means.name for means in chosen if means.command(False) is not None}
        results = {name: found for name, found in results.items() if name in ran}
    failed += [f"{name}: does not hold" for name, found in results.items() if not found["holds"]]
    failed += _page(results, options)
    _summary(results)
    print(f"\n{'FAILED' if failed else 'All holds'} after {time.monotonic() - began:.0f} s.")
    for line in dict.fromkeys(failed):
        print(f"  {line}")
    return 1 if failed else 0


def _run(chosen, is_full):
    """Runs the means; returns what failed, a line each."""
    failed = []
    for means in chosen:
        outcome = run(means, is_full)
        if outcome is None:
            continue
        status, seconds = outcome
        print(f"== {means.title}: {'holds' if status == 0 else 'FAILED'}, {seconds:.0f} s", flush=True)
        if status != 0:
            failed.append(f"{means.name}: exit status {status}")
        elif result(means) is None:
            failed.append(f"{means.name}: wrote no result")
    return failed


def _page(results, options):
    """Makes the page; returns what is wrong with it."""
    try:
        text = page(results, reasons())
    except PageError as error:
        return str(error).splitlines()
    (RESULTS / "EVIDENCE.md").write_text(text)
    is_whole = all(means.name in results for means in MEANS)
    if options.write:
        if not is_whole:
            return ["the page is written only when every means has run"]
        PAGE.write_text(text)
        print(f"\nwritten: {PAGE}")
        return []
    if options.full and is_whole and (not PAGE.is_file() or PAGE.read_text() != text):
        told = f"{PAGE.name} is not what this run gives; compare out/evidence/EVIDENCE.md, write it with --write"
        if not options.page_may_differ:
            return [told]
        print(f"\n{told}")
    return []


def _summary(results):
    print("\nid     " + "".join(f"{means.title:22}" for means in MEANS if means.name in results))
    for requirement in requirements():
        cells = []
        for means in MEANS:
            if means.name in results:
                entry = results[means.name]["requirements"].get(requirement)
                word = "-" if entry is None else ("holds" if entry["holds"] else "FAILS")
                cells.append(f"{word:22}")
        print(f"{requirement}  {''.join(cells)}".rstrip())


if __name__ == "__main__":
    sys.exit(main())
