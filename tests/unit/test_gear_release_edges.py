"""How a held gear is released, to the tick: facts straight to Gear (SR-07)."""

import pytest

from controller import codes
from controller.codes import DOWN, HELD, MODE_DOWN, POSITION_UNKNOWN, UP

from .gear_seat import AWAY, CAUSES, FRAMES, HOLD, SETTLE, Seat, release


@pytest.mark.sr("SR-07", "spares")
def test_release_comes_in_the_tick_in_which_both_times_are_over():
    seat = Seat().held()
    release(seat, downs=HOLD - 1)
    assert (seat.gear.mode, seat.gear.held) == (HELD, 1)
    seat.step()
    assert (seat.gear.mode, seat.gear.held, sum(seat.gear.latched), seat.gear.armed) == (MODE_DOWN, 0, 0, 0)


@pytest.mark.sr("SR-07", "acts")
def test_time_of_absence_counts_to_the_tick():
    seat = Seat().held()
    seat.step(AWAY - 1, frame=DOWN)
    seat.facts.absent[codes.CAUSE_LINK] = 0
    seat.step()
    seat.facts.absent[codes.CAUSE_LINK] = 1
    seat.step(AWAY + HOLD - 1)
    assert seat.gear.mode == HELD
    seat.step()
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
def test_cause_that_returns_takes_back_the_time_that_down_was_shown():
    seat = Seat().held()
    release(seat, downs=HOLD - 1)
    seat.facts.absent[codes.CAUSE_LINK] = 0
    seat.step()
    seat.facts.absent[codes.CAUSE_LINK] = 1
    release(seat, downs=HOLD - 1)
    assert seat.gear.mode == HELD
    seat.step()
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("breaks", [{"frame": UP}, {"frame": DOWN, "link_good": 0}])
def test_anything_but_down_starts_the_hold_again(breaks):
    seat = Seat().held()
    release(seat, downs=HOLD - 1)
    seat.step(**breaks)
    seat.step(HOLD - 1, frame=DOWN, link_good=1)
    assert seat.gear.mode == HELD
    seat.step()
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
def test_pauses_count_as_time_only_after_the_first_frame_and_never_release():
    seat = Seat().held()
    seat.step(AWAY + 20, frame=POSITION_UNKNOWN)
    seat.step(1, frame=DOWN)
    seat.step(HOLD + 20, frame=POSITION_UNKNOWN)
    assert seat.gear.mode == HELD
    seat.step(1, frame=DOWN)
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
def test_pause_in_the_hold_counts_as_its_time():
    seat = Seat().held()
    release(seat, downs=FRAMES - 1)
    seat.step(HOLD - FRAMES, frame=POSITION_UNKNOWN)
    assert seat.gear.mode == HELD
    seat.step(1, frame=DOWN)
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
def test_release_needs_a_run_of_frames_and_a_frame_in_its_tick():
    seat = Seat(frames=HOLD + 2).held()
    release(seat, downs=HOLD + 1)
    assert seat.gear.mode == HELD
    seat.step(9, frame=POSITION_UNKNOWN)
    assert seat.gear.mode == HELD
    seat.step(frame=DOWN)
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("cause", CAUSES)
def test_each_latched_cause_alone_can_keep_the_gear_held(cause):
    seat = Seat().held()
    seat.step(present=[] if cause == codes.CAUSE_LATE else [cause])
    seat.gear.latched[cause] = 1
    seat.facts.absent[cause] = 0
    release(seat, away=3 * AWAY, downs=3 * HOLD)
    assert seat.gear.mode == HELD
    seat.facts.absent[cause] = 1
    release(seat)
    assert (seat.gear.mode, sum(seat.gear.latched)) == (MODE_DOWN, 0)


@pytest.mark.sr("SR-34", "acts")
def test_counters_stop_at_their_needs():
    seat = Seat()
    seat.step(99)
    assert seat.gear._settle == SETTLE
    for frames, hold_need, hold, hold_frames in ((99, HOLD, HOLD, 50), (FRAMES, 99, 50, FRAMES)):
        seat = Seat(frames=frames)
        seat.gear._hold_need = hold_need
        seat.held()
        release(seat, downs=50)
        assert (seat.gear._away, seat.gear._hold, seat.gear._hold_frames) == (AWAY, hold, hold_frames)


@pytest.mark.sr("SR-07", "acts")
def test_pause_counts_no_more_than_its_time():
    seat = Seat().held()
    release(seat, downs=1)
    seat.step(1, frame=POSITION_UNKNOWN)
    seat.step(HOLD - 3, frame=DOWN)
    assert seat.gear.mode == HELD
    seat.step()
    assert seat.gear.mode == MODE_DOWN


@pytest.mark.sr("SR-07", "acts")
@pytest.mark.parametrize("breaks", ["switch to up", "link degraded", "cause returns"])
def test_after_a_break_pauses_count_again_only_after_a_frame(breaks):
    seat = Seat().held()
    release(seat, downs=HOLD - 1)
    if breaks == "cause returns":
        seat.facts.absent[codes.CAUSE_LINK] = 0
        seat.step(frame=POSITION_UNKNOWN)
        seat.facts.absent[codes.CAUSE_LINK] = 1
    else:
        seat.step(frame=UP, link_good=int(breaks == "switch to up"))
    seat.step(AWAY + HOLD, frame=POSITION_UNKNOWN, link_good=1)
    seat.step(frame=DOWN)
    assert seat.gear.mode == HELD


@pytest.mark.sr("SR-07", "acts")
def test_silence_never_releases_though_all_has_been_counted():
    seat = Seat().held()
    release(seat, downs=FRAMES)
    seat.step(HOLD + 9, frame=POSITION_UNKNOWN)
    assert (seat.gear.mode, seat.gear._hold, seat.gear._hold_frames) == (HELD, HOLD, FRAMES)
    seat.step(1, frame=DOWN)
    assert seat.gear.mode == MODE_DOWN
