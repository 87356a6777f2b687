"""SR-14: lock switches."""

import pytest

from controller import codes

from .driver import DOWN_US, UP_US, Rig, codes_of

CLOSED = 0
OPEN = 1
DUE_TICKS = 150  # extend 2.5 s + margin 0.5 s
STROKE_TICKS = 175
ALL_CLOSED = [CLOSED] * 4
ALL_OPEN = [OPEN] * 4


def locked(**changes):
    rig = Rig(lock_count=3, **changes)
    rig.locks = ALL_CLOSED
    rig.awake()
    assert rig.outputs.locked == codes.LOCK_CLOSED
    return rig


def raised(rig):
    """Gear up, every switch open."""
    rig.locks = ALL_OPEN
    rig.move_up()
    rig.glide(7000, 6680, 100)
    rig.step(200)
    assert rig.command == codes.UP
    return rig


@pytest.mark.sr("SR-14", "acts")
@pytest.mark.parametrize("leg", [0, 1, 2])
def test_leg_that_does_not_lock_in_time_raises_a_warning_until_it_locks(leg):
    rig = raised(locked())
    rig.move_down()
    rig.locks = [OPEN if index == leg else CLOSED for index in range(4)]
    took = rig.until(lambda o: o.active[codes.ALERT_NOT_LOCKED] == 1, DUE_TICKS + 10)
    assert DUE_TICKS - 4 <= took <= DUE_TICKS + 2
    assert rig.outputs.severity == codes.WARNING
    assert rig.outputs.locked == codes.LOCK_OPEN
    rig.step(3000)
    assert rig.outputs.alert == codes.ALERT_NOT_LOCKED
    rig.step(4, locks=ALL_CLOSED)
    assert not rig.shows(codes.ALERT_NOT_LOCKED)
    assert rig.outputs.locked == codes.LOCK_CLOSED


@pytest.mark.sr("SR-14", "spares")
def test_legs_that_lock_in_time_are_quiet():
    rig = raised(locked())
    rig.move_down()
    for tick in range(400):
        rig.step(locks=ALL_CLOSED if tick > DUE_TICKS - 10 else ALL_OPEN)
        assert not rig.shows(codes.ALERT_NOT_LOCKED)


@pytest.mark.sr("SR-14", "acts")
def test_leg_that_opens_after_having_been_locked_warns_after_its_time():
    rig = locked()
    rig.locks = [OPEN, CLOSED, CLOSED, CLOSED]
    took = rig.until(lambda o: o.active[codes.ALERT_NOT_LOCKED] == 1, 20)
    assert 10 <= took <= 12


@pytest.mark.sr("SR-14", "spares")
def test_bounce_of_a_lock_switch_is_quiet():
    rig = locked()
    for _ in range(50):
        rig.step(8, locks=[OPEN, CLOSED, OPEN, CLOSED])
        rig.step(4, locks=ALL_CLOSED)
        assert not rig.shows(codes.ALERT_NOT_LOCKED)
        assert rig.outputs.locked == codes.LOCK_CLOSED


@pytest.mark.sr("SR-14", "acts")
def test_switch_still_closed_with_the_gear_up_is_not_trusted_until_seen_open():
    rig = locked()
    rig.locks = [CLOSED, OPEN, OPEN, OPEN]
    rig.move_up()
    rig.glide(7000, 6680, 100)
    rig.step(100)
    assert rig.shows(codes.ALERT_LOCK_SWITCH)
    assert rig.outputs.leg_locked[0] == codes.LOCK_DISTRUSTED
    rig.move_down()
    rig.locks = ALL_CLOSED
    for _ in range(1000):
        rig.step()
        assert rig.outputs.locked != codes.LOCK_CLOSED
        assert rig.outputs.leg_locked[0] != codes.LOCK_CLOSED
    assert rig.shows(codes.ALERT_NOT_LOCKED)
    rig.step(20, locks=[OPEN, CLOSED, CLOSED, CLOSED])
    rig.step(4, locks=ALL_CLOSED)
    assert rig.outputs.locked == codes.LOCK_CLOSED


@pytest.mark.sr("SR-14", "spares")
def test_switch_that_opens_late_in_the_up_stroke_stays_trusted():
    rig = locked()
    rig.move_up()
    rig.glide(7000, 6680, 100)
    rig.step(30)
    rig.step(300, locks=ALL_OPEN)
    assert not rig.shows(codes.ALERT_LOCK_SWITCH)


@pytest.mark.sr("SR-14", "acts")
def test_gear_without_switches_is_never_reported_locked():
    rig = Rig().awake()
    rig.locks = ALL_CLOSED
    for _ in range(300):
        assert rig.step().locked == codes.LOCK_NOT_FITTED
        assert rig.outputs.leg_locked == [codes.LOCK_NOT_FITTED] * 4


@pytest.mark.sr("SR-14", "acts")
def test_broken_wires_never_read_locked():
    # A pin with a pull-up reads 1 with its wire off.
    rig = Rig(lock_count=3)
    rig.locks = [1, 1, 1, 1]
    for _ in range(300):
        assert rig.step().locked == codes.LOCK_OPEN
    assert rig.shows(codes.ALERT_NOT_LOCKED)


@pytest.mark.sr("SR-14", "acts")
def test_gear_up_is_never_reported_locked():
    rig = locked()
    rig.move_up()
    for tick in range(300):
        rig.step(a=codes_of(7000 - min(tick, 100) * 3))
        assert rig.outputs.locked != codes.LOCK_CLOSED


@pytest.mark.sr("SR-14", "spares")
def test_switches_of_legs_that_are_not_fitted_have_no_say():
    rig = Rig(lock_count=2)
    rig.locks = [CLOSED, CLOSED, OPEN, OPEN]
    rig.step(300, gear_us=DOWN_US)
    assert rig.outputs.locked == codes.LOCK_CLOSED
    assert not rig.shows(codes.ALERT_NOT_LOCKED)
    rig.step(3, gear_us=UP_US)
    assert rig.command == codes.UP
