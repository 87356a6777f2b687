"""The page and the pictures: made twice they are the same, and they are what is committed."""

import json
from xml.etree import ElementTree

import pytest

from . import __main__ as command
from . import modes
from .coverage import UNDETECTED
from .drawing import rows_of


@pytest.fixture
def made(flown, trees, found, failures, limits):
    return command.products(flown, trees, found, failures, limits)


def test_made_twice_is_the_same(made, flown, trees, found, failures, limits):
    assert command.products(flown, trees, found, failures, limits) == made
    assert set(made) == {"cells.json", "FMEA.md", "not_locked.svg", "moves_up.svg", "untold.svg"}


def test_committed_page_follows_from_committed_cells(trees, found, failures, limits):
    made = command.products(modes.read_committed(), trees, found, failures, limits)
    assert command.stale(made) == []
    made["FMEA.md"] += "\n"
    assert command.stale(made) == ["FMEA.md"]


def test_page_shows_every_form_and_every_single_failure(made, flown, trees, found):
    text = made["FMEA.md"]
    for mode in flown:
        assert f"\n| {mode.label} |" in text
    for name in {next(iter(cut)) for one in found for cut in one.of_size(1)}:
        assert f"\n- {trees.events[name].text}" in text
    for event in trees.events.values():
        if event.evidence.get("none") and event.part != "pilot":
            assert f"\n- **{event.text}**" in text


def test_page_says_what_to_do_about_what_nothing_detects(cells, trees, found, failures, limits):
    flown = modes.modes_of(
        [one | {"dangerous": one["failure"] == "stutter", "effect": modes.HARM[0]} for one in cells], {}
    )
    assert {mode.failure for mode in flown if mode.verdict == UNDETECTED} == {"stutter"}
    text = command.products(flown, trees, found, failures, limits)["FMEA.md"]
    assert f"\n- **stutter**.\n  *{failures['stutter']['do']}*\n" in text


def test_pictures_are_pictures_and_hold_every_row(made, trees):
    for top in ("not_locked", "moves_up", "untold"):
        root = ElementTree.fromstring(made[f"{top}.svg"])
        words = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]
        for row in rows_of(trees.trees[top]):
            if "event" in row.node:
                assert trees.events[row.node["event"]].text in words
        # Long words must not run into the next column: a wide letter of this size takes about 9 px.
        width = float(root.get("width"))
        for node in root.iter("{http://www.w3.org/2000/svg}text"):
            assert float(node.get("x")) + 7.6 * len(node.text or "") < width + 60


def test_command_from_committed_cells(tmp_path, monkeypatch, capsys, found):
    monkeypatch.setattr(command, "RECORD", tmp_path / "fmea.json")
    monkeypatch.setattr(command, "CONFIRMED_UP_TO", 2)
    monkeypatch.setattr(command, "analyse", lambda trees: found)
    monkeypatch.setattr(command, "ROOT", tmp_path)
    status = command.main(["--short"])
    record = json.loads((tmp_path / "fmea.json").read_text())
    assert status == (0 if record["holds"] else 1)
    assert record["means"] == "fmea"
    assert all(row["holds"] for row in record["requirements"].values())
    assert all("SAFETY.md does not say" in line for line in record["problems"])
    assert "tern: diagnostic coverage, percent" in capsys.readouterr().out


def test_command_without_a_campaign(tmp_path, capsys):
    assert command.main(["--campaign", str(tmp_path / "in_flight.json")]) == 2
    assert "run python -m tests.in_flight first" in capsys.readouterr().err


def test_every_row_of_a_table_is_as_wide_as_its_head(made):
    width = 0
    for line in made["FMEA.md"].splitlines():
        if not line.startswith("|"):
            width = 0
            continue
        width = width or line.count("|")
        assert line.count("|") == width, line
