"""SAFETY.md is true: every hazard leads to requirements, every requirement to files and to evidence on both sides."""

import ast
import re
from pathlib import Path

import pytest
import yaml

from controller.settings import FIELDS

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "controller" / "SAFETY.md").read_text()
SIDES = ("acts", "spares")


def requirement_rows():
    """{id: list of file names} from the table of requirements."""
    rows = {}
    for line in TEXT.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and re.fullmatch(r"SR-\d\d", cells[0]):
            assert cells[0] not in rows, f"{cells[0]} stands twice"
            rows[cells[0]] = cells[3].split()
    return rows


def hazard_rows():
    return {m[1]: re.findall(r"SR-\d\d", m[2]) for m in re.finditer(r"^\| (H-\d) \|(.*)\|$", TEXT, re.M)}


def marks_of_tests():
    """[(id, side, where)] of every sr mark in the tests, read from their source; loops over ids are not allowed."""
    found = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.mark.sr":
                requirement, side = (argument.value for argument in node.args)
                found.append((requirement, side, f"{path.name}:{node.lineno}"))
    return found


def marks_of_scenarios():
    found = []
    for path in sorted((ROOT / "host_sim" / "scenarios").glob("*.yaml")):
        for entry in yaml.safe_load(path.read_text()).get("covers", []):
            requirement, side = entry.split()
            found.append((requirement, side, path.name))
    return found


ROWS = requirement_rows()
EVIDENCE = marks_of_tests() + marks_of_scenarios()


def test_all_requirements_stand_in_the_table():
    expected = [f"SR-{n:02d}" for n in (*range(1, 26), *range(30, 37))]
    assert list(ROWS) == expected


@pytest.mark.parametrize("requirement", list(ROWS))
def test_files_exist(requirement):
    for name in ROWS[requirement]:
        assert name == "all" or (ROOT / "controller" / name).is_file(), name


def test_every_file_of_the_decision_path_serves_a_requirement():
    named = {name for names in ROWS.values() for name in names}
    plumbing = {"__init__.py", "codes.py", "frames.py", "limits.py", "tick.py"}
    assert {path.name for path in (ROOT / "controller").glob("*.py")} - plumbing == named - {"all"}


def test_hazards_and_requirements_meet():
    hazards = hazard_rows()
    assert len(hazards) >= 7
    named = {requirement for ids in hazards.values() for requirement in ids}
    assert named == set(ROWS)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("requirement", list(ROWS))
def test_evidence_on_both_sides(requirement, side):
    assert [where for known, its_side, where in EVIDENCE if (known, its_side) == (requirement, side)]


def test_evidence_names_known_ids_and_sides():
    assert [entry for entry in EVIDENCE if entry[0] not in ROWS or entry[1] not in SIDES] == []


def test_settings_name_known_requirements():
    assert {row[6] for row in FIELDS} <= set(ROWS)
