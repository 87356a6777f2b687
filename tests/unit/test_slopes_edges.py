"""The window and one sensor's falls tick by tick."""

import random
from types import SimpleNamespace as As

import pytest

from controller.slopes import Slope, Window

NEED, PAUSE = 4, 5


def test_window_is_full_after_its_need_and_gives_the_value_of_need_ticks_ago():
    window = Window(NEED)
    seen = []
    for value in range(100, 112):
        window.push(value)
        seen.append((window.full, window.oldest))
    assert seen == [(0, 0)] * NEED + [(1, value) for value in range(100, 108)]


def test_window_after_a_restart_holds_only_what_came_since():
    draw = random.Random(7)
    window, since, last = Window(NEED), [], []
    for value in range(200):
        if draw.random() < 0.08:
            window.restart()
            since = []
            assert window.full == 0
        window.push(value)
        since.append(value)
        assert window.full == int(len(since) > NEED)
        if window.full:
            assert window.oldest == since[-1 - NEED]
            last.append(value)
    assert len(last) > 50


def sensor(mbar, ready=1, failed=0):
    return As(mbar=mbar, ready=ready, failed=failed)


class Fall:
    def __init__(self):
        self.slope = Slope(NEED)

    def step(self, *readings):
        """None for a tick without a sample."""
        for mbar in readings:
            self.slope.step(sensor(0, ready=0) if mbar is None else sensor(mbar))
        return self.slope


@pytest.mark.parametrize("ready, failed, votes", [(0, 0, 0), (0, 1, 0), (1, 0, 1), (1, 1, 0)])
def test_vote_of_a_sensor(ready, failed, votes):
    slope = Fall().step(6000)
    slope.step(sensor(5000, ready, failed))
    assert slope.votes == votes
    assert slope.mbar == (5000 if ready else 6000)


def test_smooth_value_follows_a_quarter_at_a_time_from_the_first_sample():
    fall = Fall()
    assert fall.step(6000).smooth == 96000
    by_hand = 96000
    for mbar in (5000, 5000, 4999, 7001, 7001, 3):
        by_hand += (mbar * 16 - by_hand) // 4
        assert fall.step(mbar).smooth == by_hand
    assert type(by_hand) is type(fall.slope.smooth) is int


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("missing, anew", [(PAUSE - 1, False), (PAUSE, True), (PAUSE + 50, True)])
def test_pause_of_five_ticks_starts_anew_and_a_shorter_one_does_not(missing, anew):
    fall = Fall()
    fall.step(*[6000] * 9)
    slope = fall.step(*[None] * missing)
    assert (slope.smooth, slope.votes) == (96000, 0)
    slope = fall.step(5000)
    assert slope.smooth == (80000 if anew else 96000 - 4000)
    assert slope.window.full == (0 if anew else 1)
    fall.step(*[5000] * (NEED - 1))
    assert slope.window.full == (0 if anew else 1)
    fall.step(5000)
    assert slope.window.full == 1
    # The next sample after a pause is an ordinary one again.
    assert fall.step(*[None] * (PAUSE - 1), 4000).smooth != 64000


@pytest.mark.parametrize("missing, known", [(0, 1), (PAUSE - 1, 1), (PAUSE, 0), (PAUSE + 9, 0)])
def test_start_of_a_stroke_is_known_unless_it_fell_into_a_pause(missing, known):
    fall = Fall()
    fall.step(*[6000] * 9, *[None] * missing)
    fall.slope.begin()
    assert (fall.slope.start_known, fall.slope.start_mbar) == (known, 6000)


def test_start_before_the_first_sample_is_not_known():
    slope = Fall().slope
    slope.begin()
    assert slope.start_known == 0


def test_falls_in_mbar_are_rounded_down():
    fall = Fall()
    fall.step(*[6000] * 9)
    fall.slope.begin()
    slope = fall.step(5999, 5998, 5900)
    assert slope.start_mbar == 6000
    # 96000 - 4; - (4 + 24) / 4 rounded; by hand: 95996, 95989, 95591
    assert slope.smooth == 95591
    assert slope.window_fall_mbar() == (96000 - 95591) // 16 == 25
    assert slope.dropped_mbar() == 6000 - 95591 // 16 == 26
    assert type(slope.dropped_mbar()) is type(slope.window_fall_mbar()) is type(slope.start_mbar) is int
