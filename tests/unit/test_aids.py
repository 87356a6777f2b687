"""SR-21 to SR-23: brakes on, landing light, gear not down."""

import pytest

from controller import codes

from .driver import DOWN_US, HALF_THROTTLE_US, IDLE_US, SILENT, UP_US, Rig

CONFIRM_TICKS = 50
APPROACH_TICKS = 150
LIGHT_ON_US = 1900


def us(permille, rest=1100, end=1900):
    return rest + (end - rest) * permille // 1000


@pytest.mark.sr("SR-21", "acts")
@pytest.mark.parametrize("reversed_brake", [0, 1])
@pytest.mark.parametrize("reversed_throttle", [0, 1])
def test_brake_with_throttle_warns_after_its_time_in_either_direction(reversed_brake, reversed_throttle):
    brake = (1900, 1100) if reversed_brake else (1100, 1900)
    throttle = (1900, 1100) if reversed_throttle else (1100, 1900)
    rig = Rig(
        brake_off_us=brake[0],
        brake_full_us=brake[1],
        throttle_idle_us=throttle[0],
        throttle_full_us=throttle[1],
    )
    rig.throttle_us = us(70, *throttle)
    rig.brake_us = us(0, *brake)
    rig.awake()
    assert not rig.shows(codes.ALERT_BRAKES)
    rig.brake_us = us(130, *brake)
    took = rig.until(lambda o: o.brakes_on == 1, 100)
    assert took == CONFIRM_TICKS
    assert rig.outputs.alert == codes.ALERT_BRAKES
    assert rig.outputs.severity == codes.WARNING


@pytest.mark.sr("SR-21", "spares")
@pytest.mark.parametrize(("throttle", "brake"), [(1000, 90), (40, 1000), (0, 0), (1000, 0)])
def test_brake_or_throttle_alone_is_quiet(throttle, brake):
    rig = Rig()
    rig.step(500, throttle_us=us(throttle), brake_us=us(brake))
    assert not rig.shows(codes.ALERT_BRAKES)


@pytest.mark.sr("SR-21", "spares")
def test_touch_shorter_than_the_time_is_quiet():
    rig = Rig().awake()
    rig.step(CONFIRM_TICKS - 1, brake_us=1900)
    rig.step(100, brake_us=IDLE_US)
    assert not rig.shows(codes.ALERT_BRAKES)


@pytest.mark.sr("SR-21", "acts")
def test_thresholds_have_a_dead_zone():
    rig = Rig().awake()
    rig.step(60, brake_us=us(110))
    assert rig.outputs.brakes_on == 1
    rig.step(200, brake_us=us(95))
    assert rig.outputs.brakes_on == 1
    rig.step(200, throttle_us=us(45))
    assert rig.outputs.brakes_on == 1
    rig.step(20, brake_us=us(70))
    assert rig.outputs.brakes_on == 0


CHANNELS = [
    ("throttle_us", codes.ALERT_THROTTLE),
    ("brake_us", codes.ALERT_BRAKE_CHANNEL),
    ("light_us", codes.ALERT_LIGHT_CHANNEL),
]


@pytest.mark.sr("SR-21", "acts")
@pytest.mark.parametrize("width_us", [SILENT, 700, 2300])
@pytest.mark.parametrize(("channel", "alert"), CHANNELS)
def test_invalid_channel_raises_its_own_advisory(channel, alert, width_us):
    rig = Rig().awake()
    rig.step(60, **{channel: width_us})
    assert rig.outputs.alert == alert
    assert rig.outputs.severity == codes.ADVISORY


@pytest.mark.sr("SR-21", "spares")
@pytest.mark.parametrize(("channel", "alert"), CHANNELS)
def test_short_gap_of_a_channel_raises_nothing(channel, alert):
    rig = Rig().awake()
    usual = getattr(rig, channel)
    for _ in range(20):
        rig.step(20, **{channel: SILENT})
        rig.step(1, **{channel: usual})
    assert not rig.shows(alert)


@pytest.mark.sr("SR-21", "spares")
def test_channel_that_is_not_fitted_raises_nothing():
    rig = Rig(throttle_fitted=0, brake_fitted=0, light_fitted=0)
    rig.step(300, throttle_us=SILENT, brake_us=SILENT, light_us=SILENT)
    assert rig.outputs.alert == codes.ALERT_NONE


@pytest.mark.sr("SR-21", "acts")
def test_lost_throttle_does_not_clear_the_warning():
    rig = Rig().awake()
    rig.step(60, brake_us=1900)
    rig.step(300, throttle_us=SILENT)
    assert rig.outputs.brakes_on == 1


# SR-22

STROKE_TICKS = 175


@pytest.mark.sr("SR-22", "spares")
def test_light_burns_with_the_gear_down_and_its_switch_on():
    rig = Rig().awake()
    rig.step(100, light_us=LIGHT_ON_US)
    assert rig.outputs.light == 1


@pytest.mark.sr("SR-22", "acts")
def test_light_goes_off_in_the_tick_of_up_and_comes_back_after_the_stroke():
    rig = Rig().awake()
    rig.step(100, light_us=LIGHT_ON_US)
    rig.step(2, gear_us=UP_US)
    assert rig.outputs.light == 1
    rig.step(1)
    assert (rig.outputs.gear_command, rig.outputs.light) == (codes.UP, 0)
    rig.glide(7000, 6680, 100)
    for _ in range(200):
        assert rig.step().light == 0
    rig.move_down()
    for _ in range(STROKE_TICKS - 2):
        assert rig.step().light == 0
    rig.step(5)
    assert rig.outputs.light == 1


@pytest.mark.sr("SR-22", "acts")
@pytest.mark.parametrize("width_us", [IDLE_US, SILENT])
def test_light_is_off_without_its_switch(width_us):
    rig = Rig().awake()
    rig.step(200, light_us=width_us)
    assert rig.outputs.light == 0


@pytest.mark.sr("SR-22", "acts")
def test_light_waits_for_every_leg():
    rig = Rig(lock_count=3).awake()
    for locks in ([1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0]):
        rig.step(300, light_us=LIGHT_ON_US, locks=locks)
        assert rig.outputs.light == 0
    rig.step(5, locks=[0, 0, 0, 1])
    assert rig.outputs.light == 1


@pytest.mark.sr("SR-22", "spares")
def test_light_with_locks_does_not_wait_for_the_stroke_time():
    rig = Rig(lock_count=3).awake()
    rig.step(200, light_us=LIGHT_ON_US, locks=[0] * 4)
    rig.move_up()
    rig.step(100, locks=[1] * 4)
    rig.move_down()
    rig.step(20)
    assert rig.outputs.light == 0
    rig.step(5, locks=[0] * 4)
    assert rig.outputs.light == 1


# SR-23


@pytest.mark.sr("SR-23", "acts")
def test_idle_with_the_gear_up_warns_after_its_time():
    rig = Rig().up()
    rig.throttle_us = IDLE_US
    took = rig.until(lambda o: o.active[codes.ALERT_NOT_DOWN] == 1, 200)
    assert took == APPROACH_TICKS
    assert rig.outputs.severity == codes.WARNING


@pytest.mark.sr("SR-23", "acts")
def test_acknowledgement_does_not_outlive_the_throttle():
    rig = Rig().up()
    rig.step(200, throttle_us=IDLE_US)
    rig.step(5, button=1)
    rig.step(5, button=0)
    assert max(rig.step().tone_hz for _ in range(200)) == 0
    rig.step(20, throttle_us=HALF_THROTTLE_US)
    assert not rig.shows(codes.ALERT_NOT_DOWN)
    rig.step(160, throttle_us=IDLE_US)
    assert rig.outputs.alert == codes.ALERT_NOT_DOWN
    assert max(rig.step().tone_hz for _ in range(200)) > 0


@pytest.mark.sr("SR-23", "spares")
def test_idle_with_the_gear_down_is_quiet():
    rig = Rig()
    rig.step(1000, throttle_us=IDLE_US)
    assert not rig.shows(codes.ALERT_NOT_DOWN)


@pytest.mark.sr("SR-23", "spares")
def test_short_idle_is_quiet():
    rig = Rig().up()
    for _ in range(5):
        rig.step(APPROACH_TICKS - 5, throttle_us=IDLE_US)
        rig.step(15, throttle_us=HALF_THROTTLE_US)
    assert not rig.shows(codes.ALERT_NOT_DOWN)


@pytest.mark.sr("SR-23", "acts")
@pytest.mark.parametrize("idle_permille", [30, 400])
def test_every_accepted_idle_point_warns_after_the_throttle_was_open(idle_permille):
    rig = Rig(throttle_idle_permille=idle_permille).up()
    assert rig.controller.settings_state == codes.SETTINGS_GOOD
    rig.step(100, throttle_us=1900)
    rig.step(200, throttle_us=IDLE_US)
    assert rig.shows(codes.ALERT_NOT_DOWN)


@pytest.mark.sr("SR-23", "spares")
def test_gear_put_down_ends_it():
    rig = Rig().up()
    rig.step(200, throttle_us=IDLE_US)
    rig.step(15, gear_us=DOWN_US)
    assert not rig.shows(codes.ALERT_NOT_DOWN)
