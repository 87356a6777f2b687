"""The mutation gate can fail, its list is current, and its changes are what they say."""

import ast
import json
import subprocess
import sys

import pytest

from tests.mutation import __main__ as gate
from tests.mutation.source import changed_lines, constant_mutants

ROOM = gate.ROOT / "controller"


def functions(path):
    """{qualified name: [stripped lines]} of a file."""
    text = path.read_text()
    found = {}

    def visit(body, prefix):
        for node in body:
            if isinstance(node, ast.ClassDef):
                visit(node.body, f"{node.name}.")
            if isinstance(node, ast.FunctionDef):
                found[prefix + node.name] = [line.strip() for line in ast.get_source_segment(text, node).splitlines()]

    visit(ast.parse(text).body, "")
    return found


def test_every_listed_change_names_lines_that_stand_in_the_source():
    lines = {path.name: functions(path) for path in ROOM.glob("*.py")}
    for file, function, line, becomes, ordinal in gate.listed():
        assert line in lines[file][function], (file, function, line)
        assert becomes != line and ordinal >= 1


def test_entry_without_a_reason_or_twice_is_refused(tmp_path, monkeypatch):
    entry = {"file": "gear.py", "function": "Gear.step", "line": "a", "becomes": "b", "why": "x" * 30}
    for entries in ([{**entry, "why": "same"}], [entry, entry]):
        (tmp_path / "list.yaml").write_text(json.dumps(entries))
        monkeypatch.setattr(gate, "LIST", tmp_path / "list.yaml")
        with pytest.raises(ValueError):
            gate.listed()


def row(line, how, file="gear.py"):
    return {"file": file, "function": "f", "line": line, "becomes": "x", "ordinal": 1, "how": how}


def key(line, file="gear.py"):
    return file, "f", line, "x", 1


@pytest.mark.parametrize(
    "rows, entries, left, stale",
    [
        ([row("a", "killed"), row("b", "stopped")], {}, [], []),
        ([row("a", "killed"), row("b", "survived")], {}, [key("b")], []),
        ([row("a", "killed"), row("b", "survived")], {key("b"): "why"}, [], []),
        ([row("a", "killed"), row("b", "killed")], {key("b"): "why"}, [], [key("b")]),
        ([row("a", "killed")], {key("gone"): "why"}, [], [key("gone")]),
        ([row("a", "killed")], {key("gone", "tank.py"): "why"}, [], []),
    ],
    ids=["all noticed", "one not", "listed", "listed and noticed", "listed and gone", "listed in another file"],
)
def test_verdict(rows, entries, left, stale):
    table, found_left, found_stale = gate.verdict(rows, entries, ["gear.py"], True)
    assert (found_left, found_stale) == (left, stale)
    assert table["gear.py"]["mutants"] == len(rows)


def test_requirement_holds_only_with_every_change_noticed_or_listed():
    table = {file: {"mutants": 2, "killed": 1, "listed": 1} for file in gate.controller_files()}
    found = gate.requirements(table)
    assert len(found) == 32 and all(entry["holds"] for entry in found.values())
    table["gear.py"]["listed"] = 0
    found = gate.requirements(table)
    assert not found["SR-01"]["holds"] and found["SR-19"]["holds"] and not found["SR-34"]["holds"]


def test_every_integer_outside_functions_is_changed_both_ways():
    text = 'A = 3\nB = ((1, "x", 0x10),)\nC = -2\n\n\ndef f():\n    return 7\n'
    found = [(mutant.line, mutant.becomes) for mutant in constant_mutants("x.py", text)]
    assert found == [
        ("A = 3", "A = (4)"),
        ("A = 3", "A = (2)"),
        ('B = ((1, "x", 0x10),)', 'B = (((2), "x", 0x10),)'),
        ('B = ((1, "x", 0x10),)', 'B = (((0), "x", 0x10),)'),
        ('B = ((1, "x", 0x10),)', 'B = ((1, "x", (17)),)'),
        ('B = ((1, "x", 0x10),)', 'B = ((1, "x", (15)),)'),
        ("C = -2", "C = -(3)"),
        ("C = -2", "C = -(1)"),
    ]
    assert changed_lines("a\nb\n", "a\nc\n") == ("b", "c")


@pytest.mark.deep
def test_changes_of_one_file_are_noticed_and_without_its_tests_they_are_not(tmp_path):
    command = [sys.executable, "-m", "tests.mutation", "--files", "persist.py", "--jobs", "1"]
    done = subprocess.run(command, cwd=gate.ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout
    done = subprocess.run([*command, "--tests", "test_frames_edges.py"], cwd=gate.ROOT, capture_output=True, text=True)
    assert done.returncode == 1 and "not noticed: persist.py Steady.step" in done.stdout
