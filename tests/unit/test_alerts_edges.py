"""Alerts tick by tick, conditions straight to Alerts: which shows, when it ends, what the lamp and the tone do."""

import random

import pytest

from controller import codes
from controller.alerts import TABLE, Alerts
from controller.frames import Outputs
from controller.limits import Limits

from .driver import settings_with

CLEAR_TICKS = 1000
# One of each ending, by what the table of SR-24 says of them.
AT_ONCE, LEVEL = codes.ALERT_NOT_LOCKED, codes.ALERT_LINK


class Lamp:
    """Alerts and what they put out."""

    def __init__(self, tick_ms=20):
        self.alerts = Alerts(Limits(settings_with(tick_ms=tick_ms)))
        self.outputs = Outputs()

    def step(self, *wanted, ticks=1, button=0):
        for _ in range(ticks):
            self.alerts.wanted[:] = [int(alert in wanted) for alert in range(codes.N_ALERTS)]
            self.alerts.step(self.outputs, button)
        return self.outputs

    def lamps(self, ticks, *wanted, button=0):
        return [self.step(*wanted, button=button).lamp for _ in range(ticks)]

    def tones(self, ticks, *wanted, button=0):
        return [self.step(*wanted, button=button).tone_hz for _ in range(ticks)]


@pytest.mark.sr("SR-20", "acts")
@pytest.mark.parametrize("alert", range(1, codes.N_ALERTS))
def test_each_alert_alone_shows_its_own_row(alert):
    outputs = Lamp().step(alert)
    assert (outputs.alert, outputs.severity) == (alert, TABLE[alert][0])
    assert [code for code in range(codes.N_ALERTS) if outputs.active[code]] == [alert]


@pytest.mark.sr("SR-20", "acts")
def test_the_most_urgent_of_all_shows_and_all_are_active():
    outputs = Lamp().step(*range(1, codes.N_ALERTS))
    assert (outputs.alert, sum(outputs.active)) == (codes.ALERT_FORCED, codes.N_ALERTS - 1)
    outputs = Lamp().step(codes.ALERT_LATE, codes.ALERT_LEAK)
    assert outputs.alert == codes.ALERT_LEAK


def test_no_alert_is_dark_and_silent():
    lamp = Lamp()
    assert set(lamp.lamps(200)) == {0} and set(lamp.tones(200)) == {0}
    assert (lamp.outputs.alert, lamp.outputs.severity) == (0, codes.SEVERITY_NONE)


@pytest.mark.sr("SR-24", "acts")
def test_level_alert_ends_in_the_tick_of_its_time():
    lamp = Lamp()
    lamp.step(LEVEL)
    assert lamp.step(ticks=CLEAR_TICKS - 1).active[LEVEL] == 1
    assert lamp.step().active[LEVEL] == 0
    lamp.step(LEVEL)
    lamp.step(ticks=CLEAR_TICKS - 1)
    lamp.step(LEVEL)
    assert lamp.step(ticks=CLEAR_TICKS - 1).active[LEVEL] == 1
    assert lamp.step().active[LEVEL] == 0
    lamp.step(LEVEL)
    assert lamp.step(ticks=CLEAR_TICKS - 1).active[LEVEL] == 1


@pytest.mark.sr("SR-24", "spares")
def test_other_alert_ends_at_once():
    lamp = Lamp()
    lamp.step(AT_ONCE)
    assert lamp.step().active[AT_ONCE] == 0


def pattern(alert, ticks=100, tick_ms=20):
    """The lamp from the bits of the table's row: a step lasts 125 ms, the row two seconds."""
    return [(TABLE[alert][2] >> (tick * tick_ms % 2000 // 125)) & 1 for tick in range(ticks)]


@pytest.mark.sr("SR-20", "acts")
@pytest.mark.parametrize("tick_ms", [20, 31])
@pytest.mark.parametrize("alert", [codes.ALERT_FORCED, AT_ONCE, LEVEL, codes.ALERT_HELD, codes.ALERT_LATE])
def test_lamp_follows_its_pattern_again_and_again(alert, tick_ms):
    assert Lamp(tick_ms).lamps(300, alert) == pattern(alert, 300, tick_ms)


@pytest.mark.sr("SR-20", "acts")
def test_pattern_starts_again_with_another_alert_and_not_with_one_behind():
    lamp = Lamp()
    lamp.step(codes.ALERT_HELD, ticks=30)
    assert lamp.lamps(20, codes.ALERT_HELD, codes.ALERT_LATE) == pattern(codes.ALERT_HELD)[30:50]
    assert lamp.lamps(100, codes.ALERT_LATE) == pattern(codes.ALERT_LATE)


@pytest.mark.sr("SR-20", "acts")
def test_tone_sounds_while_the_lamp_is_lit():
    tones = Lamp().tones(100, codes.ALERT_FORCED)
    assert tones == [2400 * lit for lit in pattern(codes.ALERT_FORCED)]
    assert set(Lamp().tones(100, codes.ALERT_LATE)) == {0}


@pytest.mark.sr("SR-20", "acts")
def test_acknowledgement_takes_two_ticks_silences_its_alert_and_leaves_the_lamp():
    lamp = Lamp()
    lamp.step(AT_ONCE)
    lamp.step(AT_ONCE, button=1)
    assert max(lamp.tones(100, AT_ONCE)) == 2000
    lamp.step(AT_ONCE, ticks=2, button=1)
    assert set(lamp.tones(100, AT_ONCE)) == {0}
    assert set(lamp.lamps(100, AT_ONCE)) == {0, 1}
    assert max(lamp.tones(100, AT_ONCE, codes.ALERT_FORCED)) == 2400
    assert set(lamp.tones(100, AT_ONCE)) == {0}


@pytest.mark.sr("SR-20", "acts")
def test_button_held_down_silences_one_alert_only():
    lamp = Lamp()
    lamp.step(AT_ONCE, ticks=5, button=1)
    assert max(lamp.tones(100, codes.ALERT_FORCED, AT_ONCE, button=1)) == 2400
    lamp.step(codes.ALERT_FORCED, AT_ONCE, button=0)
    assert max(lamp.tones(100, codes.ALERT_FORCED, AT_ONCE, button=0)) == 2400
    lamp.step(codes.ALERT_FORCED, AT_ONCE, ticks=2, button=1)
    assert set(lamp.tones(100, codes.ALERT_FORCED, AT_ONCE)) == {0}


@pytest.mark.sr("SR-20", "spares")
def test_spikes_on_the_button_s_wire_silence_nothing():
    lamp = Lamp()
    for _ in range(20):
        lamp.step(AT_ONCE, button=1)
        lamp.step(AT_ONCE, button=0)
    assert max(lamp.tones(100, AT_ONCE)) == 2000


@pytest.mark.sr("SR-23", "acts")
def test_acknowledgement_does_not_outlive_its_alert():
    lamp = Lamp()
    lamp.step(codes.ALERT_NOT_DOWN, ticks=3, button=1)
    lamp.step()
    assert max(lamp.tones(100, codes.ALERT_NOT_DOWN)) == 2800


@pytest.mark.sr("SR-20", "acts")
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("tick_ms", [20, 50])
def test_never_a_fourth_flash_within_a_second_however_alerts_follow_each_other(seed, tick_ms):
    draw = random.Random(seed)
    lamp = Lamp(tick_ms)
    lit = []
    while len(lit) < 800:
        alerts = draw.sample((1, 2, 7, 9, 17, 26), draw.choice((0, 1, 1, 2)))
        lit += lamp.lamps(draw.choice((1, 2, 3, 5, 8, 20)), *alerts)
    rises = [tick for tick in range(len(lit)) if lit[tick] and not (tick and lit[tick - 1])]
    assert len(rises) > 10
    for first, fourth in zip(rises, rises[3:], strict=False):
        assert (fourth - first) * tick_ms >= 1000


@pytest.mark.sr("SR-20", "spares")
@pytest.mark.parametrize(("tick_ms", "gap_ticks", "lit"), [(20, 49, 0), (20, 50, 1), (27, 37, 0), (27, 38, 1)])
def test_fourth_flash_may_begin_a_second_after_the_first_and_not_before(tick_ms, gap_ticks, lit):
    """Flashes by alerts that come and go: an alert's pattern begins lit, dark is no alert."""
    lamp = Lamp(tick_ms)
    ticks = (0, 4, 8, gap_ticks)
    seen = [lamp.step(*[AT_ONCE] * (tick in ticks)).lamp for tick in range(gap_ticks + 1)]
    assert [tick for tick, on in enumerate(seen) if on] == [0, 4, 8] + [gap_ticks] * lit
