"""The means of evidence: what each is, how it is run, and what its results look like.

Each means is a command that writes out/evidence/NAME.json: {"means", "command", "holds", "seconds", "totals": {name:
number}, "requirements": {"SR-nn": {"holds", "what"}}}. Seconds never reach a page.
"""

import json
import subprocess
import sys
import time
from dataclasses import dataclass

from .safety import ROOT

RESULTS = ROOT / "out" / "evidence"


@dataclass(frozen=True)
class Means:
    """`short` and `full` are arguments of its module; None where it has no part in that form."""

    name: str
    title: str
    module: str
    short: tuple[str, ...] | None
    full: tuple[str, ...] | None
    sentence: str

    @property
    def file(self):
        return RESULTS / f"{self.name}.json"

    def command(self, is_full):
        """The arguments of its process, or None."""
        arguments = self.full if is_full else self.short
        return None if arguments is None else [sys.executable, "-m", self.module, *arguments]


JOBS = ("--jobs", "2")
MEANS = (
    Means(
        "proof",
        "Proof",
        "tests.proof",
        ("--short", *JOBS),
        JOBS,
        "The unmodified source runs on integer stand-ins; every path is enumerated, and z3 proves the invariant and "
        "each goal for all inputs, all states of the invariant and all settings that pass the checks.",
    ),
    Means(
        "search",
        "Search",
        "tests.exhaustive",
        ("--short", *JOBS),
        JOBS,
        "Every state that the real code can reach over an alphabet of edge inputs, watched by observers written from "
        "the requirements' text; then, from every state, that DOWN and UP are reached within their bounds.",
    ),
    Means(
        "scenarios",
        "Scenarios",
        "tests.evidence.scenarios",
        JOBS,
        JOBS,
        "Scripted flights with plant, devices and faults on a PC, each with claims about its trace.",
    ),
    Means(
        "branches",
        "Branches",
        "tests.branches",
        (),
        (),
        "Full branch coverage of controller/; with one condition a decision, which the dialect check enforces, that "
        "is MC/DC.",
    ),
    Means(
        "seeded",
        "Seeded faults",
        "tests.seeded",
        ("--short", *JOBS),
        ("--write", *JOBS),
        "Deliberate breaks of the controller; every means that claims a requirement has to reject its breaks.",
    ),
    Means(
        "mutation",
        "Mutation",
        "tests.mutation",
        None,
        JOBS,
        "Every small change of the source that a mutation tool knows; each is caught by a test or listed with the "
        "reason why nobody could see it.",
    ),
    Means(
        "in_flight",
        "Faults in flight",
        "tests.in_flight",
        None,
        JOBS,
        "Every fault of the catalogue, in every phase of flight; the onset moves tick by tick in strokes and brake taps, "
        "in coarser steps elsewhere; pairs of faults; a reset at every tick of every scenario, on recorded inputs.",
    ),
    Means(
        "fmea",
        "FMEA and fault trees",
        "tests.fmea",
        None,
        (),
        "Failure, effect, detection and reaction, computed from the faults in flight; minimal cut sets of two "
        "accidents.",
    ),
    Means(
        "nuisance",
        "Nuisance",
        "tests.nuisance",
        None,
        JOBS,
        "Random flights with disturbances inside the stated limits, in which nothing may be forced or refused.",
    ),
)


def run(means, is_full):
    """Runs one means; returns (exit status, seconds), or None where it has no part in this form."""
    command = means.command(is_full)
    if command is None:
        return None
    means.file.parent.mkdir(parents=True, exist_ok=True)
    # A result of an earlier run must not stand in for one that did not come.
    means.file.unlink(missing_ok=True)
    print(f"\n== {means.title}: {' '.join(['python', *command[1:]])}", flush=True)
    began = time.monotonic()
    status = subprocess.run(command, cwd=ROOT).returncode
    return status, time.monotonic() - began


def result(means):
    """What a means wrote, or None."""
    if not means.file.is_file():
        return None
    return json.loads(means.file.read_text())
