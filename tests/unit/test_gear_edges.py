"""The mode logic at its edges, facts straight to Gear: every count to the tick, every refusal, every way out."""

from types import SimpleNamespace

import pytest

from controller import codes
from controller.codes import DOWN, HELD, LOCKED_OUT, MODE_DOWN, MODE_UP, POSITION_UNKNOWN, UP, WAKING
from controller.facts import Facts
from controller.gear import Gear, command_of

SETTLE, AWAY, HOLD, FRAMES = 4, 5, 4, 2
PERMITS = {
    "settings_ok": codes.REFUSAL_SETTINGS,
    "wiring_ok": codes.REFUSAL_WIRING,
    "pressure_known": codes.REFUSAL_PRESSURE,
    "sensors_agree": codes.REFUSAL_DISAGREE,
    "air_ok": codes.REFUSAL_AIR,
    "not_charging": codes.REFUSAL_CHARGING,
    "supply_ok": codes.REFUSAL_SUPPLY,
    "ground_clear": codes.REFUSAL_GROUND,
    "leave": codes.REFUSAL_SECOND_PATH,
}
CAUSES = list(range(codes.N_CAUSES))
NOT_LATE = [cause for cause in CAUSES if cause != codes.CAUSE_LATE]


def needs(settle=SETTLE, away=AWAY, hold=HOLD):
    return SimpleNamespace(link_settle_ticks=settle, recover_ticks=away, release_ticks=hold)


class Seat:
    """A Gear and the facts it is shown: all permits hold and every cause is absent until told otherwise."""

    def __init__(self, locked_out=0, frames=FRAMES):
        self.gear = Gear(needs(), frames, locked_out)
        self.facts = Facts()
        self.facts.link_good = 1
        self.facts.absent = [1] * codes.N_CAUSES
        for name in PERMITS:
            setattr(self.facts, name, 1)

    def step(self, ticks=1, present=(), **facts):
        """`ticks` ticks; a run flag is for these ticks only, the rest stays. Returns the last command."""
        for name in ("down_run", "up_done"):
            setattr(self.facts, name, facts.pop(name, 0))
        for name, value in facts.items():
            getattr(self.facts, name)
            setattr(self.facts, name, value)
        self.facts.present = [int(cause in present) for cause in CAUSES]
        for _ in range(ticks):
            command = self.gear.step(self.facts)
            assert command == command_of(self.gear.mode)
        return command

    def awake(self):
        self.step(SETTLE)
        self.step(down_run=1, frame=DOWN)
        self.step(down_run=1)
        assert (self.gear.mode, self.gear.armed) == (MODE_DOWN, 1)
        return self

    def up(self):
        self.awake()
        assert self.step(up_done=1, frame=UP) == UP
        return self

    def held(self, cause=codes.CAUSE_LINK):
        self.awake()
        self.step(present=[cause])
        assert self.gear.mode == HELD
        self.facts.absent[cause] = 1
        return self


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


def release(seat, away=AWAY, downs=HOLD, **last):
    """Absent for `away` ticks, then DOWN shown for `downs`."""
    seat.step(away, frame=UP)
    seat.step(downs, frame=DOWN, **last)


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


@pytest.mark.sr("SR-01", "acts")
def test_move_while_waking_is_refused_with_its_reason():
    seat = Seat()
    seat.step(up_done=1)
    assert (seat.gear.mode, seat.gear.refusal, seat.gear.refused_now) == (WAKING, codes.REFUSAL_WAKING, 1)


@pytest.mark.sr("SR-07", "acts")
def test_silence_never_releases_though_all_has_been_counted():
    seat = Seat().held()
    release(seat, downs=FRAMES)
    seat.step(HOLD + 9, frame=POSITION_UNKNOWN)
    assert (seat.gear.mode, seat.gear._hold, seat.gear._hold_frames) == (HELD, HOLD, FRAMES)
    seat.step(1, frame=DOWN)
    assert seat.gear.mode == MODE_DOWN
