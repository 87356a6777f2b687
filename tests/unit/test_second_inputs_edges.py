"""The second path's own reading of the raw inputs at its edges, against the same sentences as the first path's."""

import random

import pytest

from controller.codes import GEAR, LINK_GOOD, POSITION_UNKNOWN, SPARE
from controller.frames import Inputs
from controller.second_inputs import RawSensor, RawSwitch, at_least_two, half_more

from .driver import settings_with
from .rules import link_by_the_rule, switch_by_the_rule

DEGRADED, RECOVER, MOST = 3, 4, 10
SMALL = {"link_degraded_ms": 60, "link_recover_ms": 80}


def test_times():
    assert [at_least_two(ticks) for ticks in (0, 1, 2, 3)] == [2, 2, 2, 3]
    assert [half_more(ticks) for ticks in (0, 1, 2, 3, 4, 5)] == [3, 3, 3, 5, 6, 8]
    assert all(type(half_more(ticks)) is int for ticks in range(9))


def test_times_are_rounded_as_the_first_path_s():
    switch = RawSwitch(settings_with(link_degraded_ms=79, link_recover_ms=81, signature_age_ms=79), MOST)
    assert (switch._gap_need, switch._steady_need, switch._mark_need) == (3, 5, 3)
    switch = RawSwitch(settings_with(link_degraded_ms=40, link_recover_ms=40, signature_age_ms=20), MOST)
    assert (switch._gap_need, switch._steady_need, switch._mark_need) == (2, 2, 2)


class Pulses:
    """A RawSwitch and its inputs; a width of None is a tick without a pulse."""

    def __init__(self, **changes):
        self.switch = RawSwitch(settings_with(**{**SMALL, **changes}), MOST)
        self.inputs = Inputs()

    def step(self, gear_us, mark_us=None):
        for channel, width_us in ((GEAR, gear_us), (SPARE, mark_us)):
            self.inputs.fresh[channel] = int(width_us is not None)
            if width_us is not None:
                self.inputs.pulse_us[channel] = width_us
        self.switch.step(self.inputs)
        return self.switch


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("up_high", [0, 1])
@pytest.mark.parametrize("seed", range(10))
def test_link_and_switch_follow_the_sentences(seed, up_high):
    draw = random.Random(seed)
    widths = []
    while len(widths) < 500:
        width_us = draw.choice((900, 1299, 1300, 1301, 1500, 1699, 1700, 1701, 2100, None, None, 700, 2300))
        widths += [width_us] * draw.choice((1, 1, 2, 3, 4, 7, 14))
    pulses = Pulses(gear_up_high=up_high)
    link, runs = [], []
    for width_us in widths:
        switch = pulses.step(width_us)
        link.append((switch.good, switch.gaps))
        runs.append((switch.shown_down, switch.moved_up))
        assert switch._quiet <= DEGRADED + 1
        assert switch._ups <= 4 and switch._downs <= 3 and switch._steady <= RECOVER
    valid = [int(width_us is not None and 800 <= width_us <= 2200) for width_us in widths]
    by_rule = link_by_the_rule(valid, DEGRADED, RECOVER, MOST)
    assert link == [(int(state == LINK_GOOD), outage) for state, outage, _, _ in by_rule]
    events = [(one, broke, width_us) for one, (_, _, broke, _), width_us in zip(valid, by_rule, widths, strict=True)]
    by_rule = switch_by_the_rule(events, 3, up_high)
    assert runs == [(down_run, up_done) for _, _, down_run, up_done in by_rule]
    assert sum(moved_up for _, moved_up in runs) > 1


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("width_us, counts", [(799, 0), (800, 1), (2200, 1), (2201, 0)])
def test_widths_that_make_a_frame(width_us, counts):
    pulses = Pulses()
    for _ in range(RECOVER):
        switch = pulses.step(width_us)
    assert switch.good == counts


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(
    "mark_us, counts", [(799, 0), (800, 1), (2049, 1), (2050, 0), (2150, 0), (2151, 1), (2200, 1), (2201, 0), (None, 0)]
)
def test_widths_of_the_companion_that_make_a_frame(mark_us, counts):
    pulses = Pulses(signature_channel=SPARE)
    for _ in range(RECOVER):
        switch = pulses.step(1100, mark_us)
        assert switch._mark_ok == counts
    assert (switch.good, switch.shown_down) == (counts, counts)


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("then_us", [None, 700, 2300])
def test_companion_is_good_until_it_is_too_old(then_us):
    pulses = Pulses(signature_channel=SPARE, signature_age_ms=60)
    for _ in range(9):
        pulses.step(1100, 1000)
    assert [pulses.step(1100, then_us).shown_down for _ in range(9)] == [1, 1] + [0] * 7
    assert pulses.step(1100, 1000).shown_down == 1
    assert pulses.step(1100, 2100).shown_down == 0
    assert pulses.step(1100, None).shown_down == 0


def test_without_a_companion_channel_no_width_is_special():
    pulses = Pulses()
    for _ in range(RECOVER):
        switch = pulses.step(2100)
    assert switch.good == 1


def test_gap_forgets_what_was_shown():
    pulses = Pulses()
    for _ in range(3):
        pulses.step(1900)
    assert pulses.switch._shown == 1
    for _ in range(DEGRADED):
        pulses.step(None)
    assert pulses.switch._shown == POSITION_UNKNOWN


class Raw:
    def __init__(self, **changes):
        self.sensor = RawSensor(400, 3600, 10000, settings_with(**changes))
        self.rail = 0

    def step(self, *codes):
        for code in codes:
            self.sensor.step(code, self.rail)
        return self.sensor


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("code, bad", [(-1, 1), (0, 1), (199, 1), (200, 0), (3789, 0), (3790, 1), (4095, 1), (4096, 1)])
def test_codes_that_are_samples(code, bad):
    sensor = Raw().step(2000, 2000, 2000, code)
    assert (sensor.bad, sensor.known) == (bad, 1 - bad)
    sensor = Raw(sensor_open_counts=0, sensor_short_counts=9999).step(2000, 2000, 2000, code)
    assert sensor.bad == int(not 0 <= code <= 4095)


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("seed", range(6))
def test_median_of_three_good_samples_in_a_row(seed):
    draw = random.Random(seed)
    raw, row = Raw(), []
    for _ in range(300):
        code = draw.choice((0, 4000, draw.randrange(200, 3789), draw.randrange(1000, 1010), 2000, 1000))
        sensor = raw.step(code)
        row = [] if code in (0, 4000) else row + [code]
        assert sensor.known == int(len(row) >= 3)
        if sensor.known:
            assert sensor.mbar == sorted((one - 400) * 10000 // 3200 for one in row[-3:])[1]
        assert sensor._run <= 3
    assert type(sensor.mbar) is int


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(
    "nominal, rail, bad",
    [
        (3000, 2399, 1),
        (3000, 2400, 0),
        (3000, 3600, 0),
        (3000, 3601, 1),
        (3000, 0, 1),
        (4000, 4095, 0),
        (4000, 4096, 1),
        # 0.8 x 3002 = 2401.6: the first path rounds it down.
        (3002, 2400, 1),
        (3002, 2401, 0),
        (3001, 2400, 0),
        (3004, 2403, 0),
        (3004, 2402, 1),
    ],
)
def test_rail_that_makes_a_sample(nominal, rail, bad):
    for open_counts in (0, 200):
        raw = Raw(rail_fitted=1, rail_nominal_counts=nominal, sensor_open_counts=open_counts)
        raw.rail = rail
        assert raw.step(2000).bad == bad
    raw = Raw(rail_fitted=0, rail_nominal_counts=nominal)
    raw.rail = rail
    assert raw.step(2000).bad == 0


def test_code_is_scaled_to_the_nominal_rail():
    raw = Raw(rail_fitted=1, rail_nominal_counts=3000)
    raw.rail = 2500
    # 1501 x 3000 // 2500 = 1801
    assert raw.step(1501, 1501, 1501).mbar == (1801 - 400) * 10000 // 3200
    raw.rail = 3000
    assert raw.step(1501, 1501, 1501).mbar == (1501 - 400) * 10000 // 3200
