"""SAFETY.md is true: every hazard leads to requirements, every requirement to files and to evidence on both sides."""

import pytest

from controller.settings import FIELDS
from tests.evidence.safety import ROOT, SIDES, covers_of_scenarios, hazards, marks_of_tests, requirements

ROWS = {requirement.id: requirement.files for requirement in requirements().values()}
EVIDENCE = marks_of_tests() + covers_of_scenarios()


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
    found = hazards()
    assert len(found) >= 7
    named = {requirement for ids in found.values() for requirement in ids}
    assert named == set(ROWS)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("requirement", list(ROWS))
def test_evidence_on_both_sides(requirement, side):
    assert [where for known, its_side, where in EVIDENCE if (known, its_side) == (requirement, side)]


def test_evidence_names_known_ids_and_sides():
    assert [entry for entry in EVIDENCE if entry[0] not in ROWS or entry[1] not in SIDES] == []


def test_settings_name_known_requirements():
    assert {row[6] for row in FIELDS} <= set(ROWS)
