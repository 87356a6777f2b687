"""Aids at their points, levers and locks straight to Aids."""

import pytest

from controller import codes
from controller.aids import Aids, both
from controller.codes import DOWN, LOCK_CLOSED, LOCK_NOT_FITTED, NO, UNKNOWN, UP, YES
from controller.frames import ABSENT, NOT_KNOWN
from controller.limits import Limits

from .driver import settings_with

BRAKE_TICKS = 50
IDLE_TICKS = 150
STROKE_TICKS = 175


class At:
    """Stands in for a Lever or the Locks."""

    def __init__(self, permille=0, all_locks=LOCK_NOT_FITTED):
        self.permille = permille
        self.all = all_locks


class World:
    """Aids with the default settings and what they are shown."""

    def __init__(self):
        settings = settings_with()
        self.aids = Aids(settings, Limits(settings))
        self.shown = {"command": DOWN, "throttle": 500, "brake": 0, "light": 1000, "locks": LOCK_CLOSED, "mv": ABSENT}

    def step(self, ticks=1, **shown):
        self.shown.update(shown)
        s = self.shown
        for _ in range(ticks):
            self.aids.step(
                s["command"], At(s["throttle"]), At(s["brake"]), At(s["light"]), At(all_locks=s["locks"]), s["mv"]
            )
        return self.aids


@pytest.mark.parametrize("one", [NO, YES, UNKNOWN])
@pytest.mark.parametrize("other", [NO, YES, UNKNOWN])
def test_both_is_the_table_of_three_valued_and(one, other):
    expected = NO if NO in (one, other) else UNKNOWN if UNKNOWN in (one, other) else YES
    assert both(one, other) == expected


@pytest.mark.sr("SR-21", "acts")
def test_brakes_on_comes_in_the_tick_of_its_time():
    world = World()
    assert world.step(BRAKE_TICKS - 1, brake=101, throttle=51).brakes_on == 0
    assert world.step(1).brakes_on == 1


@pytest.mark.sr("SR-21", "spares")
@pytest.mark.parametrize(
    "brake, throttle",
    [(100, 500), (500, 50), (500, 0), (ABSENT, 500), (500, ABSENT), (NOT_KNOWN, 500), (500, NOT_KNOWN)],
)
def test_no_brake_warning_at_the_points_or_without_a_lever(brake, throttle):
    assert World().step(3 * BRAKE_TICKS, brake=brake, throttle=throttle).brakes_on == 0


@pytest.mark.sr("SR-21", "spares")
@pytest.mark.parametrize("gone", ["brake", "throttle"])
def test_lever_that_is_absent_ends_the_warning_and_one_that_is_lost_does_not(gone):
    world = World()
    world.step(BRAKE_TICKS, brake=500)
    assert world.step(100, **{gone: NOT_KNOWN}).brakes_on == 1
    assert world.step(9, **{gone: ABSENT}).brakes_on == 1
    assert world.step(1).brakes_on == 0


@pytest.mark.sr("SR-23", "acts")
def test_gear_not_down_comes_in_the_tick_of_its_time():
    world = World()
    assert world.step(IDLE_TICKS - 1, command=UP, throttle=29).not_down == 0
    assert world.step(1).not_down == 1


@pytest.mark.sr("SR-23", "spares")
@pytest.mark.parametrize("throttle", [51, ABSENT, NOT_KNOWN])
def test_no_gear_warning_above_idle_or_without_a_throttle(throttle):
    assert World().step(2 * IDLE_TICKS, command=UP, throttle=throttle).not_down == 0


@pytest.mark.sr("SR-23", "spares")
@pytest.mark.parametrize("ends", [{"command": DOWN}, {"throttle": 60}, {"throttle": ABSENT}])
def test_gear_warning_ends_with_the_gear_or_the_throttle(ends):
    world = World()
    world.step(IDLE_TICKS, command=UP, throttle=0)
    assert world.step(9, **ends).not_down == 1
    assert world.step(1).not_down == 0


@pytest.mark.sr("SR-23", "spares")
def test_lost_throttle_freezes_the_gear_warning():
    world = World()
    world.step(IDLE_TICKS, command=UP, throttle=0)
    assert world.step(200, throttle=NOT_KNOWN).not_down == 1


@pytest.mark.sr("SR-22", "acts")
@pytest.mark.parametrize("light, lit", [(600, 0), (601, 1), (400, 0), (NOT_KNOWN, 0)])
def test_light_follows_its_switch(light, lit):
    assert World().step(light=light).light == lit


@pytest.mark.sr("SR-22", "spares")
def test_light_switch_has_a_dead_zone():
    world = World()
    world.step(light=601)
    assert world.step(light=400).light == 1
    assert world.step(light=399).light == 0


@pytest.mark.sr("SR-13", "acts")
def test_light_is_shed_below_its_point_and_comes_back_a_tenth_of_a_volt_above():
    world = World()
    assert world.step(mv=4800).light == 1
    assert world.step(mv=4799).light == 0
    assert world.step(mv=4899).light == 0
    assert world.step(mv=ABSENT).light == 0
    assert world.step(mv=4900).light == 1
    assert world.step(mv=4850).light == 1


@pytest.mark.sr("SR-22", "acts")
@pytest.mark.parametrize("locks", [codes.LOCK_OPEN, codes.LOCK_DISTRUSTED])
def test_legs_that_are_not_locked_keep_the_light_off(locks):
    assert World().step(2 * STROKE_TICKS, locks=locks).light == 0


@pytest.mark.sr("SR-22", "acts")
def test_without_lock_switches_the_light_waits_for_the_stroke():
    world = World()
    assert world.step(STROKE_TICKS - 1, locks=LOCK_NOT_FITTED).light == 0
    assert world.step(1).light == 1
    assert world.step(1, command=UP).light == 0
    assert world.step(STROKE_TICKS - 1, command=DOWN).light == 0
    assert world.step(1).light == 1
    assert world.step(2000).light == 1
