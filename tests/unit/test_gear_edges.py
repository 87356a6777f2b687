"""The mode logic at its edges, facts straight to Gear: every count to the tick, every refusal, every way out."""

import pytest

from controller import codes
from controller.codes import DOWN, HELD, LOCKED_OUT, MODE_DOWN, MODE_UP, UP, WAKING

from .gear_seat import CAUSES, NOT_LATE, PERMITS, SETTLE, Seat


@pytest.mark.sr("SR-01", "acts")
def test_waking_ends_with_the_first_run_after_the_settling_time_and_not_before():
    seat = Seat()
    for _ in range(SETTLE):
        seat.step(down_run=1)
        assert seat.gear.mode == WAKING
    seat.step()
    assert seat.gear.mode == WAKING
    seat.step(down_run=1)
    assert (seat.gear.mode, seat.gear.armed) == (MODE_DOWN, 0)


@pytest.mark.sr("SR-01", "acts")
def test_one_tick_without_a_good_link_starts_the_settling_again():
    seat = Seat()
    seat.step(SETTLE)
    seat.step(link_good=0)
    seat.step(SETTLE, link_good=1, down_run=1)
    assert seat.gear.mode == WAKING
    seat.step(down_run=1)
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-10", "acts")
def test_run_that_ends_the_waking_arms_nothing():
    seat = Seat()
    seat.step(SETTLE)
    seat.step(down_run=1)
    assert seat.step(up_done=1) == DOWN
    assert (seat.gear.refusal, seat.gear.refused_now) == (codes.REFUSAL_NO_DOWN, 1)


@pytest.mark.sr("SR-02", "acts")
@pytest.mark.parametrize("permit", list(PERMITS))
def test_each_permit_alone_refuses_with_its_own_reason(permit):
    seat = Seat().awake()
    assert seat.step(up_done=1, **{permit: 0}) == DOWN
    assert (seat.gear.refusal, seat.gear.refused_now, seat.gear.armed) == (PERMITS[permit], 1, 0)
    assert seat.step(**{permit: 1}) == DOWN
    assert (seat.gear.refusal, seat.gear.refused_now) == (PERMITS[permit], 0)
    seat.step(down_run=1)
    assert seat.gear.refusal == codes.REFUSAL_NONE


@pytest.mark.sr("SR-02", "acts")
def test_of_several_reasons_the_first_of_the_list_is_named():
    for number, permit in enumerate(PERMITS):
        seat = Seat().awake()
        seat.step(up_done=1, **dict.fromkeys(list(PERMITS)[number:], 0))
        assert seat.gear.refusal == PERMITS[permit]


@pytest.mark.sr("SR-02", "acts")
def test_used_up_move_keeps_the_first_reason():
    seat = Seat().awake()
    seat.step(up_done=1, air_ok=0)
    seat.step(up_done=1, air_ok=1)
    assert (seat.gear.refusal, seat.gear.refused_now) == (codes.REFUSAL_AIR, 0)


@pytest.mark.sr("SR-02", "spares")
@pytest.mark.sr("SR-10", "acts")
def test_move_with_every_permit_goes_up_once():
    seat = Seat().awake()
    assert seat.step(up_done=1) == UP
    assert (seat.gear.mode, seat.gear.armed, seat.gear.refusal) == (MODE_UP, 0, codes.REFUSAL_NONE)
    assert seat.step(50) == UP
    assert seat.step(down_run=1) == DOWN
    assert (seat.gear.mode, seat.gear.armed) == (MODE_DOWN, 1)


@pytest.mark.sr("SR-10", "acts")
@pytest.mark.parametrize("state", ["awake", "up"])
def test_degraded_link_disarms_and_a_run_without_a_good_link_does_not_arm(state):
    seat = getattr(Seat(), state)()
    seat.step(link_good=0, down_run=1)
    assert (seat.gear.mode, seat.gear.armed) == (MODE_DOWN, 0)
    seat.step(link_good=1)
    assert seat.gear.armed == 0
    seat.step(down_run=1)
    assert seat.gear.armed == 1


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("cause", NOT_LATE)
@pytest.mark.parametrize("state", ["awake", "up"])
def test_every_cause_latches_and_holds_down(cause, state):
    seat = getattr(Seat(), state)()
    assert seat.step(present=[cause]) == DOWN
    assert (seat.gear.mode, seat.gear.held, seat.gear.armed) == (HELD, 1, 0)
    seat.step()
    assert [i for i in CAUSES if seat.gear.latched[i]] == [cause]
    seat.step(up_done=1)
    assert (seat.gear.refusal, seat.gear.refused_now) == (codes.REFUSAL_HELD, 1)


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("state", ["awake", "up", "held"])
def test_late_tick_starts_from_waking_whatever_was(state):
    seat = getattr(Seat(), state)()
    others = sum(seat.gear.latched)
    assert seat.step(present=[codes.CAUSE_LATE], up_done=1) == DOWN
    assert (seat.gear.mode, seat.gear.refusal, seat.gear.refused_now) == (WAKING, codes.REFUSAL_WAKING, 1)
    assert (seat.gear._settle, seat.gear._away, seat.gear._hold, seat.gear._hold_frames) == (0, 0, 0, 0)
    assert seat.gear.latched[codes.CAUSE_LATE] == 1
    seat.step(SETTLE)
    assert seat.gear.held == 1
    seat.step(down_run=1)
    assert seat.gear.mode == (HELD if others else MODE_DOWN)
    assert (seat.gear.held, sum(seat.gear.latched)) == (others, others)


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("cause", NOT_LATE)
def test_cause_while_waking_holds_down_afterwards(cause):
    seat = Seat()
    seat.step(present=[cause])
    assert (seat.gear.mode, seat.gear.held) == (WAKING, 1)
    seat.step(SETTLE)
    seat.step(down_run=1)
    assert (seat.gear.mode, seat.gear.held, seat.gear.latched[cause]) == (HELD, 1, 1)


@pytest.mark.sr("SR-32", "acts")
def test_locked_out_stays_and_says_why():
    seat = Seat(locked_out=1)
    assert seat.gear.mode == LOCKED_OUT
    for facts in ({"down_run": 1}, {"up_done": 1}, {"present": [codes.CAUSE_LATE]}, {"present": [codes.CAUSE_LINK]}):
        assert seat.step(9, **facts) == DOWN
        assert (seat.gear.mode, seat.gear.armed) == (LOCKED_OUT, 0)
    seat.step(up_done=1)
    assert (seat.gear.refusal, seat.gear.refused_now) == (codes.REFUSAL_LOCKED_OUT, 1)
    seat.step()
    assert seat.gear.refused_now == 0


@pytest.mark.sr("SR-34", "acts")
def test_every_entry_of_a_mode_forgets_all_progress():
    seat = Seat().held()
    seat.gear._settle = seat.gear._away = seat.gear._hold = seat.gear._hold_frames = seat.gear.armed = 1
    seat.gear._enter(MODE_DOWN)
    left = (seat.gear._settle, seat.gear._away, seat.gear._hold, seat.gear._hold_frames, seat.gear.armed)
    assert (seat.gear.mode, left) == (MODE_DOWN, (0, 0, 0, 0, 0))


@pytest.mark.sr("SR-01", "acts")
def test_move_while_waking_is_refused_with_its_reason():
    seat = Seat()
    seat.step(up_done=1)
    assert (seat.gear.mode, seat.gear.refusal, seat.gear.refused_now) == (WAKING, codes.REFUSAL_WAKING, 1)
