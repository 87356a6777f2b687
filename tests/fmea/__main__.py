"""python -m tests.fmea [--short]: failure modes and fault trees, checked and written down."""

import argparse
import json
import sys
import time
from pathlib import Path

from . import check, coverage, drawing, evidence, modes, page, tree
from .analysis import CONFIRMED_UP_TO, TOPS, alone, analyse, differences

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
RECORD = ROOT / "out" / "evidence" / "fmea.json"


def products(flown, trees, found, failures, limits):
    """{file name: text} of everything that is committed."""
    made = {modes.COMMITTED.name: modes.as_text(flown), "FMEA.md": page.page(flown, trees, found, failures, limits)}
    for top in TOPS:
        made[f"{top}.svg"] = drawing.svg(trees.trees[top], trees.events, alone(found, top))
    return made


def problems(flown, trees, found, failures, limits, shared, most=CONFIRMED_UP_TO):
    """Plain lines, one for each thing that does not hold."""
    return [
        *check.every_failure_has_a_row(flown),
        *check.failures_are_described(failures),
        *check.nothing_is_wrong(flown),
        *check.undetected_is_answered(flown, failures),
        *check.limits_stand_in_safety(limits),
        *check.single_failures_are_admitted(trees, found, limits, shared),
        *check.evidence_exists(trees),
        *check.flights_agree_with_trees(trees, found, flown),
        *differences(trees, found, most),
    ]


def stale(made):
    """Names of committed files that are not what is made now."""
    return [name for name, text in made.items() if not (HERE / name).exists() or (HERE / name).read_text() != text]


def requirements(flown, failures):
    """{SR-nn: {"holds", "what"}} of every requirement that some failure puts to the test."""
    made = {}
    for requirement in sorted({one for row in failures.values() for one in row["meets"]}):
        ours = [mode for mode in flown if requirement in failures.get(mode.failure, {"meets": ()})["meets"]]
        made[requirement] = {
            "holds": bool(ours) and not check.nothing_is_wrong(ours),
            "what": f"{len(ours)} failure modes, {sum(mode.flights for mode in ours)} flights",
        }
    return made


def _record(flown, trees, found, failures, bad, short, seconds):
    totals = {
        "failures": len({mode.failure for mode in flown}),
        "failure modes": len(flown),
        "flights": sum(mode.flights for mode in flown),
    }
    for aircraft in page.SHORT:
        counts = page.verdicts([mode for mode in flown if mode.aircraft == aircraft])
        totals |= {
            f"{aircraft}: {coverage.SAFE}": counts.safe,
            f"{aircraft}: {coverage.BORNE}": counts.borne,
            f"{aircraft}: {coverage.DETECTED}": counts.detected,
            f"{aircraft}: {coverage.UNDETECTED}": counts.undetected,
            f"{aircraft}: diagnostic coverage, percent": counts.diagnostic_percent,
            f"{aircraft}: safe failure fraction, percent": counts.safe_percent,
        }
    totals["cut sets"] = sum(len(one.cuts) for one in found)
    totals |= {f"enough alone, {top}": len(alone(found, top)) for top in TOPS}
    return {
        "means": "fmea",
        "command": "python -m tests.fmea" + (" --short" if short else ""),
        "holds": not bad,
        "seconds": round(seconds, 1),
        "totals": totals,
        "requirements": requirements(flown, failures),
        "problems": bad,
    }


def main(arguments=None):
    """The command; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.fmea", description=__doc__)
    parser.add_argument("--short", action="store_true", help="from the committed cells; write nothing but the record")
    parser.add_argument("--campaign", type=Path, default=modes.CAMPAIGN, help="the record of python -m tests.in_flight")
    options = parser.parse_args(arguments)
    began = time.monotonic()
    trees, failures = tree.load(), evidence.load_failures()
    try:
        flown = modes.read_committed() if options.short else modes.read_campaign(failures, options.campaign)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    limits, shared = evidence.load_limits()
    found = analyse(trees)
    bad = problems(flown, trees, found, failures, limits, shared, CONFIRMED_UP_TO if options.short else None)
    if not check.every_failure_has_a_row(flown):
        bad += _write_or_compare(products(flown, trees, found, failures, limits), options.short)
    record = _record(flown, trees, found, failures, bad, options.short, time.monotonic() - began)
    RECORD.parent.mkdir(parents=True, exist_ok=True)
    RECORD.write_text(json.dumps(record, indent=1) + "\n")
    for line in bad:
        print(f"DOES NOT HOLD: {line}")
    for what, count in record["totals"].items():
        print(f"{count:>7,}  {what}")
    print(f"{'holds' if not bad else 'does not hold'}, {record['seconds']} s; {RECORD.relative_to(ROOT)}")
    return 1 if bad else 0


def _write_or_compare(made, short):
    if short:
        return [f"{name}: is not what python -m tests.fmea makes of cells.json" for name in stale(made)]
    for name, text in made.items():
        (HERE / name).write_text(text)
    return []


if __name__ == "__main__":
    raise SystemExit(main())
