"""SAFETY.md, the marks of the tests and what the scenarios cover, read from their sources."""

import ast
import re
from dataclasses import dataclass
from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
SIDES = ("acts", "spares")


@dataclass(frozen=True)
class Requirement:
    """One row of the table in SAFETY.md: id, what the controller shall do, why, and the files that do it."""

    id: str
    shall: str
    because: str
    files: tuple[str, ...]


def requirements(text=None):
    """{id: Requirement} in the order of the table. ValueError for an id that stands twice."""
    text = text or (ROOT / "controller" / "SAFETY.md").read_text()
    rows = {}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and re.fullmatch(r"SR-\d\d", cells[0]):
            if cells[0] in rows:
                raise ValueError(f"{cells[0]} stands twice")
            rows[cells[0]] = Requirement(cells[0], cells[1], cells[2], tuple(cells[3].split()))
    return rows


def hazards(text=None):
    """{id: list of requirement ids}."""
    text = text or (ROOT / "controller" / "SAFETY.md").read_text()
    return {m[1]: re.findall(r"SR-\d\d", m[2]) for m in re.finditer(r"^\| (H-\d) \|(.*)\|$", text, re.M)}


def marks_of_tests():
    """[(id, side, "file:line")] of every sr mark in the tests, read from their source; loops over ids do not count."""
    found = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.mark.sr":
                requirement, side = (argument.value for argument in node.args)
                found.append((requirement, side, f"{path.name}:{node.lineno}"))
    return found


def covers_of_scenarios():
    """[(id, side, scenario)] of every shipped scenario."""
    found = []
    for path in sorted((ROOT / "host_sim" / "scenarios").glob("*.yaml")):
        for entry in yaml.safe_load(path.read_text()).get("covers", []):
            requirement, side = entry.split()
            found.append((requirement, side, path.stem))
    return found
