"""SR-05: what a sensor must do to be believed, and what follows when none is."""

import pytest

from controller import codes

from .driver import FULL_MBAR, Rig, codes_of

SENSOR_TICKS = 10
FORCE_TICKS = 100

BAD = {"open": 100, "short": 4000, "below": -1, "above": 4096}


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("raw", BAD.values(), ids=BAD.keys())
def test_unknown_pressure_forces_down_after_its_time(raw):
    rig = Rig().up()
    took = rig.step(a=raw) and 1 + rig.until(lambda o: o.gear_command == codes.DOWN, 200)
    assert SENSOR_TICKS + FORCE_TICKS - 2 <= took <= SENSOR_TICKS + FORCE_TICKS + 2
    assert rig.causes == [codes.CAUSE_PRESSURE]
    assert rig.outputs.pressure_mbar == -1
    rig.step(500, a=codes_of(FULL_MBAR))
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-05", "acts")
def test_failed_sensor_raises_a_caution_and_inhibits():
    rig = Rig().awake()
    rig.step(SENSOR_TICKS, a=0)
    assert rig.shows(codes.ALERT_PRESSURE)
    assert rig.outputs.severity == codes.CAUTION
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_PRESSURE


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("ticks", [1, SENSOR_TICKS - 1])
def test_short_outage_is_no_failure(ticks):
    rig = Rig().up()
    rig.step(ticks, a=0)
    assert not rig.shows(codes.ALERT_PRESSURE)
    rig.step(300, a=codes_of(6680))
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "spares")
def test_outage_shorter_than_the_forcing_time_does_not_force():
    rig = Rig().up()
    # The sensor counts as failed until it has healed for 0.2 s.
    rig.step(FORCE_TICKS - 5, a=0)
    rig.step(300, a=codes_of(6680))
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize(
    ("bad", "good"),
    [
        pytest.param(60, 10),
        (30, 9),
        (12, 5),
    ],
)
def test_stuttering_sensor_forces_by_its_own_cause(bad, good):
    rig = Rig().up()
    for _ in range(40):
        rig.step(bad, a=0)
        rig.step(good, a=codes_of(6680))
        if rig.command == codes.DOWN:
            break
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-05", "acts")
def test_sensor_of_which_no_median_can_be_made_is_not_believed_for_ever():
    rig = Rig(heal_ms=40).up()
    for _ in range(100):
        rig.step(1, a=0)
        rig.step(2, a=codes_of(3000))
    assert rig.command == codes.DOWN
    assert codes.CAUSE_SECOND_PATH not in rig.causes


@pytest.mark.sr("SR-05", "acts")
def test_sensor_that_comes_back_is_not_read_by_what_it_said_before():
    rig = Rig().awake()
    rig.step(5, a=0)
    readings = [rig.step(a=codes_of(4000)).pressure_mbar for _ in range(6)]
    assert all(reading in (-1, 4000, 4001, 4002, 4003) for reading in readings)
    assert readings[-1] >= 4000


# frozen


def stroke(rig, a_codes=0, b_codes=0):
    """A retraction during which the sensors fall by that many codes."""
    start_a, start_b = rig.a, rig.b
    rig.awake()
    rig.move_up()
    assert rig.command == codes.UP
    for tick in range(101):
        rig.step(a=start_a - a_codes * tick // 100, b=start_b - b_codes * tick // 100)
    rig.step(90)
    return rig


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("moved", [0, 2])
def test_sensor_that_does_not_follow_a_stroke_is_frozen(moved):
    rig = stroke(Rig(), a_codes=moved)
    assert rig.outputs.grade[0] == codes.SENSOR_FROZEN
    assert rig.shows(codes.ALERT_PRESSURE)
    rig.until(lambda o: o.gear_command == codes.DOWN, 150)
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-05", "spares")
def test_sensor_that_moves_three_codes_is_not_frozen():
    rig = stroke(Rig(), a_codes=3)
    rig.step(300)
    assert rig.outputs.grade[0] == codes.SENSOR_GOOD
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "spares")
def test_stroke_too_small_to_show_says_nothing_of_the_sensor():
    # 1 mL of 750 mL is about 10 mbar, 3 codes.
    rig = stroke(Rig(retract_swept_ul=1000, retract_dead_ul=0))
    rig.step(300)
    assert rig.outputs.grade[0] == codes.SENSOR_GOOD
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "acts")
def test_frozen_sensor_stays_failed_until_a_stroke_moves_it():
    rig = stroke(Rig(sensor_count=2), a_codes=0, b_codes=100)
    assert rig.outputs.grade[0] == codes.SENSOR_FROZEN
    a = rig.a
    for tick in range(400):
        rig.step(a=a - tick % 20)
    assert rig.outputs.grade[0] == codes.SENSOR_FROZEN
    rig.gear_us = 1100
    b = rig.b
    for tick in range(200):
        rig.step(a=a - min(tick, 100), b=b - min(tick, 100))
    assert rig.outputs.grade[0] == codes.SENSOR_GOOD


# two sensors


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("which", ["a", "b"])
def test_one_failed_of_two_leaves_the_other_in_charge(which):
    rig = Rig(sensor_count=2).awake()
    rig.step(50, **{which: 0})
    assert rig.shows(codes.ALERT_SENSOR)
    assert not rig.shows(codes.ALERT_PRESSURE)
    assert FULL_MBAR <= rig.outputs.pressure_mbar <= FULL_MBAR + 4
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "acts")
def test_other_sensor_still_forces_at_low_air():
    rig = Rig(sensor_count=2).up()
    rig.step(50, a=0)
    for mbar in range(6680, 4600, -1):
        rig.step(b=codes_of(mbar))
    assert rig.causes == [codes.CAUSE_LOW_AIR]


@pytest.mark.sr("SR-05", "acts")
def test_disagreement_inhibits_cautions_and_lets_the_lower_govern():
    rig = Rig(sensor_count=2).awake()
    rig.step(20, a=codes_of(7000), b=codes_of(6600))
    assert rig.shows(codes.ALERT_DISAGREE)
    assert 6600 <= rig.outputs.pressure_mbar <= 6604
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_DISAGREE


@pytest.mark.sr("SR-05", "spares")
def test_disagreement_does_not_force_by_itself():
    rig = Rig(sensor_count=2).up()
    for tick in range(1500):
        rig.step(b=codes_of(6680 - min(tick, 600)))
    rig.step(500)
    assert rig.shows(codes.ALERT_DISAGREE)
    assert rig.command == codes.UP
    assert rig.causes == []


@pytest.mark.sr("SR-05", "spares")
def test_small_difference_is_no_disagreement():
    rig = Rig(sensor_count=2).awake()
    rig.step(200, a=codes_of(7000), b=codes_of(6720))
    assert not rig.shows(codes.ALERT_DISAGREE)
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "acts")
def test_both_of_two_failed_force():
    rig = Rig(sensor_count=2).up()
    rig.step(SENSOR_TICKS + FORCE_TICKS + 4, a=0, b=4000)
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-05", "spares")
def test_lower_sensor_that_comes_back_is_no_burst():
    rig = Rig(sensor_count=2).up()
    for mbar in range(6680, 4780, -1):
        rig.step(a=codes_of(min(6680, mbar + 270)), b=codes_of(mbar))
    rig.step(60)
    rig.step(100, b=0)
    rig.step(60, b=codes_of(4780))
    assert rig.command == codes.UP
    assert rig.causes == []


@pytest.mark.sr("SR-11", "acts")
def test_frozen_sensor_that_reads_low_makes_the_second_path_refuse():
    """A limit: the second path knows nothing of strokes, so a frozen reading that is low is a low reading to it."""
    rig = stroke(Rig(sensor_count=2), a_codes=0, b_codes=100)
    rig.gear_us = 1100
    b = rig.b
    for tick in range(400):
        rig.step(b=b - min(tick, 100))
    assert rig.outputs.grade == [codes.SENSOR_FROZEN, codes.SENSOR_GOOD]
    rig.step(100, a=codes_of(5000), b=codes_of(6500))
    assert rig.outputs.grade == [codes.SENSOR_FROZEN, codes.SENSOR_GOOD]
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_SECOND_PATH


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.sr("SR-11", "spares")
def test_low_reading_of_a_sensor_that_is_not_believed_still_counts_as_low():
    # 7 ticks low, 3 ticks open: failed after a while, never healed, and low whenever it reads.
    rig = Rig(sensor_force_ms=10000).up()
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    for _ in range(12):
        rig.step(7, a=codes_of(4690))
        rig.step(3, a=0)
    assert rig.causes == [codes.CAUSE_LOW_AIR]
    assert 4680 <= rig.outputs.cause_value <= 4700


@pytest.mark.sr("SR-05", "acts")
def test_high_reading_of_a_sensor_that_is_not_believed_pardons_nothing():
    rig = Rig().up()
    for _ in range(40):
        rig.step(7, a=codes_of(6600))
        rig.step(3, a=0)
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-05", "spares")
def test_low_reading_of_the_failed_one_of_two_does_not_force():
    rig = Rig(sensor_count=2).up()
    for _ in range(60):
        rig.step(7, a=codes_of(3000))
        rig.step(3, a=0)
    assert rig.outputs.grade[1] == codes.SENSOR_GOOD
    assert rig.command == codes.UP


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("rail", [4096, 4500])
def test_rail_beyond_the_converter_fails_the_sensors(rail):
    rig = Rig(rail_fitted=1, rail_nominal_counts=4000).awake()
    rig.step(20, rail=rail)
    assert rig.outputs.grade[0] == codes.SENSOR_RAIL


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("rail", [2400, 3800])
def test_rail_out_of_bounds_fails_the_sensors(rail):
    rig = Rig(rail_fitted=1).awake()
    rig.step(20, rail=rail)
    assert rig.outputs.grade[0] == codes.SENSOR_RAIL
    assert rig.shows(codes.ALERT_PRESSURE)


@pytest.mark.sr("SR-05", "spares")
def test_rail_that_sags_a_little_is_corrected():
    rig = Rig(rail_fitted=1).awake()
    counts = codes_of(7000)
    rig.step(20, rail=3102 * 95 // 100, a=counts * 95 // 100)
    assert abs(rig.outputs.pressure_mbar - 7000) <= 12
