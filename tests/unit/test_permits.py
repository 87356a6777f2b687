"""SR-02, SR-16, SR-19: what a retraction needs, one permit at a time."""

import pytest

from controller import codes
from controller.packing import pack

from .driver import DOWN_US, SILENT, UP_US, Rig, settings_with

RETRACT_MBAR = 5600


def refusal_of(rig):
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.shows(codes.ALERT_REFUSED)
    return rig.outputs.refusal


def goes_up(rig):
    rig.move_up()
    return rig.command == codes.UP and rig.outputs.refusal == codes.REFUSAL_NONE


@pytest.mark.sr("SR-02", "acts")
def test_air_below_the_permit_refuses():
    rig = Rig().awake()
    rig.step(60, air=RETRACT_MBAR - 5)
    assert refusal_of(rig) == codes.REFUSAL_AIR
    assert RETRACT_MBAR - 10 <= rig.outputs.refusal_value < RETRACT_MBAR


@pytest.mark.sr("SR-02", "spares")
def test_air_at_the_permit_is_enough():
    rig = Rig().awake()
    rig.step(60, air=RETRACT_MBAR)
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "acts")
def test_air_must_have_been_enough_for_the_confirm_time():
    # 0.2 s are 10 ticks, the run to UP included; the median may add one, never take one away.
    rig = Rig().awake()
    rig.step(60, air=5000)
    rig.step(6, air=6000)
    assert refusal_of(rig) == codes.REFUSAL_AIR


@pytest.mark.sr("SR-02", "spares")
def test_air_that_has_been_enough_for_the_confirm_time_permits():
    rig = Rig().awake()
    rig.step(60, air=5500)
    rig.step(9, air=5650)
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "acts")
def test_unknown_pressure_refuses():
    rig = Rig().awake()
    rig.step(30, a=0)
    assert refusal_of(rig) == codes.REFUSAL_PRESSURE


@pytest.mark.sr("SR-02", "acts")
def test_refused_move_is_used_up_and_shows_until_down_is_seen():
    rig = Rig().awake()
    rig.step(60, air=5000)
    assert refusal_of(rig) == codes.REFUSAL_AIR
    for _ in range(500):
        assert rig.step(air=7000).gear_command == codes.DOWN
        assert rig.shows(codes.ALERT_REFUSED)
    rig.step(2, gear_us=DOWN_US)
    assert rig.shows(codes.ALERT_REFUSED)
    rig.step(1)
    assert not rig.shows(codes.ALERT_REFUSED)
    assert rig.outputs.refusal == codes.REFUSAL_NONE
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-02", "spares")
def test_new_move_after_a_refusal_is_followed():
    rig = Rig().awake()
    rig.step(60, air=5400)
    rig.move_up()
    # Less than what would look like filling.
    rig.step(100, air=5650)
    rig.move_down()
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "acts")
@pytest.mark.parametrize("gap", [5, 20, 45])
def test_degraded_link_between_down_and_up_refuses(gap):
    rig = Rig().awake()
    rig.step(gap, gear_us=SILENT)
    for _ in range(200):
        assert rig.step(gear_us=UP_US).gear_command == codes.DOWN
    assert rig.shows(codes.ALERT_REFUSED)


@pytest.mark.sr("SR-02", "acts")
def test_supply_below_the_margin_refuses():
    rig = Rig(supply_fitted=1).awake()
    rig.step(60, supply_mv=4780)
    assert refusal_of(rig) == codes.REFUSAL_SUPPLY
    assert 4770 <= rig.outputs.refusal_value < 4800


@pytest.mark.sr("SR-02", "spares")
def test_supply_above_the_margin_permits():
    rig = Rig(supply_fitted=1).awake()
    rig.step(60, supply_mv=4810)
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "spares")
def test_supply_that_is_not_measured_has_no_say():
    rig = Rig().awake()
    rig.supply = 0
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "acts")
def test_settings_that_are_not_valid_refuse():
    rig = Rig(a=b"", b=b"").awake()
    assert refusal_of(rig) == codes.REFUSAL_SETTINGS
    other = pack(settings_with(low_confirm_ms=400))
    rig = Rig(b=other).awake()
    assert refusal_of(rig) == codes.REFUSAL_SETTINGS


@pytest.mark.sr("SR-02", "acts")
def test_latch_and_lockout_refuse():
    rig = Rig().awake()
    rig.step(60, gear_us=SILENT)
    assert refusal_of(rig) == codes.REFUSAL_HELD
    first = Rig().step()
    count, check = first.retained_count, first.retained_check
    for _ in range(3):
        rig = Rig(retained=(count, check))
        rig.step()
        count, check = rig.outputs.retained_count, rig.outputs.retained_check
    rig.step(200, gear_us=DOWN_US)
    assert refusal_of(rig) == codes.REFUSAL_LOCKED_OUT


@pytest.mark.sr("SR-02", "acts")
def test_three_frames_of_up_are_needed_and_two_are_not_enough():
    rig = Rig().awake()
    rig.step(2, gear_us=UP_US)
    assert rig.command == codes.DOWN
    rig.step(1)
    assert rig.command == codes.UP


# SR-16


@pytest.mark.sr("SR-16", "acts")
@pytest.mark.parametrize("clear_ticks", [0, 1, 25, 46])
def test_ground_switch_must_have_been_clear_for_its_time(clear_ticks):
    rig = Rig(ground_fitted=1).awake()
    rig.step(50, ground=1)
    rig.step(clear_ticks, ground=0)
    assert refusal_of(rig) == codes.REFUSAL_GROUND


@pytest.mark.sr("SR-16", "acts")
def test_one_ground_sample_in_between_starts_the_time_again():
    rig = Rig(ground_fitted=1).awake()
    rig.step(60, ground=0)
    rig.step(1, ground=1)
    rig.step(40, ground=0)
    assert refusal_of(rig) == codes.REFUSAL_GROUND


@pytest.mark.sr("SR-16", "spares")
def test_ground_switch_clear_for_its_time_permits():
    rig = Rig(ground_fitted=1).awake()
    rig.step(50, ground=1)
    rig.step(47, ground=0)
    assert goes_up(rig)


@pytest.mark.sr("SR-16", "spares")
def test_ground_switch_is_ignored_once_up():
    rig = Rig(ground_fitted=1).up()
    for _ in range(500):
        assert rig.step(ground=1).gear_command == codes.UP


@pytest.mark.sr("SR-16", "spares")
def test_ground_switch_that_is_not_fitted_has_no_say():
    rig = Rig().awake()
    rig.ground = 1
    rig.step(100)
    assert goes_up(rig)


# SR-19


def filled(rise_mbar, seconds, hold_s):
    """Gear down at 5800 mbar, filled by `rise_mbar` over `seconds`, then left alone for `hold_s`."""
    rig = Rig(fill_mbar=7500)
    rig.air(5800)
    rig.step(50 * 35, gear_us=DOWN_US)
    rig.glide(5800, 5800 + rise_mbar, 50 * seconds)
    rig.step(50 * hold_s)
    return rig


@pytest.mark.sr("SR-19", "acts")
@pytest.mark.parametrize("hold_s", [1, 30, 58])
def test_filling_refuses_for_a_minute_after_the_rise(hold_s):
    rig = filled(1200, 20, hold_s)
    assert rig.shows(codes.ALERT_CHARGING)
    assert refusal_of(rig) == codes.REFUSAL_CHARGING


@pytest.mark.sr("SR-19", "acts")
def test_filling_refuses_while_it_goes_on():
    rig = filled(1400, 25, 0)
    assert refusal_of(rig) == codes.REFUSAL_CHARGING


@pytest.mark.sr("SR-19", "spares")
def test_minute_after_the_rise_permits_again():
    rig = filled(1200, 20, 63)
    assert goes_up(rig)


@pytest.mark.sr("SR-19", "spares")
@pytest.mark.parametrize(("rise_mbar", "seconds"), [(290, 20), (580, 25), (1200, 120)])
def test_rebound_and_warming_are_not_filling(rise_mbar, seconds):
    # 0.3 bar + 2 x rebound (0.16 bar) of one stroke of the default air system is 0.63 bar in 30 s.
    rig = filled(rise_mbar, seconds, 1)
    assert not rig.shows(codes.ALERT_CHARGING)
    assert goes_up(rig)


@pytest.mark.sr("SR-02", "acts")
def test_first_reason_of_a_refusal_outlives_a_gap():
    rig = Rig().awake()
    rig.step(60, air=RETRACT_MBAR - 50)
    assert refusal_of(rig) == codes.REFUSAL_AIR
    rig.step(6, gear_us=SILENT)
    rig.step(40, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_AIR
