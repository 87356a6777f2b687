"""Frames, link and switch against the sentences of SR-06, 08 and 09, written as plain rules over the whole history."""

import random

import pytest

from controller.channels import Frames, Link, Switch
from controller.codes import GEAR, LINK_DEGRADED, LINK_GOOD, LINK_LOST, SPARE
from controller.frames import Inputs
from controller.limits import Limits

from .driver import settings_with
from .rules import link_by_the_rule, switch_by_the_rule

# Ticks of 20 ms.
SMALL = {"link_degraded_ms": 60, "link_recover_ms": 80, "link_force_ms": 200}
DEGRADED, RECOVER, FORCE = 3, 4, 10


def frames_with(**changes):
    settings = settings_with(**changes)
    return Frames(settings, Limits(settings)), Inputs()


@pytest.mark.sr("SR-09", "acts")
@pytest.mark.parametrize("width_us, valid", [(799, 0), (800, 1), (801, 1), (2199, 1), (2200, 1), (2201, 0)])
def test_widths_that_make_a_frame(width_us, valid):
    frames, inputs = frames_with()
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = 1, width_us
    frames.step(inputs)
    assert frames.valid == valid
    inputs.fresh[GEAR] = 0
    frames.step(inputs)
    assert frames.valid == 0


def test_without_a_companion_channel_no_width_of_the_gear_pulse_is_special():
    frames, inputs = frames_with()
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = 1, 2100
    frames.step(inputs)
    assert frames.valid == 1


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize(
    "mark_us, valid",
    [(799, 0), (800, 1), (2049, 1), (2050, 0), (2051, 0), (2149, 0), (2150, 0), (2151, 1), (2200, 1), (2201, 0)],
)
def test_widths_of_the_companion_that_make_a_frame(mark_us, valid):
    frames, inputs = frames_with(signature_channel=SPARE)
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = 1, 1500
    inputs.fresh[SPARE], inputs.pulse_us[SPARE] = 1, mark_us
    frames.step(inputs)
    assert frames.valid == valid


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.parametrize("then_us", [None, 799, 2201])
def test_companion_is_good_until_it_is_too_old(then_us):
    frames, inputs = frames_with(signature_channel=SPARE, signature_age_ms=60, link_degraded_ms=100)
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = 1, 1500
    inputs.fresh[SPARE], inputs.pulse_us[SPARE] = 1, 1000
    frames.step(inputs)
    seen = [frames.valid]
    inputs.fresh[SPARE] = 0 if then_us is None else 1
    inputs.pulse_us[SPARE] = 1000 if then_us is None else then_us
    for _ in range(9):
        frames.step(inputs)
        seen.append(frames.valid)
    assert seen == [1, 1, 1] + [0] * 7
    inputs.fresh[SPARE], inputs.pulse_us[SPARE] = 1, 1000
    frames.step(inputs)
    assert frames.valid == 1


@pytest.mark.sr("SR-06", "acts")
def test_companion_inside_the_window_ends_the_frames_at_once():
    frames, inputs = frames_with(signature_channel=SPARE, signature_age_ms=60)
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = 1, 1500
    inputs.fresh[SPARE] = 1
    for mark_us, valid in ((1000, 1), (2100, 0), (1000, 1)):
        inputs.pulse_us[SPARE] = mark_us
        frames.step(inputs)
        assert frames.valid == valid


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.sr("SR-06", "spares")
@pytest.mark.parametrize("seed", range(12))
def test_link_follows_the_sentence(seed):
    draw = random.Random(seed)
    history = []
    while len(history) < 250:
        history += [draw.choice((0, 1))] * draw.choice((1, 1, 2, 2, 3, 4, 5, 9, 12))
    settings = settings_with(**SMALL)
    link = Link(Limits(settings))
    seen = []
    for valid in history:
        link.step(valid)
        seen.append((link.state, link.outage, link.broke, link.was_good))
        assert link._silence <= DEGRADED + 1
    assert seen == link_by_the_rule(history, DEGRADED, RECOVER, FORCE)
    assert {state for state, *_ in seen} == {LINK_GOOD, LINK_DEGRADED, LINK_LOST}


@pytest.mark.sr("SR-08", "acts")
@pytest.mark.sr("SR-09", "acts")
@pytest.mark.parametrize("up_high", [0, 1])
@pytest.mark.parametrize("seed", range(8))
def test_switch_follows_the_sentence(seed, up_high):
    draw = random.Random(seed)
    events = []
    while len(events) < 400:
        width_us = draw.choice((900, 1299, 1300, 1301, 1500, 1699, 1700, 1701, 2100))
        for _ in range(draw.choice((1, 1, 2, 3, 4, 7))):
            events.append((int(draw.random() < 0.9), int(draw.random() < 0.06), width_us))
    switch = Switch(settings_with(switch_frames=3, gear_up_high=up_high))
    seen = []
    for event in events:
        switch.step(*event)
        seen.append((switch.frame, switch.position, switch.down_run, switch.up_done))
        assert switch._run <= 4
    assert seen == switch_by_the_rule(events, 3, up_high)
    assert sum(up_done for *_, up_done in seen) > 2
