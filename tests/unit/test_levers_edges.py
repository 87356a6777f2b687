"""Levers at the edges of pulse widths, travel and time, each pulse straight to a Lever."""

import pytest

from controller.codes import BRAKE, NO, UNKNOWN, YES
from controller.frames import ABSENT, NOT_KNOWN, Inputs
from controller.levers import Beyond, Lever
from controller.limits import Limits

from .driver import settings_with

NEED = 25


class Channel:
    """One lever with its inputs."""

    def __init__(self, rest_us=1100, end_us=1900, fitted=1):
        self.inputs = Inputs()
        self.lever = Lever(BRAKE, fitted, rest_us, end_us, Limits(settings_with()))

    def pulse(self, width_us):
        self.inputs.fresh[BRAKE] = 1
        self.inputs.pulse_us[BRAKE] = width_us
        self.lever.step(self.inputs)
        return self.lever

    def silence(self, ticks):
        self.inputs.fresh[BRAKE] = 0
        for _ in range(ticks):
            self.lever.step(self.inputs)
        return self.lever


@pytest.mark.parametrize("width_us, valid", [(799, 0), (800, 1), (801, 1), (2199, 1), (2200, 1), (2201, 0)])
def test_widths_that_count(width_us, valid):
    lever = Channel().pulse(width_us)
    assert lever.seen == valid
    assert lever.width_us == width_us * valid
    assert (lever.permille == NOT_KNOWN) == (not valid)


@pytest.mark.parametrize(
    "rest_us, end_us, width_us, permille",
    [
        (1100, 1900, 1099, 0),
        (1100, 1900, 1100, 0),
        (1100, 1900, 1101, 1),
        (1100, 1900, 1899, 998),
        (1100, 1900, 1900, 1000),
        (1100, 1900, 1901, 1000),
        (1000, 2000, 2001, 1000),
        (1900, 1100, 1899, 1),
        (1900, 1100, 1901, 0),
        (1900, 1100, 1099, 1000),
    ],
)
def test_position_between_rest_and_end(rest_us, end_us, width_us, permille):
    lever = Channel(rest_us, end_us).pulse(width_us)
    assert lever.permille == permille
    assert type(lever.permille) is int


@pytest.mark.sr("SR-21", "acts")
def test_half_a_second_of_silence_and_not_less_is_a_lost_lever():
    channel = Channel()
    channel.pulse(1500)
    lever = channel.silence(NEED - 1)
    assert (lever.lost, lever.permille, lever.seen) == (0, 500, 0)
    lever = channel.silence(1)
    assert (lever.lost, lever.permille) == (1, NOT_KNOWN)
    assert channel.silence(1000).lost == 1
    lever = channel.pulse(1900)
    assert (lever.lost, lever.permille, lever.seen) == (0, 1000, 1)
    assert channel.silence(NEED - 1).lost == 0


@pytest.mark.sr("SR-21", "acts")
def test_half_a_second_from_power_on():
    channel = Channel()
    assert channel.silence(NEED - 1).lost == 0
    assert channel.silence(1).lost == 1


def test_lever_that_is_not_fitted_stays_absent():
    lever = Channel(fitted=0).pulse(1500)
    assert (lever.permille, lever.seen, lever.lost, lever.width_us) == (ABSENT, 0, 0, 0)


@pytest.mark.parametrize(
    "positions, facts",
    [
        ((0,), (NO,)),
        ((NOT_KNOWN, ABSENT), (UNKNOWN, UNKNOWN)),
        ((100, 101), (NO, YES)),
        ((101, 80, 79), (YES, YES, NO)),
        ((101, NOT_KNOWN, 90), (YES, UNKNOWN, YES)),
        ((79, 100), (NO, NO)),
    ],
)
def test_beyond_has_a_dead_zone_that_keeps_what_was(positions, facts):
    beyond = Beyond(100, 80)
    for position, fact in zip(positions, facts, strict=True):
        beyond.step(position)
        assert beyond.fact == fact
