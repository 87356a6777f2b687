"""The means that look for a break, what each of them claims, and how it is run in a copy.

Claims are nobody's opinion: those of tests are their marks, those of scenarios their `covers`, those of a command the
keys of "requirements" in the JSON that it writes when it runs on the unbroken copy, or the list that it declares.
"""

import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from .marks import covering_scenarios, marked_tests

PYTEST = ("-m", "pytest", "-q", "-x", "--tb=line", "-rfE", "--no-header", "-p", "no:xdist", "-p", "no:cacheprovider")
PYTEST += ("-p", "tests.seeded.no_shrinking", "-o", "addopts=", "-m", "not deep")
TIMEOUT_S = 1800
PASSES, REJECTS = 0, 1


class MeansError(RuntimeError):
    """A means that neither passed nor rejected: it could not be run."""


@dataclass(frozen=True)
class Found:
    """What one run of a means said: whether it rejects, and the line that says by what."""

    rejects: bool
    by: str


def run(copy, arguments):
    """Run Python with `arguments` in the copy; (exit status, output)."""
    try:
        ran = subprocess.run(
            [sys.executable, *arguments],
            cwd=copy.root,
            env=copy.environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=TIMEOUT_S,
        )
    except subprocess.TimeoutExpired:
        raise MeansError(f"no end after {TIMEOUT_S} s: {' '.join(arguments)}") from None
    return ran.returncode, ran.stdout


def telling_line(output):
    """The first line that names a failure, or the last one, without what pytest adds after the name."""
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    named = [line for line in lines if line.startswith("FAILED ")]
    line = (named or lines[-1:] or ["nothing was printed"])[0]
    return re.sub(r" - .*", "", line.removeprefix("FAILED "))


def look(copy, stages):
    """Run the stages, each a list of arguments to Python, until one rejects. Raises MeansError."""
    by = ""
    for arguments in stages:
        status, output = run(copy, arguments)
        by = telling_line(output)
        if re.search(r"^ERROR [^:\n]+$", output, re.MULTILINE):
            raise MeansError(f"tests that do not load: {by}")
        if status == REJECTS:
            return Found(True, by)
        if status != PASSES:
            raise MeansError(f"exit status {status}: {by}")
    return Found(False, by)


class Room:
    """The quick tests of one room; those marked with the requirements of a break come first, then all."""

    def __init__(self, name, what, skip=(), files=(), only=None, whole=True):
        self.name, self.what = name, what
        self._skip, self._only, self._whole = skip, only, whole
        self._all = files or (f"tests/{name}",)
        self._marked = marked_tests(name, skip)

    def claims(self, _root):
        """Requirements that carry a mark in this room."""
        found = set(self._marked)
        return found & set(self._only) if self._only else found

    def stages(self, requirements, _file=""):
        marked = [test for requirement in requirements for test in self._marked.get(requirement, ())]
        skipped = [f"--ignore=tests/{self.name}/{file}" for file in self._skip]
        stages = [[*PYTEST, *dict.fromkeys(marked)]] if marked else []
        return stages + ([[*PYTEST, *skipped, *self._all]] if self._whole or not marked else [])


class Scenarios:
    """The shipped scenarios that cover the requirements of a break; all of them for the unbroken copy."""

    name, what = "scenarios", "the claims of the shipped scenarios that cover the requirement"

    def __init__(self):
        self._covering = covering_scenarios()

    def claims(self, _root):
        return set(self._covering)

    def stages(self, requirements, _file=""):
        names = [name for requirement in requirements for name in self._covering.get(requirement, ())]
        return [["-m", "tests.seeded.fly", *dict.fromkeys(names)]]


class Command:
    """A command of its own, which writes out/evidence/NAME.json. `arguments` run it on the unbroken copy, `on_break`
    of a break's requirements and file gives those for a broken one, `declared` prints the requirements that it claims,
    where that is not what it wrote."""

    def __init__(self, name, what, arguments, on_break, declared=()):
        self.name, self.what = name, what
        self._arguments, self._on_break, self._declared = arguments, on_break, declared
        self._evidence = Path("out") / "evidence" / f"{name}.json"

    def claims(self, root):
        """Requirements that the command says it shows. Raises MeansError where it has not said it."""
        if self._declared:
            command = [sys.executable, *self._declared]
            return set(subprocess.run(command, cwd=root, capture_output=True, text=True, check=True).stdout.split())
        path = root / self._evidence
        if not path.is_file():
            raise MeansError(f"{self.name}: {self._evidence} is not there; run it once without --only")
        return set(json.loads(path.read_text())["requirements"])

    def stages(self, requirements, file=""):
        return [self._on_break(requirements, file) if requirements else self._arguments]


def all_means():
    """The means, the quickest first."""
    return (
        Room("unit", "the unit tests"),
        Room("house", "the rules of the house, read from the source"),
        Room("property", "random flights with observers written from the requirements"),
        Scenarios(),
        Command(
            "in_flight",
            "failures in flight that rest on the requirement",
            ["-m", "tests.in_flight", "--short", "--singles", "--jobs", "1"],
            lambda requirements, _: ["-m", "tests.seeded.fly_failures", *requirements],
        ),
        Room(
            "parity",
            "CPython against MicroPython, and a heap that may not grow",
            files=("tests/parity/test_no_allocation.py", "tests/parity/test_hostile.py"),
            only=("SR-34", "SR-36"),
        ),
        Command(
            "proof",
            "the proofs, for every input, of what the file does",
            ["-m", "tests.proof", "--short", "--no-breaks", "--jobs", "1"],
            lambda _, file: ["-m", "tests.seeded.prove", file],
        ),
        Command(
            "search",
            "the searches through every state that watch the requirement",
            ["-m", "tests.exhaustive", "--short", "--jobs", "1"],
            lambda requirements, _: ["-m", "tests.seeded.search_states", *requirements],
            ("-m", "tests.seeded.search_states"),
        ),
    )
