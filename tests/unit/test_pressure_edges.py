"""The governing pressure of one or two sensors, codes straight to Pressure."""

import pytest

from controller.codes import NO, SENSOR_ABSENT, SENSOR_OPEN, UNKNOWN, YES
from controller.frames import NOT_KNOWN, Inputs
from controller.limits import Limits
from controller.pressure import Pressure

from .driver import codes_of, settings_with

CONFIRM, HEAL, PAUSE = 10, 10, 5
BAD = None


class Manifold:
    """A Pressure of `count` sensors; `step` takes mbar for each, BAD for a sample that cannot be one."""

    def __init__(self, count=2, **changes):
        settings = settings_with(sensor_count=count, **changes)
        self.pressure = Pressure(settings, Limits(settings))
        self.inputs = Inputs()
        self.inputs.rail_counts = settings.rail_nominal_counts

    def step(self, a, b=BAD, ticks=1):
        self.inputs.counts[:] = [0 if mbar is BAD else codes_of(mbar) for mbar in (a, b)]
        for _ in range(ticks):
            self.pressure.step(self.inputs)
        return self.pressure


def close(mbar, to):
    """Within one code above."""
    return to <= mbar <= to + 3


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("a, b", [(6000, 6100), (6100, 6000)])
def test_of_two_the_lower_governs(a, b):
    pressure = Manifold().step(a, b, 3)
    assert (pressure.read, pressure.lost, pressure.disagree) == (1, 0, 0)
    assert close(pressure.mbar, 6000)


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("a, b", [(6000, BAD), (BAD, 6000)])
def test_of_two_the_good_one_governs(a, b):
    manifold = Manifold()
    pressure = manifold.step(a, b, 3)
    assert pressure.read == 1 and close(pressure.mbar, 6000)
    pressure = manifold.step(a, b, CONFIRM)
    assert (pressure.read, pressure.lost) == (1, 0)
    assert sorted(sensor.failed for sensor in pressure.sensors) == [0, 1]


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("count", [1, 2])
def test_lost_when_none_is_believed_in_the_tick_of_its_time(count):
    manifold = Manifold(count)
    manifold.step(6000, 6000, 20)
    pressure = manifold.step(BAD, BAD, CONFIRM - 1)
    assert (pressure.read, pressure.lost, close(pressure.mbar, 6000)) == (0, 0, True)
    assert manifold.step(BAD).lost == 1
    assert manifold.step(6000, 6000, 2 + HEAL - 1).lost == 1
    pressure = manifold.step(6000, 6000)
    assert (pressure.lost, pressure.read) == (0, 1)


def test_sensor_that_is_not_fitted_has_no_say():
    manifold = Manifold(1)
    pressure = manifold.step(6000, 1000, 20)
    assert close(pressure.mbar, 6000)
    assert (pressure.sensors[0].grade, pressure.sensors[1].grade, pressure.disagree) == (0, SENSOR_ABSENT, 0)
    assert Manifold(2).pressure.sensors[1].grade == SENSOR_OPEN


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("gap_mbar, apart", [(300, 0), (301, 1)])
@pytest.mark.parametrize("lower", [0, 1])
def test_two_that_disagree_in_the_tick_of_their_time(gap_mbar, apart, lower):
    manifold = Manifold(sensor_a_zero_counts=400, sensor_a_full_counts=3400, sensor_a_span_mbar=3000)
    manifold.pressure.sensors[1]._zero, manifold.pressure.sensors[1]._full = 400, 3400
    manifold.pressure.sensors[1]._span_mbar = 3000

    def step(ticks):
        manifold.inputs.counts[:] = [1000 + gap_mbar * lower, 1000 + gap_mbar * (1 - lower)]
        for _ in range(ticks):
            manifold.pressure.step(manifold.inputs)
        return manifold.pressure.disagree

    assert step(2 + CONFIRM - 1) == 0
    assert step(1) == apart


@pytest.mark.sr("SR-05", "spares")
def test_agreement_for_the_healing_time_ends_it_and_a_pause_does_not():
    manifold = Manifold()
    manifold.step(6000, 5000, 2 + CONFIRM)
    assert manifold.step(6000, BAD, CONFIRM - 1).disagree == 1
    assert manifold.step(6000, 6000, 2 + HEAL - 1).disagree == 1
    assert manifold.step(6000, 6000).disagree == 0


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("failing", [0, 1])
def test_failed_sensor_has_no_vote(failing):
    manifold = Manifold()
    manifold.step(6000, 5000, 2 + CONFIRM)
    assert manifold.pressure.disagree == 1
    one = (BAD, 5000) if failing == 0 else (6000, BAD)
    # Its last median does not count any more once it has failed.
    assert manifold.step(*one, CONFIRM + HEAL - 2).disagree == 1
    assert manifold.step(*one).disagree == 0


def test_disagreement_that_began_is_frozen_by_a_pause_of_either():
    manifold = Manifold()
    manifold.step(6000, 5000, 2 + CONFIRM - 1)
    manifold.step(BAD, 5000, 3)
    manifold.step(6000, BAD, 3)
    manifold.step(6000, 5000, 2)
    assert manifold.pressure.disagree == 0
    assert manifold.step(6000, 5000).disagree == 1


@pytest.mark.sr("SR-05", "acts")
def test_sensor_that_is_not_believed_can_only_say_that_air_is_low():
    manifold = Manifold(1)
    manifold.step(6000, ticks=20)
    for sensor in manifold.pressure.sensors:
        sensor.frozen = 1
    pressure = manifold.step(4000, ticks=CONFIRM + 3)
    assert (pressure.read, pressure.lost, pressure.doubted) == (0, 1, 1)
    assert close(pressure.doubted_mbar, 4000)
    assert (pressure.below(4700), pressure.below(3000), pressure.at_least(3000)) == (YES, UNKNOWN, UNKNOWN)
    exact = pressure.doubted_mbar
    assert [pressure.below(point) for point in (exact, exact + 1)] == [UNKNOWN, YES]
    assert manifold.step(BAD).doubted == 0
    assert pressure.below(4700) == UNKNOWN


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("a, b", [(4000, 4500), (4500, 4000)])
def test_of_two_that_are_not_believed_the_lower_counts(a, b):
    manifold = Manifold()
    manifold.step(6000, 6000, 20)
    for sensor in manifold.pressure.sensors:
        sensor.frozen = 1
    pressure = manifold.step(a, b, CONFIRM + 3)
    assert pressure.doubted == 1 and close(pressure.doubted_mbar, 4000)


@pytest.mark.parametrize("doubted", [0, 1])
def test_nothing_is_doubted_while_a_believed_sensor_reads(doubted):
    manifold = Manifold()
    manifold.step(6000, 6000, 20)
    manifold.pressure.sensors[doubted].frozen = 1
    pressure = manifold.step(5000, 5000, CONFIRM + 3)
    assert (pressure.read, pressure.doubted, close(pressure.mbar, 5000)) == (1, 0, True)


def test_threshold_facts_at_the_threshold():
    pressure = Manifold().step(6000, 6000, 3)
    mbar = pressure.mbar
    assert [pressure.below(point) for point in (mbar - 1, mbar, mbar + 1)] == [NO, NO, YES]
    assert [pressure.at_least(point) for point in (mbar - 1, mbar, mbar + 1)] == [YES, YES, NO]
    pressure = Manifold().step(BAD, BAD)
    assert (pressure.below(9999), pressure.at_least(0), pressure.mbar) == (UNKNOWN, UNKNOWN, NOT_KNOWN)


def test_smooth_is_first_order_over_four_ticks_in_sixteenths():
    manifold = Manifold(1)
    first = manifold.step(6000, ticks=3)
    assert (first.jumped, first.smooth) == (1, first.mbar * 16)
    by_hand = first.smooth
    for _ in range(12):
        pressure = manifold.step(5000)
        by_hand += (pressure.mbar * 16 - by_hand) // 4
        assert (pressure.jumped, pressure.smooth) == (0, by_hand)
    assert type(pressure.smooth) is int


@pytest.mark.parametrize("bad_ticks, jumped", [(1, 0), (PAUSE - 3, 0), (PAUSE - 2, 1), (PAUSE + 90, 1)])
def test_pause_of_five_ticks_starts_the_smooth_value_anew(bad_ticks, jumped):
    """A bad sample costs two ticks more, until there is a median again."""
    manifold = Manifold(1, sensor_confirm_ms=1000)
    start = manifold.step(6000, ticks=9).smooth
    pressure = manifold.step(BAD, ticks=min(bad_ticks, 40))
    assert pressure.smooth == start
    manifold.step(5000, ticks=2)
    pressure = manifold.step(5000)
    assert pressure.jumped == jumped
    assert pressure.smooth == (pressure.mbar * 16 if jumped else start + (pressure.mbar * 16 - start) // 4)
    assert manifold.step(5000).jumped == 0


@pytest.mark.parametrize(
    "one, other", [((6000, BAD), (BAD, 6000)), ((6000, 6000), (6000, BAD)), ((BAD, 6000), (6000, 6000))]
)
def test_other_set_of_sensors_is_a_jump(one, other):
    manifold = Manifold()
    manifold.step(*one, 9)
    jumps = [manifold.step(*other).jumped for _ in range(5)]
    assert 1 in jumps
    assert manifold.step(*other, 5).jumped == 0
