"""The second path at its edges, raw inputs straight to Interlock."""

import pytest

from controller import codes
from controller.codes import DOWN, GEAR, UP
from controller.frames import Inputs
from controller.interlock import Interlock

from .driver import DOWN_US, UP_US, codes_of, settings_with

# Ticks of 20 ms: one and a half times the mode logic's.
RUN, GAPS, LOW, BLIND, AWAY, GROUND = 3, 75, 38, 15 + 150, 10, 50


class Path:
    """An Interlock with full air, a good link and the switch at down; the output is what it leaves of UP."""

    def __init__(self, state=codes.SETTINGS_GOOD, **changes):
        self.settings = settings_with(**changes)
        self.path = Interlock(self.settings, state)
        self.inputs = Inputs()
        self.inputs.rail_counts = self.settings.rail_nominal_counts
        self.air(7000, 7000)
        self.gear_us = DOWN_US
        self.wanted = UP
        self.command = DOWN

    def air(self, *mbar):
        """None for a sensor that is open."""
        self.inputs.counts[:] = [0 if one is None else codes_of(one) for one in mbar]
        return self

    def step(self, ticks=1, gear_us=0, ground=None):
        self.gear_us = self.gear_us if gear_us == 0 else gear_us
        if ground is not None:
            self.inputs.ground_level = ground
        for _ in range(ticks):
            self.inputs.fresh[GEAR] = int(self.gear_us is not None)
            self.inputs.pulse_us[GEAR] = self.gear_us or 0
            self.path.step(self.inputs)
            self.command = self.path.gate(self.wanted)
        return self.command

    def moved(self):
        """A fresh move to up has just completed."""
        self.step(60, gear_us=DOWN_US)
        self.step(RUN, gear_us=UP_US)
        return self

    def up(self):
        self.moved()
        assert self.command == UP
        return self

    def until_down(self, limit=400):
        return next(tick for tick in range(1, limit) if self.step() == DOWN)


@pytest.mark.sr("SR-11", "acts")
def test_up_only_in_the_tick_in_which_its_own_move_completes():
    path = Path()
    assert path.step(60) == DOWN
    assert [path.step(1, gear_us=UP_US) for _ in range(RUN)] == [DOWN, DOWN, UP]
    assert path.step(200) == UP
    assert [path.step(1, gear_us=DOWN_US) for _ in range(RUN)] == [UP, UP, DOWN]
    assert [path.step(1, gear_us=UP_US) for _ in range(RUN)] == [DOWN, DOWN, UP]


@pytest.mark.sr("SR-11", "acts")
def test_leave_that_is_not_used_is_gone():
    path = Path()
    path.step(60)
    path.wanted = DOWN
    path.step(RUN, gear_us=UP_US)
    path.wanted = UP
    assert path.step(200) == DOWN
    path.step(RUN, gear_us=DOWN_US)
    path.step(RUN, gear_us=UP_US)
    path.wanted = DOWN
    path.step(1)
    path.wanted = UP
    assert path.step(200) == DOWN


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(
    "state, command",
    [
        (codes.SETTINGS_GOOD, UP),
        (codes.SETTINGS_ONE_COPY, UP),
        (codes.SETTINGS_DIFFER, DOWN),
        (codes.SETTINGS_NONE, DOWN),
    ],
)
def test_settings_that_give_leave(state, command):
    path = Path(state)
    assert path.path._usable == command
    assert path.moved().command == command


@pytest.mark.sr("SR-10", "acts")
def test_move_without_a_run_to_down_before_it_gives_nothing():
    path = Path()
    assert path.step(60, gear_us=UP_US) == DOWN
    path = Path()
    path.step(60)
    path.step(6, gear_us=None)
    assert path.step(60, gear_us=UP_US) == DOWN


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("short, command", [(1, DOWN), (0, UP)])
def test_ground_switch_gives_leave_in_the_tick_of_its_time(short, command):
    path = Path(ground_fitted=1, ground_clear_level=0)
    path.step(60, ground=1)
    path.step(GROUND - short - RUN, ground=0)
    assert path.step(RUN, gear_us=UP_US) == command


def test_ground_contact_starts_the_time_again_and_is_ignored_once_up_or_where_none_is_fitted():
    path = Path(ground_fitted=1, ground_clear_level=0)
    path.step(200, ground=0)
    path.step(1, ground=1)
    path.step(GROUND - 1 - RUN, ground=0)
    assert path.step(RUN, gear_us=UP_US) == DOWN
    path = Path(ground_fitted=1, ground_clear_level=0)
    path.step(200, ground=0)
    path.up()
    assert path.step(200, ground=1) == UP
    path = Path(ground_fitted=0)
    path.step(200, ground=1)
    assert path.moved().command == UP


# One code is one mbar.
FINE = {
    "sensor_a_zero_counts": 400,
    "sensor_a_full_counts": 3400,
    "sensor_a_span_mbar": 3000,
    "sensor_b_zero_counts": 400,
    "sensor_b_full_counts": 3400,
    "sensor_b_span_mbar": 3000,
    "retract_above_mbar": 2000,
    "begin_slack_mbar": 100,
    "force_below_mbar": 1000,
}


def fine(*mbar, count=1):
    path = Path(sensor_count=count, **FINE)
    return read(path, *mbar)


def read(path, *mbar):
    path.inputs.counts[: len(mbar)] = [400 + one for one in mbar]
    return path


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("mbar, command", [(1899, DOWN), (1900, UP), (1901, UP)])
@pytest.mark.parametrize("count", [1, 2])
@pytest.mark.parametrize("low", [0, 1])
def test_every_readable_sensor_needs_enough_air_less_the_slack(mbar, command, count, low):
    readings = [2500, 2500]
    readings[low] = mbar
    assert fine(*readings, count=count).moved().command == (UP if count == 1 and low == 1 else command)


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("readings, command", [((None, 7000), UP), ((7000, None), UP), ((None, None), DOWN)])
def test_at_least_one_sensor_has_to_be_readable(readings, command):
    assert Path(sensor_count=2).air(*readings).moved().command == command


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("count", [1, 2])
def test_low_air_ends_leave_in_the_tick_of_its_time_for_good(count):
    path = read(fine(2500, 2500, count=count).up(), 999, 999)
    # The median follows one sample later.
    assert path.until_down() == LOW + 1
    assert read(path, 2500, 2500).step(300) == DOWN


@pytest.mark.sr("SR-11", "spares")
def test_air_at_the_forcing_point_is_not_low():
    assert read(fine(2500).up(), 1000).step(9 * LOW) == UP


@pytest.mark.sr("SR-11", "acts")
def test_what_is_forgotten_is_forgotten_whole():
    path = read(fine(2500).up(), 999)
    path.step(LOW - 1)
    read(path, 2500).step(AWAY + 1)
    assert read(path, 999).until_down() == LOW + 1
    path = Path().up()
    path.air(None, None).step(BLIND - 1)
    path.air(7000, 7000).step(2 + AWAY)
    assert path.air(None, None).until_down() == BLIND


@pytest.mark.sr("SR-10", "acts")
def test_refused_move_is_used_up():
    path = fine(1000)
    path.moved()
    assert path.command == DOWN
    read(path, 2500).step(60)
    path.step(RUN - 1, gear_us=DOWN_US)
    assert path.step(60, gear_us=UP_US) == DOWN


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("between, command", [(AWAY - 1, DOWN), (AWAY, UP)])
def test_enough_air_for_its_time_and_no_less_forgets_low_air(between, command):
    path = Path().up().air(4600, 0)
    path.step(LOW - 1)
    path.air(7000, 0).step(between)
    path.air(4600, 0)
    assert path.step(2) == command


@pytest.mark.sr("SR-11", "spares")
def test_one_good_sensor_keeps_leave_though_the_other_reads_low():
    path = Path(sensor_count=2).up()
    assert path.air(4600, 7000).step(9 * LOW) == UP
    assert path.air(4600, None).step(2) == UP
    assert path.until_down() <= LOW


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("count", [1, 2])
def test_blindness_ends_leave_in_the_tick_of_its_time(count):
    path = Path(sensor_count=count).up().air(None, None)
    assert path.until_down() == BLIND


@pytest.mark.sr("SR-11", "spares")
def test_good_samples_too_few_for_a_median_are_no_blindness_and_clear_nothing():
    path = Path().up()
    path.air(None, None).step(BLIND - 1)
    path.air(7000, 7000).step(2)
    assert path.air(None, None).step(1) == DOWN
    path = Path(sensor_count=2).up()
    for _ in range(BLIND):
        path.air(None, 7000).step(1)
        path.air(7000, None).step(1)
    assert path.command == UP


@pytest.mark.sr("SR-11", "spares")
@pytest.mark.parametrize("good_ticks, command", [(2 + AWAY - 1, DOWN), (2 + AWAY, UP)])
def test_readings_for_the_healing_time_and_no_less_forget_blindness(good_ticks, command):
    path = Path().up()
    path.air(None, None).step(BLIND - 1)
    path.air(7000, 7000).step(good_ticks)
    assert path.air(None, None).step(1) == command


@pytest.mark.sr("SR-17", "acts")
def test_blind_ticks_break_what_would_forgive():
    path = Path().up().air(4600, 0)
    path.step(LOW)
    path.air(None, None).step(1)
    for _ in range(3):
        # Two samples until there is a median again, and the first low one is not in it yet.
        path.air(7000, 0).step(2 + AWAY - 2)
        path.air(None, None).step(1)
    path.air(7000, 0).step(2 + AWAY - 2)
    path.air(4600, 0)
    assert [path.step(1), path.step(1)] == [UP, DOWN]
    path = Path().up()
    path.air(None, None).step(BLIND - 3)
    for _ in range(2):
        path.air(7000, 0).step(2 + AWAY - 1)
        path.air(None, None).step(1)
    path.air(7000, 0).step(2 + AWAY - 1)
    assert path.air(None, None).step(1) == DOWN


@pytest.mark.sr("SR-11", "acts")
def test_missing_link_ends_leave_in_the_tick_of_its_time():
    path = Path().up()
    path.gear_us = None
    assert path.step(GAPS - 1, gear_us=None) == UP
    assert path.step(1, gear_us=None) == DOWN


@pytest.mark.sr("SR-11", "acts")
def test_next_leave_starts_with_nothing_counted():
    path = Path(sensor_count=1).up()
    path.air(4600, 0).step(LOW - 1)
    path.air(7000, 0)
    path.step(RUN, gear_us=DOWN_US)
    path.step(RUN, gear_us=UP_US)
    assert path.command == UP
    path.air(4600, 0)
    assert path.until_down() == LOW + 1
    path = Path().up()
    path.path._low_away = path.path._blind_away = path.path._low = path.path._blind = 5
    path.step(RUN, gear_us=DOWN_US)
    path.step(RUN - 1, gear_us=UP_US)
    path.path._switch.moved_up = 0
    path.path._weigh_begin()
    left = path.path
    assert (left.leave, left._low, left._low_away, left._blind, left._blind_away) == (1, 0, 0, 0, 0)


@pytest.mark.sr("SR-34", "acts")
def test_counters_stop_at_their_needs():
    path = Path().up()
    path.step(500)
    assert (path.path._blind_away, path.path._low_away, path.path._ground) == (AWAY, AWAY, GROUND)


@pytest.mark.parametrize(
    "changes, needs",
    [
        ({}, (GAPS, GROUND, LOW, BLIND, AWAY)),
        (
            {
                "link_force_ms": 1019,
                "ground_clear_ms": 1001,
                "low_confirm_ms": 519,
                "sensor_confirm_ms": 219,
                "sensor_force_ms": 2019,
                "heal_ms": 201,
            },
            (75, 51, 38, 165, 11),
        ),
    ],
)
def test_times_are_rounded_as_the_mode_logic_s(changes, needs):
    path = Path(**changes).path
    assert (path._gaps_need, path._ground_need, path._low_need, path._blind_need, path._away_need) == needs
