"""Every failure of the catalogue, in every phase of a flight, with the unmodified controller, on a PC.

    python -m tests.in_flight [--short | --once] [--jobs 2] [--singles | --pairs | --resets] [--case CASE]

Prints outcomes by name and, for each wrong one, what flies it again; writes out/evidence/in_flight.json; exit status 1
when anything is wrong. `--case`, `--pair` and `--reset` fly one again
and tell what was seen.
"""

import argparse
import json
import sys
import time
from pathlib import Path

from .base_flights import PHASE_BY_NAME
from .campaign import FULL, ONCE, SHORT, Part, fly_singles
from .case import Case, fly_case
from .judge import Judge
from .pairs import fly_pairs, pair_again
from .resets import fly_resets, reset_again
from .singles import base_words
from .variants import VARIANTS
from .verdict import WRONG

FILE = Path(__file__).parents[2] / "out" / "evidence" / "in_flight.json"
WRONG_SHOWN = 40
FLIES = {"singles": fly_singles, "pairs": fly_pairs, "resets": fly_resets}
WHAT = "failures in flight end in the stated reaction, in time"


def main(arguments=None):
    """The command; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.in_flight", description=__doc__.split("\n")[0])
    forms = parser.add_mutually_exclusive_group()
    forms.add_argument("--short", action="store_true", help="one onset in each of four phases")
    forms.add_argument("--once", action="store_true", help="one onset in every phase")
    parser.add_argument("--jobs", type=int, default=2, choices=range(1, 65), metavar="1..64")
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--singles", action="store_true")
    which.add_argument("--pairs", action="store_true")
    which.add_argument("--resets", action="store_true")
    again = parser.add_mutually_exclusive_group()
    again.add_argument("--case", help="one single again, as a wrong one is printed")
    again.add_argument("--pair", help="one pair again")
    again.add_argument("--reset", help="one reset again")
    options = parser.parse_args(arguments)
    if options.case:
        return tell_case(options.case)
    if options.pair or options.reset:
        wrong = pair_again(options.pair).wrong if options.pair else [w for w in [reset_again(options.reset)] if w]
        print("\n".join(wrong) or "as it should be")
        return 1 if wrong else 0
    began_s = time.monotonic()
    form = SHORT if options.short else ONCE if options.once else FULL
    chosen = [name for name in FLIES if getattr(options, name)] or list(FLIES)
    parts = {}
    for name in chosen:
        part = parts[name] = FLIES[name](form, options.jobs)
        print(
            f"{name}: {part.flights} flights, {len(part.wrong)} wrong, {time.monotonic() - began_s:.0f} s", flush=True
        )
    seconds = time.monotonic() - began_s
    return report(parts, form, seconds)


def report(parts, form, seconds):
    """Print and write what the parts {name: Part} found; returns the exit status."""
    total = Part()
    for name, part in parts.items():
        print(f"{name}:")
        for outcome, n in sorted(part.outcomes.items()):
            print(f"  {n:7d}  {outcome}")
        total.merge(part)
    for flag, text in total.wrong[:WRONG_SHOWN]:
        print(f"WRONG  python -m tests.in_flight {flag}\n       {text}")
    if len(total.wrong) > WRONG_SHOWN:
        print(f"and {len(total.wrong) - WRONG_SHOWN} more that are wrong")
    holds = not total.wrong
    print(f"{total.flights} flights on a PC, {len(total.wrong)} wrong, {seconds:.0f} s.")
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(json.dumps(record(parts, total, form, holds, seconds), indent=1) + "\n")
    return 0 if holds else 1


def record(parts, total, form, holds, seconds):
    """The JSON form."""
    requirements = {
        name: {
            "holds": total.broken[name] == 0,
            "flights": n,
            "what": f"{WHAT}: {n} flights",
        }
        for name, n in sorted((total.rests_on + total.broken).items())
    }
    totals = {f"{name} flights": part.flights for name, part in parts.items()}
    return {
        "means": "in_flight",
        "command": "python -m tests.in_flight" + ("" if form == FULL else f" --{form}"),
        "holds": holds,
        "seconds": round(seconds, 1),
        "totals": {"flights": total.flights, **totals, "cells": len(total.cells), "wrong": len(total.wrong)},
        "outcomes": dict(sorted(total.outcomes.items())),
        "requirements": requirements,
        "cells": [cell.record() for _, cell in sorted(total.cells.items())],
        "wrong": [{"again": f"python -m tests.in_flight {flag}", "what": text} for flag, text in total.wrong[:200]],
    }


def tell_case(text):
    """Fly one case again and tell; returns 1 where it is wrong."""
    aircraft, label, phase, onset = text.split("/")
    variant = next((variant for variant in VARIANTS if variant.label == label), None)
    if variant is None or phase not in PHASE_BY_NAME or aircraft not in variant.expected:
        print(f"{text}: no such case", file=sys.stderr)
        return 2
    case = Case(variant, aircraft, phase, int(onset))
    judge = Judge(fly_case(case), base_words(aircraft, PHASE_BY_NAME[phase].kind))
    verdict, story = judge.verdict(), judge.story
    print(f"{text}: {verdict.outcome}")
    for line in verdict.wrong:
        print(f"  {line}")
    print(f"  up {story.up_ms}, down {story.fall_ms} ms by {sorted(story.fall_causes)}; flown to {story.end_ms:.0f} ms")
    print(f"  alerts {story.alert_ms}, refusals {sorted(story.refusals_seen)}, hazards {sorted(verdict.hazards)}")
    print(f"  reaction {verdict.reaction_ms} ms of {verdict.allowed_ms} ms")
    return 1 if verdict.outcome == WRONG else 0


if __name__ == "__main__":
    raise SystemExit(main())
