"""Lock and ground switches to the tick, levels straight to Locks and Ground."""

from types import SimpleNamespace as As

import pytest

from controller.codes import DOWN, LOCK_CLOSED, LOCK_DISTRUSTED, LOCK_NOT_FITTED, LOCK_OPEN, UP
from controller.limits import Limits
from controller.switches import Ground, Locks

from .driver import settings_with

CLEAR_TICKS, OPEN_TICKS, DUE_TICKS, STROKE_TICKS = 50, 10, 150, 175
CLOSED_LEVEL = 0


@pytest.mark.sr("SR-16", "acts")
@pytest.mark.parametrize("clear_level", [0, 1])
def test_ground_is_clear_in_the_tick_of_its_time_and_never_after_a_bounce(clear_level):
    settings = settings_with(ground_fitted=1, ground_clear_level=clear_level)
    ground = Ground(settings, Limits(settings))
    for ticks, level, last in (
        (CLEAR_TICKS - 1, clear_level, 0),
        (1, clear_level, 1),
        (1, 1 - clear_level, 0),
        (CLEAR_TICKS - 1, clear_level, 0),
        (2, clear_level, 1),
    ):
        for _ in range(ticks):
            ground.step(level)
        assert ground.clear == last


@pytest.mark.sr("SR-16", "spares")
def test_without_a_ground_switch_it_is_always_clear():
    settings = settings_with(ground_fitted=0)
    ground = Ground(settings, Limits(settings))
    ground.step(1)
    assert ground.clear == 1


class Legs:
    """Locks of `count` legs; levels are given as text, "c" closed and "o" open."""

    def __init__(self, count=2):
        settings = settings_with(lock_count=count)
        self.locks = Locks(settings, Limits(settings))

    def step(self, levels, ticks=1, command=DOWN, since_change=999):
        pins = As(lock_level=[CLOSED_LEVEL if level == "c" else 1 - CLOSED_LEVEL for level in levels])
        for _ in range(ticks):
            self.locks.step(pins, command, As(since_change=since_change))
        return self.locks


@pytest.mark.sr("SR-14", "spares")
def test_without_lock_switches_nothing_is_said():
    locks = Legs(0).step("cc", 400)
    assert (locks.all, locks.overdue, locks.distrusted, locks.leg) == (LOCK_NOT_FITTED, 0, 0, [LOCK_NOT_FITTED] * 4)


@pytest.mark.sr("SR-14", "acts")
@pytest.mark.parametrize("count", [1, 2, 4])
def test_before_the_first_tick_no_fitted_leg_is_locked(count):
    locks = Legs(count).locks
    assert (locks.all, locks.leg) == (LOCK_OPEN, [LOCK_OPEN] * count + [LOCK_NOT_FITTED] * (4 - count))


@pytest.mark.sr("SR-14", "acts")
def test_leg_is_locked_from_its_second_tick_closed_and_all_only_with_every_leg():
    legs = Legs()
    assert legs.step("cooo").leg[:2] == [LOCK_OPEN, LOCK_OPEN]
    locks = legs.step("cooo")
    assert (locks.leg, locks.all) == ([LOCK_CLOSED, LOCK_OPEN, LOCK_NOT_FITTED, LOCK_NOT_FITTED], LOCK_OPEN)
    assert legs.step("cc", 2).all == LOCK_CLOSED


@pytest.mark.sr("SR-14", "acts")
def test_locked_leg_that_opens_is_told_in_the_tick_of_its_time():
    legs = Legs()
    legs.step("cc", 2)
    locks = legs.step("co", OPEN_TICKS - 1)
    assert (locks.all, locks.overdue) == (LOCK_CLOSED, 0)
    locks = legs.step("co")
    assert (locks.all, locks.overdue, locks.leg[1]) == (LOCK_OPEN, 1, LOCK_OPEN)
    assert legs.step("cc").overdue == 1
    locks = legs.step("cc")
    assert (locks.all, locks.overdue) == (LOCK_CLOSED, 0)


@pytest.mark.sr("SR-14", "spares")
def test_bounces_of_one_tick_heal_in_two():
    legs = Legs()
    legs.step("cc", 2)
    legs.step("co", OPEN_TICKS - 1)
    legs.step("cc", 1)
    legs.step("co", 1)
    assert legs.locks.all == LOCK_OPEN
    legs.step("cc", 2)
    legs.step("co", OPEN_TICKS - 1)
    legs.step("cc", 2)
    assert legs.step("co", OPEN_TICKS - 1).all == LOCK_CLOSED


@pytest.mark.sr("SR-14", "acts")
def test_overdue_in_the_tick_of_its_time_and_from_each_down_anew():
    legs = Legs()
    assert legs.step("oo", DUE_TICKS - 1).overdue == 0
    assert legs.step("oo").overdue == 1
    assert legs.step("oo", 500).overdue == 1
    assert legs.step("oo", 1, command=UP).overdue == 0
    assert legs.step("oo", DUE_TICKS - 1).overdue == 0
    assert legs.step("oo").overdue == 1
    locks = legs.step("cc", 2)
    assert (locks.overdue, locks.all) == (0, LOCK_CLOSED)


@pytest.mark.sr("SR-14", "spares")
def test_retraction_forgets_that_the_legs_were_locked():
    legs = Legs()
    legs.step("cc", 2)
    legs.step("oo", OPEN_TICKS, command=UP, since_change=0)
    assert legs.step("oo", DUE_TICKS - 1).overdue == 0
    assert legs.step("oo").overdue == 1


@pytest.mark.sr("SR-14", "acts")
def test_switch_still_closed_when_the_up_stroke_is_over_is_not_trusted_until_seen_open():
    legs = Legs()
    legs.step("cc", 2)
    locks = legs.step("co", OPEN_TICKS, command=UP, since_change=STROKE_TICKS - 1)
    assert (locks.distrusted, locks.all, locks.leg[0]) == (0, LOCK_OPEN, LOCK_CLOSED)
    locks = legs.step("co", 1, command=UP, since_change=STROKE_TICKS)
    assert (locks.distrusted, locks.all, locks.leg[:2]) == (1, LOCK_DISTRUSTED, [LOCK_DISTRUSTED, LOCK_OPEN])
    locks = legs.step("cc", 20)
    assert (locks.distrusted, locks.all, locks.leg[:2]) == (1, LOCK_DISTRUSTED, [LOCK_DISTRUSTED, LOCK_CLOSED])
    legs.step("oc", OPEN_TICKS - 1)
    assert legs.locks.distrusted == 1
    locks = legs.step("oc")
    assert (locks.distrusted, locks.leg[0]) == (0, LOCK_OPEN)
    assert legs.step("cc", 2).all == LOCK_CLOSED


@pytest.mark.sr("SR-14", "acts")
def test_while_up_no_leg_counts_as_locked():
    legs = Legs()
    legs.step("cc", 2)
    locks = legs.step("cc", 5, command=UP, since_change=0)
    assert (locks.all, locks.overdue, locks.leg[:2]) == (LOCK_OPEN, 0, [LOCK_CLOSED, LOCK_CLOSED])
