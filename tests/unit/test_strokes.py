"""SR-04 and SR-15: burst, air lost in a stroke, strokes that cost too little, leaks."""

import pytest

from controller import codes

from .driver import FULL_MBAR, IDLE_US, STROKE_MBAR, Rig, codes_of

UP_MBAR = FULL_MBAR - STROKE_MBAR
SECOND = 50


def at(mbar, **changes):
    """Gear up, long after the stroke, brake long untouched, at `mbar`."""
    rig = Rig(**changes).up()
    rig.glide(UP_MBAR, mbar, 2 * (UP_MBAR - mbar))
    rig.step(100)
    assert rig.command == codes.UP
    return rig


def fall(rig, start_mbar, mbar_s, seconds):
    rig.glide(start_mbar, start_mbar - int(mbar_s * seconds), int(seconds * SECOND))


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("mbar_s", [400, 1000, 3000])
def test_burst_forces_down_before_low_air_does_and_stays_to_power_off(mbar_s):
    rig = at(5400)
    fall(rig, 5400, mbar_s, 600 / mbar_s)
    assert rig.command == codes.DOWN
    assert codes.CAUSE_BURST in rig.causes
    rig.step(400, air=7000, gear_us=1100)
    assert rig.command == codes.DOWN
    assert codes.CAUSE_BURST in rig.causes


@pytest.mark.sr("SR-04", "spares")
def test_fall_that_leaves_air_for_an_extension_is_no_burst():
    # 400 mbar/s for (2.5 + 1) s leave 6600 - 1400 = 5200 mbar, above the lock minimum of 3900.
    rig = at(6600)
    fall(rig, 6600, 400, 1)
    rig.step(50)
    assert rig.command == codes.UP


# With 5 s of lead 90 mbar/s would cost 675 mbar, from 4500 to below the lock minimum of 3900.
FAR_LEAD = {"burst_lead_ms": 5000, "force_below_mbar": 4360}


@pytest.mark.sr("SR-04", "spares")
def test_fall_slower_than_the_floor_is_no_burst():
    rig = at(5000, **FAR_LEAD)
    fall(rig, 5000, 90, 6.5)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-04", "acts")
def test_fall_faster_than_the_floor_is_a_burst():
    rig = at(5000, **FAR_LEAD)
    fall(rig, 5000, 115, 5)
    assert rig.causes == [codes.CAUSE_BURST]


@pytest.mark.sr("SR-04", "spares")
@pytest.mark.parametrize("noise_codes", [1, 3])
def test_noise_is_no_burst(noise_codes):
    rig = at(4800)
    level = rig.a
    for tick in range(3000):
        rig.a = level + (tick * 7919 % (2 * noise_codes + 1)) - noise_codes
        assert rig.step().gear_command == codes.UP


@pytest.mark.sr("SR-04", "spares")
def test_brake_application_is_no_burst():
    # 140 mbar/s would leave 4880 - 7.5 x 140 mbar.
    rig = at(4950, burst_lead_ms=5000)
    for _ in range(3):
        start = 4950
        rig.step(1, brake_us=1900)
        rig.glide(start, start - 70, 10)
        rig.step(50, brake_us=IDLE_US)
        rig.glide(start - 70, start, 100)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-04", "acts")
def test_burst_is_looked_at_again_after_the_brake_has_settled():
    rig = at(5400)
    rig.step(1, brake_us=1900)
    rig.step(30)
    assert rig.command == codes.UP
    fall(rig, 5400, 1000, 0.6)
    assert codes.CAUSE_BURST in rig.causes


@pytest.mark.sr("SR-04", "spares")
def test_two_low_samples_are_no_burst():
    rig = at(5000)
    for _ in range(20):
        rig.step(1, air=4700)
        rig.step(1, air=5000)
        rig.step(50)
    assert rig.command == codes.UP


def stroke_with_fall(mbar, ticks):
    rig = Rig()
    rig.awake()
    rig.move_up()
    rig.glide(FULL_MBAR, FULL_MBAR - mbar, ticks)
    rig.step(10)
    return rig


def allowed_fall_mbar():
    # 1.3 x the adiabatic drop 1.4/750 mL x (8013 x 34 - 1013 x 12) mbar mL = 486 mbar, + 50 + 70.
    return 1.3 * 1.4 / 750 * ((FULL_MBAR + 1013) * 34 - 1013 * 12) + 50 + 70


@pytest.mark.sr("SR-04", "acts")
def test_retraction_that_costs_far_too_much_forces_down():
    rig = stroke_with_fall(int(allowed_fall_mbar()) + 20, 60)
    assert rig.command == codes.DOWN
    assert codes.CAUSE_STROKE_LOSS in rig.causes
    rig.step(600, air=7000, gear_us=1100)
    assert rig.causes == [codes.CAUSE_STROKE_LOSS]


@pytest.mark.sr("SR-04", "spares")
def test_retraction_that_costs_a_little_more_is_allowed():
    rig = stroke_with_fall(int(allowed_fall_mbar()) - 20, 60)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-04", "acts")
def test_one_bad_sample_as_the_stroke_begins_does_not_hide_a_torn_line():
    rig = Rig()
    rig.awake()
    rig.move_up()
    rig.step(1, a=0)
    rig.glide(FULL_MBAR, FULL_MBAR - int(allowed_fall_mbar()) - 60, 60)
    rig.step(10)
    assert codes.CAUSE_STROKE_LOSS in rig.causes


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("sensor", ["a", "b"])
def test_one_bad_sample_of_one_of_two_sensors_does_not_hide_a_torn_line(sensor):
    rig = Rig(sensor_count=2).awake()
    rig.move_up()
    rig.step(8)
    rig.step(1, **{sensor: 0})
    rig.step(5, air=FULL_MBAR)
    rig.glide(FULL_MBAR, FULL_MBAR - int(allowed_fall_mbar()) - 100, 60)
    rig.step(10)
    assert codes.CAUSE_STROKE_LOSS in rig.causes


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize(
    "ticks",
    [
        1,
        2,
        5,
    ],
)
def test_short_outage_in_a_stroke_does_not_hide_a_torn_line(ticks):
    rig = Rig().awake()
    rig.move_up()
    rig.step(8)
    rig.step(ticks, a=0)
    rig.glide(FULL_MBAR, FULL_MBAR - int(allowed_fall_mbar()) - 100, 60)
    rig.step(10)
    assert codes.CAUSE_STROKE_LOSS in rig.causes


@pytest.mark.sr("SR-04", "acts")
def test_flickering_second_sensor_does_not_hide_a_burst():
    rig = Rig(sensor_count=2).up()
    rig.glide(UP_MBAR, 5400, 2600)
    rig.step(100)
    for tick in range(50):
        rig.air(5400 - 10 * tick)
        if tick % 20 == 10:
            rig.b = 0
        rig.step()
    assert codes.CAUSE_BURST in rig.causes


@pytest.mark.sr("SR-04", "acts")
def test_burst_that_both_of_two_sensors_show_counts_though_they_read_apart():
    rig = Rig(sensor_count=2).up()
    for mbar in range(UP_MBAR, 5400, -1):
        rig.step(a=codes_of(mbar), b=codes_of(mbar + min(500, UP_MBAR - mbar)))
    rig.step(100)
    assert rig.shows(codes.ALERT_DISAGREE)
    assert rig.command == codes.UP
    for tick in range(40):
        rig.step(a=codes_of(5400 - 10 * tick), b=codes_of(5900 - 10 * tick))
    assert codes.CAUSE_BURST in rig.causes


@pytest.mark.sr("SR-04", "spares")
@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("faulty", ["a", "b"])
def test_fall_that_one_of_two_sensors_shows_is_no_burst(faulty):
    # Down to 5000 within half a second: a burst if it were the tank, and above the forcing point.
    rig = Rig(sensor_count=2).up()
    rig.glide(UP_MBAR, 5400, 2600)
    rig.step(100)
    for tick in range(60):
        rig.step(**{faulty: codes_of(max(5000, 5400 - 16 * tick))})
    rig.step(100)
    assert rig.causes == []


@pytest.mark.sr("SR-04", "acts")
def test_lost_stroke_is_seen_by_the_sensor_that_is_left():
    rig = Rig(sensor_count=2).awake()
    rig.step(100, b=0)
    rig.move_up()
    rig.step(4)
    for tick in range(1, 61):
        rig.step(a=codes_of(FULL_MBAR - tick * (int(allowed_fall_mbar()) + 100) // 60))
    rig.step(10)
    assert codes.CAUSE_STROKE_LOSS in rig.causes


@pytest.mark.sr("SR-04", "spares")
def test_fall_during_a_sensor_outage_is_spread_over_the_outage():
    # 80 mbar/s is slower than the floor, whatever the sensor missed of it.
    rig = at(5000)
    level = 5000.0
    for tick in range(150):
        level -= 1.6
        if 20 <= tick < 110:
            rig.step(a=0)
        else:
            rig.step(air=int(level))
    assert codes.CAUSE_BURST not in rig.causes


# SR-15


def stroke_costing(mbar, **changes):
    rig = Rig(**changes)
    rig.awake()
    rig.move_up()
    rig.glide(FULL_MBAR, FULL_MBAR - mbar, 100)
    rig.step(200)
    assert rig.command == codes.UP
    return rig


EXPECTED_MBAR = ((FULL_MBAR + 1013) * 34 - 1013 * 12) / (750 + 34)  # isothermal, from the closed form


@pytest.mark.sr("SR-15", "acts")
def test_stroke_that_costs_too_little_is_told():
    rig = stroke_costing(int(EXPECTED_MBAR * 0.65) - 12)
    assert rig.shows(codes.ALERT_STROKE)


@pytest.mark.sr("SR-15", "acts")
def test_extension_that_costs_too_little_is_told():
    rig = stroke_costing(int(EXPECTED_MBAR))
    assert not rig.shows(codes.ALERT_STROKE)
    rig.move_down()
    # Some codes, or the sensor would be called frozen.
    rig.glide(FULL_MBAR - int(EXPECTED_MBAR), FULL_MBAR - int(EXPECTED_MBAR) - 40, 100)
    rig.step(150)
    assert rig.shows(codes.ALERT_STROKE)


@pytest.mark.sr("SR-15", "spares")
@pytest.mark.parametrize("share", [0.7, 0.85, 1.0, 1.3])
def test_normal_stroke_is_not_told(share):
    rig = stroke_costing(int(EXPECTED_MBAR * share))
    assert not rig.shows(codes.ALERT_STROKE)


@pytest.mark.sr("SR-15", "spares")
def test_boot_with_the_gear_down_is_no_stroke():
    rig = Rig()
    rig.step(400)
    assert not rig.shows(codes.ALERT_STROKE)


@pytest.mark.sr("SR-15", "spares")
def test_stroke_from_half_way_is_not_judged():
    rig = Rig()
    rig.awake()
    rig.move_up()
    rig.step(40)
    rig.move_down()
    rig.step(250)
    assert not rig.shows(codes.ALERT_STROKE)


@pytest.mark.sr("SR-15", "spares")
def test_stroke_too_small_to_be_seen_in_the_noise_is_not_judged():
    # About 339 mbar are expected; 8 x 50 mbar of noise are more.
    rig = stroke_costing(30, sensor_noise_mbar=50)
    assert not rig.shows(codes.ALERT_STROKE)


# Minutes of flight are played with the longest tick, to be quick.
LONG_TICK = {"tick_ms": 50, "signature_age_ms": 60}
LONG_SECOND = 20


def cruise(rig, seconds, mbar_a_minute):
    """Slow fall from where `up` leaves the pressure."""
    level = 6680
    for second in range(seconds):
        rig.step(LONG_SECOND, air=level - second * mbar_a_minute // 60)


@pytest.mark.sr("SR-15", "acts")
def test_leak_is_told():
    rig = Rig(**LONG_TICK).up()
    cruise(rig, 320, 110)
    assert rig.shows(codes.ALERT_LEAK)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-15", "spares")
def test_slower_fall_is_no_leak():
    rig = Rig(**LONG_TICK).up()
    cruise(rig, 320, 85)
    assert not rig.shows(codes.ALERT_LEAK)


@pytest.mark.sr("SR-15", "spares")
def test_fall_soon_after_filling_is_no_leak():
    # The tank cools after filling; a boot counts as one, since nobody here knows better.
    rig = Rig(**LONG_TICK).up()
    cruise(rig, 165, 110)
    assert not rig.shows(codes.ALERT_LEAK)


@pytest.mark.sr("SR-15", "spares")
def test_brakes_are_no_leak():
    rig = Rig(**LONG_TICK).up()
    level = 6680
    for second in range(320):
        if second % 20 == 0:
            level -= 40
            rig.brake_us = 1900 if rig.brake_us == IDLE_US else IDLE_US
        rig.step(LONG_SECOND, air=level)
    assert not rig.shows(codes.ALERT_LEAK)


@pytest.mark.sr("SR-15", "spares")
def test_fall_with_the_gear_down_is_no_leak():
    rig = Rig(**LONG_TICK).awake()
    cruise(rig, 320, 110)
    assert not rig.shows(codes.ALERT_LEAK)
