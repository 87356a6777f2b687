"""Counters at their bounds: a reset counter is a new one, and none counts past its need."""

import pytest

from controller.codes import NO, UNKNOWN, YES
from controller.persist import Consecutive, Persist, Steady

NEW = {"persist": lambda: Persist(3, 2), "steady": lambda: Steady(3), "consecutive": lambda: Consecutive(3)}


def state(counter):
    return [getattr(counter, name) for name in counter.__slots__]


@pytest.mark.parametrize("kind", list(NEW))
@pytest.mark.parametrize("facts", [(YES,), (YES, YES, NO), (YES,) * 9, (YES, YES, UNKNOWN), (NO, NO, NO)])
def test_reset_counter_is_a_new_one(kind, facts):
    counter = NEW[kind]()
    for fact in facts:
        counter.step(fact)
    counter.reset()
    assert state(counter) == state(NEW[kind]())


@pytest.mark.sr("SR-34", "acts")
@pytest.mark.parametrize("kind", list(NEW))
def test_no_counter_passes_its_need(kind):
    counter = NEW[kind]()
    for _ in range(9):
        counter.step(YES)
        assert counter.count <= 3
    assert counter.count == 3


def test_one_no_among_events_starts_from_nothing():
    counter = Consecutive(3)
    assert [counter.step(fact) for fact in (YES, YES, NO, YES, YES, YES)] == [0, 0, 0, 0, 0, 1]
