"""What the tables rest on, looked up where it stands: limits in SAFETY.md, breaks in tests/proof, tests by name."""

import ast
import functools
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

import yaml

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SAFETY = ROOT / "controller" / "SAFETY.md"
HEADING = "## What it cannot do"


@dataclass(frozen=True)
class Limit:
    """A limit that is admitted: its name, its sentence in SAFETY.md, {event: why it falls under it}, and the builds in
    which it is admitted (`when` as in trees.yaml)."""

    name: str
    sentence: str
    events: dict
    when: dict = field(default_factory=dict)

    def admits(self, event, build):
        """Whether it admits that the event is enough alone in a build."""
        return event in self.events and all(build[key] == value for key, value in self.when.items())


def load_limits(path=HERE / "limits.yaml"):
    """([Limit], {event: why it is shared}) of the file."""
    data = yaml.safe_load(Path(path).read_text())
    rows = data["admitted"]
    return [Limit(row["limit"], row["sentence"], row["events"], row.get("when", {})) for row in rows], data["shared"]


def load_failures(path=HERE / "failures.yaml"):
    """{failure: {"meets": [SR-nn], "do": words}} of the file."""
    return yaml.safe_load(Path(path).read_text())


def admissions(text=None):
    """ "What it cannot do" of SAFETY.md in one line, so that breaks do not matter. ValueError without the heading."""
    text = SAFETY.read_text() if text is None else text
    if HEADING not in text:
        raise ValueError(f"no heading {HEADING!r}")
    part = text.split(HEADING, 1)[1].split("\n## ", 1)[0]
    return " ".join(part.split())


@functools.cache
def proof_breaks():
    """Names of the deliberate breaks that the proofs reject, a frozenset."""
    return frozenset(tomllib.loads((ROOT / "tests" / "proof" / "breaks.toml").read_text()))


@functools.cache
def is_test(name):
    """Whether file::function is a test of this project."""
    path, _, function = name.partition("::")
    file = ROOT / path
    if not file.is_file():
        return False
    return any(isinstance(n, ast.FunctionDef) and n.name == function for n in ast.parse(file.read_text()).body)
