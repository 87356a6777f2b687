"""Each proof rejects deliberate breaks of the source it proves: a proof that cannot fail proves nothing."""

import pytest

from .breaks import goals_that_fail
from .breaks_list import BREAKS

QUICK = ("a refused move stays armed",)
CASES = [name if name in QUICK else pytest.param(name, marks=pytest.mark.deep) for name in BREAKS]


@pytest.mark.parametrize("name", CASES)
def test_break_is_rejected(name):
    failed = goals_that_fail(name)
    assert [goal for goal in failed if BREAKS[name][4] in goal], failed
