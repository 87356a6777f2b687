"""Filling and leaks to the second and to the mbar, one pressure a second straight to Tank."""

from types import SimpleNamespace as As

import pytest

from controller.codes import DOWN, UP
from controller.limits import Limits
from controller.tank import EMPTY, Tank, _lower

from .driver import settings_with

SECOND = 50
RISE_MBAR = Limits(settings_with()).charge_mbar
QUIET_S, SPAN_S, FILL_S = 30, 60, 180


def test_lower_of_two_of_which_either_may_be_unknown():
    found = [_lower(one, other) for one in (EMPTY, 0, 5, 7) for other in (EMPTY, 0, 5, 7)]
    assert found == [EMPTY, 0, 5, 7, 0, 0, 0, 0, 5, 0, 5, 5, 7, 0, 5, 7]


class Gauge:
    """A Tank that is shown `mbar` for whole seconds."""

    def __init__(self, command=UP):
        self.tank = Tank(Limits(settings_with()))
        self.command = command

    def second(self, mbar, first_tick=None, in_progress=0, jumped=0):
        """One second at `mbar`, None for nothing read; `first_tick` are the strokes of its first tick."""
        for tick in range(SECOND):
            strokes = As(since_change=9, brake_age=9, in_progress=in_progress)
            if tick == 0 and first_tick:
                vars(strokes).update(first_tick)
            pressure = As(read=int(mbar is not None), smooth=(mbar or 0) * 16 + 15, jumped=jumped * (tick == 0))
            self.tank.step(self.command, pressure, strokes)
        return self.tank

    def seconds(self, *readings):
        return [(self.second(mbar).charging, self.tank.leaking) for mbar in readings]

    def steady(self, seconds, mbar=7000):
        for _ in range(seconds):
            self.second(mbar)
        return self


@pytest.mark.sr("SR-19", "acts")
@pytest.mark.parametrize("rise_mbar, charging", [(RISE_MBAR, 0), (RISE_MBAR + 1, 1)])
def test_rise_that_is_filling_and_its_minute(rise_mbar, charging):
    gauge = Gauge().steady(3, 3000)
    assert gauge.second(3000 + rise_mbar).charging == charging
    for _ in range(59):
        assert gauge.second(3000 + rise_mbar).charging == charging
    assert gauge.second(3000 + rise_mbar).charging == 0


@pytest.mark.sr("SR-19", "acts")
@pytest.mark.parametrize("slope_mbar, more", [(5, 0), (6, 1)])
def test_rise_goes_on_while_a_second_brings_enough(slope_mbar, more):
    gauge = Gauge().steady(3, 3000)
    gauge.second(4000)
    gauge.steady(50, 4000)
    assert gauge.tank.charging == 1
    # Still within half a minute of a low second: only then a further rise is looked at.
    gauge = Gauge().steady(3, 3000)
    gauge.second(4000)
    gauge.steady(20, 4000)
    gauge.second(4000 + slope_mbar)
    gauge.steady(39, 4000 + slope_mbar)
    assert gauge.tank.charging == more


@pytest.mark.sr("SR-19", "spares")
@pytest.mark.parametrize("ago_s, charging", [(29, 1), (30, 0), (59, 0), (60, 0)])
def test_rise_is_measured_from_the_lowest_second_of_half_a_minute(ago_s, charging):
    gauge = Gauge()
    gauge.second(3000)
    gauge.steady(ago_s, 3000 + RISE_MBAR)
    assert gauge.second(3000 + RISE_MBAR + 6).charging == charging


@pytest.mark.sr("SR-19", "acts")
@pytest.mark.parametrize("ago_s", [1, 2, 3, 16, 28, 29])
def test_lowest_second_is_found_wherever_it_lies_in_the_minute(ago_s):
    gauge = Gauge()
    for _ in range(4):
        gauge.steady(31, 3000 + RISE_MBAR)
        gauge.second(3000)
        gauge.steady(ago_s - 1, 3000 + RISE_MBAR)
        assert gauge.tank.charging == 0
        assert gauge.second(3000 + RISE_MBAR + 6).charging == 1
        # Until the hold is over; the ring stands elsewhere at every turn.
        gauge.steady(62, 3000 + RISE_MBAR)


@pytest.mark.sr("SR-19", "spares")
def test_seconds_without_a_reading_are_no_rise():
    gauge = Gauge()
    assert gauge.seconds(None, None, 7000, None, None, 7000) == [(0, 0)] * 6
    assert Gauge().seconds(7000, None, 7000 + RISE_MBAR + 1)[-1] == (1, 0)
    assert Gauge().seconds(-100, -100, RISE_MBAR, RISE_MBAR + 6) == [(0, 0), (0, 0), (0, 0), (1, 0)]
    assert Gauge().seconds(-100, RISE_MBAR + 1) == [(0, 0), (1, 0)]


def leak(gauge, fall_mbar, seconds=SPAN_S, mbar=7000):
    """An even fall over `seconds`; returns the last `leaking`."""
    for second in range(1, seconds + 1):
        gauge.second(mbar - fall_mbar * second // seconds)
    return gauge.tank.leaking


@pytest.mark.sr("SR-15", "acts")
@pytest.mark.parametrize("fall_mbar, leaking", [(99, 0), (100, 1), (101, 1)])
def test_fall_in_a_minute_that_is_a_leak(fall_mbar, leaking):
    gauge = Gauge().steady(FILL_S + SPAN_S)
    assert leak(gauge, fall_mbar) == leaking
    gauge.steady(SPAN_S - 1, 7000 - fall_mbar)
    assert gauge.second(7000 - fall_mbar).leaking == 0


@pytest.mark.sr("SR-15", "spares")
def test_leak_ends_with_down_and_is_kept_while_nothing_is_read():
    gauge = Gauge().steady(FILL_S + SPAN_S)
    leak(gauge, 150)
    assert gauge.second(None).leaking == 1
    gauge.command = DOWN
    assert gauge.second(6850).leaking == 0


def seconds_until_a_leak_is_seen(gauge, limit=400):
    mbar = 9000
    for second in range(1, limit):
        mbar -= 3
        if gauge.second(mbar).leaking:
            return second
    return None


@pytest.mark.sr("SR-15", "acts")
def test_four_minutes_after_power_on_a_leak_is_looked_for():
    assert seconds_until_a_leak_is_seen(Gauge()) == FILL_S + SPAN_S


@pytest.mark.sr("SR-15", "acts")
@pytest.mark.parametrize(
    "event",
    [
        {"first_tick": {"since_change": 0}},
        {"first_tick": {"brake_age": 0}},
        {"jumped": 1},
        {"in_progress": 1},
    ],
)
def test_a_minute_and_a_half_of_quiet_before_a_leak(event):
    gauge = Gauge().steady(FILL_S + SPAN_S + 60, 9000)
    gauge.second(9000, **event)
    # The second in which a stroke is still going on is no quiet one; one in which something moved first is.
    assert seconds_until_a_leak_is_seen(gauge) == QUIET_S + SPAN_S - (0 if "in_progress" in event else 1)


@pytest.mark.sr("SR-15", "spares")
def test_filling_starts_the_four_minutes_again():
    gauge = Gauge().steady(FILL_S + SPAN_S + 60, 5000)
    gauge.second(9000)
    assert gauge.tank.charging == 1
    assert seconds_until_a_leak_is_seen(gauge) == FILL_S + SPAN_S


@pytest.mark.sr("SR-15", "spares")
def test_second_of_a_minute_ago_without_a_reading_says_nothing():
    gauge = Gauge().steady(FILL_S + SPAN_S, 7000)
    gauge.second(None)
    leak(gauge, 50, SPAN_S - 1)
    assert gauge.second(1000).leaking == 0
    assert gauge.second(1000).leaking == 1


@pytest.mark.sr("SR-34", "acts")
def test_counters_of_seconds_stop():
    tank = Gauge().steady(400).tank
    assert (tank._quiet_s, tank._filled_s, tank._hold_s) == (QUIET_S + SPAN_S, FILL_S + SPAN_S, 0)
