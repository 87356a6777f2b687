"""SR-03 and SR-12: forced by low air, and warned not later."""

import pytest

from controller import codes

from .driver import DOWN_US, Rig

FORCE_MBAR = 4700
WARN_MBAR = 5100
CONFIRM_TICKS = 25  # 0.5 s
MEDIAN_TICKS = 2


@pytest.mark.sr("SR-03", "acts")
def test_low_air_forces_down_after_the_confirm_time_and_latches():
    rig = Rig().up()
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    assert rig.command == codes.UP
    took = rig.step(1, air=FORCE_MBAR - 5) and rig.until(lambda o: o.gear_command == codes.DOWN, 60) + 1
    assert CONFIRM_TICKS <= took <= CONFIRM_TICKS + MEDIAN_TICKS
    assert rig.causes == [codes.CAUSE_LOW_AIR]
    assert rig.outputs.cause == codes.CAUSE_LOW_AIR
    assert FORCE_MBAR - 10 <= rig.outputs.cause_value < FORCE_MBAR
    for _ in range(500):
        assert rig.step(air=5500).gear_command == codes.DOWN
    assert rig.causes == [codes.CAUSE_LOW_AIR]


def low(rig):
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    return rig


@pytest.mark.sr("SR-03", "spares")
def test_air_at_the_forcing_point_holds_the_gear_up():
    rig = low(Rig().up())
    for _ in range(1000):
        assert rig.step(air=FORCE_MBAR).gear_command == codes.UP


@pytest.mark.sr("SR-03", "spares")
@pytest.mark.parametrize("ticks", [1, 10, CONFIRM_TICKS - 2])
def test_dip_shorter_than_the_confirm_time_does_not_force(ticks):
    rig = low(Rig().up())
    rig.step(ticks, air=FORCE_MBAR - 15)
    rig.step(300, air=4730)
    assert rig.command == codes.UP


@pytest.mark.sr("SR-03", "acts")
def test_dips_that_return_before_the_healing_time_add_up():
    rig = low(Rig().up())
    for _ in range(8):
        rig.step(8, air=FORCE_MBAR - 15)
        rig.step(4, air=4730)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_LOW_AIR]


@pytest.mark.sr("SR-03", "spares")
def test_low_air_with_the_gear_down_latches_nothing():
    rig = Rig().awake()
    rig.step(500, air=2000)
    assert rig.causes == []
    assert rig.outputs.mode == codes.MODE_DOWN


@pytest.mark.sr("SR-12", "acts")
@pytest.mark.parametrize("rate_mbar", [1, 5, 40, 400])
def test_air_low_is_raised_not_later_than_the_gear_is_forced(rate_mbar):
    rig = Rig(burst_floor_mbar_s=100).up()
    pressure_mbar = 6680
    warned = None
    forced = None
    for tick in range(4000):
        pressure_mbar = max(3000, pressure_mbar - rate_mbar)
        rig.step(air=pressure_mbar)
        if warned is None and rig.shows(codes.ALERT_AIR_LOW):
            warned = tick
        if codes.CAUSE_LOW_AIR in rig.causes:
            forced = tick
            break
        if rig.command == codes.DOWN:
            break
    if forced is not None:
        assert warned is not None
        assert warned <= forced
    if rate_mbar == 1:
        assert forced is not None
        assert rig.outputs.severity == codes.WARNING


@pytest.mark.sr("SR-12", "acts")
def test_air_low_is_a_caution_and_shows():
    rig = Rig().up()
    rig.glide(6680, WARN_MBAR - 10, 2500)
    rig.step(12)
    assert rig.outputs.alert == codes.ALERT_AIR_LOW
    assert rig.outputs.severity == codes.CAUTION


@pytest.mark.sr("SR-12", "spares")
def test_air_above_the_warning_point_is_silent():
    rig = Rig().up()
    rig.glide(6680, WARN_MBAR + 5, 2500)
    rig.step(500)
    assert not rig.shows(codes.ALERT_AIR_LOW)


@pytest.mark.sr("SR-12", "spares")
def test_short_dip_below_the_warning_point_is_silent():
    rig = Rig().up()
    rig.glide(6680, WARN_MBAR + 5, 2500)
    rig.step(6, air=WARN_MBAR - 20)
    rig.step(100, air=5400)
    assert not rig.shows(codes.ALERT_AIR_LOW)


@pytest.mark.sr("SR-12", "acts")
def test_air_low_warns_with_the_gear_down_too():
    rig = Rig()
    rig.air(4000)
    rig.step(50, gear_us=DOWN_US)
    assert rig.shows(codes.ALERT_AIR_LOW)
