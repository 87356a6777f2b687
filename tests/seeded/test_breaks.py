"""The breaks still apply to the present source, and the machine that tries them can fail."""

from dataclasses import replace

import pytest

from .breaks import REQUIREMENTS, BreakError, load_breaks
from .copies import ROOT, Copy
from .matrix import MISSED, NOT_CLAIMED, REJECTED, try_break, verdict
from .means import Found, MeansError, Room, all_means, look, telling_line
from .page import summary
from .short import chosen

BREAKS = load_breaks()
BY_ID = {one.id: one for one in BREAKS}


def source_of(a_break):
    return (ROOT / "controller" / a_break.file).read_text()


def test_every_break_applies_to_the_present_source():
    for a_break in BREAKS:
        compile(a_break.applied(source_of(a_break)), a_break.file, "exec")


def test_entries_are_whole_and_every_requirement_has_a_break():
    names = {one.name for one in all_means()}
    assert len(BY_ID) == len(BREAKS) >= 40
    for a_break in BREAKS:
        assert set(a_break.requirements) <= set(REQUIREMENTS) and a_break.requirements, a_break.id
        assert a_break.old.endswith("\n"), f"{a_break.id}: whole lines only"
        assert a_break.sentence.endswith("."), a_break.id
        assert {*a_break.blind} | {a_break.short or "unit"} <= names, a_break.id
        assert a_break.short not in a_break.blind, a_break.id
    assert {requirement for one in BREAKS for requirement in one.requirements} == set(REQUIREMENTS)


def test_short_form_has_every_requirement():
    assert {requirement for one in chosen(BREAKS) for requirement in one.requirements} == set(REQUIREMENTS)


def test_page_names_every_break_and_no_other():
    page = (ROOT / "tests" / "seeded" / "SEEDED.md").read_text()
    rows = [line for line in page.splitlines() if line.startswith("| SR-")]
    assert [row.split("(`")[1].split("`)")[0] for row in rows] == list(BY_ID)


def test_text_that_is_gone_or_stands_twice_is_told():
    a_break = BREAKS[0]
    with pytest.raises(BreakError, match="0 times"):
        a_break.applied("nothing of it\n")
    with pytest.raises(BreakError, match="2 times"):
        a_break.applied(source_of(a_break) * 2)
    with pytest.raises(BreakError, match="breaks nothing"):
        replace(a_break, new=a_break.old).applied(source_of(a_break))


def test_verdicts():
    a_break = replace(BREAKS[0], blind={"search": "It does not look there."})
    assert verdict(a_break, "unit", Found(True, "x")) == (REJECTED, "")
    assert verdict(a_break, "unit", None) == (NOT_CLAIMED, "")
    assert verdict(a_break, "search", Found(False, "x")) == (MISSED + "It does not look there.", "")
    # Each of these has to be told: no reason given, a reason that is out of date, a means that could not be run.
    assert verdict(a_break, "unit", Found(False, "x"))[1]
    assert verdict(a_break, "search", Found(True, "x"))[1]
    assert verdict(a_break, "search", None)[1]
    assert verdict(a_break, "unit", MeansError("no end"))[1]


def test_a_break_that_nothing_rejects_does_not_hold():
    a_break = BREAKS[0]
    cells = {one.id: {"unit": REJECTED} for one in BREAKS}
    told = {one.id: {"unit": "x"} for one in BREAKS}
    assert summary(BREAKS, cells, told, [], "")["holds"]
    cells[a_break.id] = {"unit": MISSED + "it sleeps"}
    found = summary(BREAKS, cells, told, [f"{a_break.id}: nothing rejects it"], "")
    assert not found["holds"]
    assert not found["requirements"][a_break.requirements[0]]["holds"]
    assert not summary(BREAKS[:1], cells, told, [], "")["holds"], "a requirement without a break"


def test_telling_line():
    assert telling_line("..F\nFAILED tests/a.py::b - assert 1\n1 failed") == "tests/a.py::b"
    assert telling_line("two\nlines\n") == "lines"
    assert telling_line("") == "nothing was printed"


def test_cheap_breaks_are_rejected_and_the_unbroken_copy_is_not():
    """In a copy; the project's own source is never touched."""
    unit = Room("unit", "the unit tests", whole=False)
    with Copy() as copy:
        for name in ("fed-without-health", "not-down-without-re-arm"):
            a_break = BY_ID[name]
            with copy.broken(a_break):
                found = look(copy, unit.stages(a_break.requirements))
            assert found.rejects and found.by.startswith("tests/unit/test_"), (name, found)
            assert copy.source(a_break.file) == source_of(a_break), "the copy is whole again"
        assert not look(copy, unit.stages(("SR-23",))).rejects


def test_a_break_that_crashes_the_controller_is_no_break():
    crash = replace(
        BREAKS[0], file="gear.py", old="        self.refused_now = 0\n        if facts", new="        if fact"
    )
    with Copy() as copy, pytest.raises(MeansError, match="crashes the controller"):
        try_break(copy, crash, [], {})
