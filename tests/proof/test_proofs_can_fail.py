"""Each proof rejects deliberate breaks of the source it proves: a proof that cannot fail proves nothing."""

import inspect
from importlib import import_module

import pytest

from .breaks import BREAKS, goals_that_fail
from .registry import PROOFS

QUICK = ("a refused move stays armed",)
CASES = [name if name in QUICK else pytest.param(name, marks=pytest.mark.deep) for name in BREAKS]


@pytest.mark.parametrize("name", CASES)
def test_break_is_rejected(name):
    failed = goals_that_fail(name)
    assert [goal for goal in failed if BREAKS[name]["goal"] in goal], failed


def test_every_break_hits_one_place_of_the_present_source():
    sources = {
        file: inspect.getsource(import_module(f"controller.{file}")) for file in {b["file"] for b in BREAKS.values()}
    }
    assert [name for name, one in BREAKS.items() if sources[one["file"]].count(one["old"]) != 1] == []


def test_every_proof_has_a_break():
    assert {one["proof"] for one in BREAKS.values()} == set(PROOFS)
