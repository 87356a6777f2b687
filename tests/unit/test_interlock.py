"""SR-11: the second path. Its own view of the inputs, and a last word that is only ever DOWN."""

import pytest

from controller import codes
from controller.facts import Facts

from .driver import DOWN_US, SILENT, UP_US, Rig, codes_of


class Willing:
    """Stands in for the mode logic and wants UP from the tick in which it is told to, whatever happens."""

    def __init__(self, real):
        self.real = real
        self.want = codes.UP

    def step(self, facts):
        self.real.step(facts)
        return self.want

    def __getattr__(self, name):
        return getattr(self.real, name)


def willing(**changes):
    rig = Rig(**changes).awake()
    rig.controller.gear = Willing(rig.controller.gear)
    return rig


@pytest.mark.sr("SR-11", "acts")
def test_willing_mode_logic_gets_no_up_without_a_move():
    rig = willing()
    for _ in range(500):
        assert rig.step().gear_command == codes.DOWN


@pytest.mark.sr("SR-11", "spares")
def test_own_fresh_move_gives_leave():
    rig = willing()
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-11", "acts")
def test_leave_ends_with_its_own_run_to_down():
    rig = willing()
    rig.move_up()
    rig.step(2, gear_us=DOWN_US)
    assert rig.command == codes.UP
    rig.step(1)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-11", "acts")
def test_low_air_withdraws_leave_after_one_and_a_half_confirm_times_for_good():
    rig = willing()
    rig.move_up()
    took = rig.step(air=4600) and 1 + rig.until(lambda o: o.gear_command == codes.DOWN, 100)
    assert 38 <= took <= 40
    for _ in range(300):
        assert rig.step(air=7000).gear_command == codes.DOWN


@pytest.mark.sr("SR-11", "acts")
def test_unknown_pressure_withdraws_leave_after_one_and_a_half_times():
    rig = willing()
    rig.move_up()
    took = rig.step(a=0) and 1 + rig.until(lambda o: o.gear_command == codes.DOWN, 300)
    assert (10 + 100) * 3 // 2 <= took <= (10 + 100) * 3 // 2 + 2


@pytest.mark.sr("SR-11", "acts")
def test_lost_link_withdraws_leave_after_one_and_a_half_times():
    rig = willing()
    rig.move_up()
    rig.gear_us = SILENT
    assert rig.until(lambda o: o.gear_command == codes.DOWN, 100) == 75


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize(
    "spoil",
    [{"air": 5480}, {"ground": 1}, {"a": 0}],
    ids=["air below permit less slack", "on the ground", "pressure unknown"],
)
def test_leave_does_not_begin(spoil):
    rig = willing(ground_fitted=1)
    rig.step(60, **spoil)
    rig.move_up()
    assert rig.command == codes.DOWN
    rig.step(300, air=7000, ground=0)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-11", "spares")
def test_leave_begins_a_little_below_the_permit():
    rig = willing()
    rig.step(60, air=5505)
    rig.move_up()
    assert rig.command == codes.UP


@pytest.mark.sr("SR-11", "acts")
def test_leave_does_not_begin_after_a_degraded_link():
    rig = willing()
    rig.step(20, gear_us=SILENT)
    rig.step(200, gear_us=UP_US)
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-11", "acts")
def test_leave_that_is_not_used_is_gone():
    rig = willing()
    rig.controller.gear.want = codes.DOWN
    rig.move_up()
    rig.controller.gear.want = codes.UP
    for _ in range(200):
        assert rig.step().gear_command == codes.DOWN


@pytest.mark.sr("SR-11", "acts")
def test_leave_that_was_given_up_does_not_come_back_with_half_a_move():
    rig = willing()
    rig.move_up()
    rig.controller.gear.want = codes.DOWN
    rig.step(1)
    rig.controller.gear.want = codes.UP
    for _ in range(10):
        rig.step(2, gear_us=DOWN_US)
        for _ in range(5):
            assert rig.step(gear_us=UP_US).gear_command == codes.DOWN


@pytest.mark.sr("SR-11", "acts")
def test_no_leave_at_begin_is_a_refusal():
    rig = Rig().awake()
    rig.controller.interlock._usable = 0
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_SECOND_PATH
    assert rig.causes == []


@pytest.mark.sr("SR-11", "acts")
def test_veto_later_is_a_cause_that_stays_to_power_off():
    rig = Rig().up()
    rig.controller.interlock.leave = 0
    rig.step(1)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_SECOND_PATH]
    rig.step(1000, gear_us=DOWN_US)
    rig.step(100, gear_us=UP_US)
    assert rig.command == codes.DOWN
    assert rig.causes == [codes.CAUSE_SECOND_PATH]


@pytest.mark.sr("SR-11", "spares")
def test_the_pilots_own_down_is_no_veto():
    rig = Rig().up()
    rig.move_down()
    rig.step(10)
    assert rig.causes == []


@pytest.mark.sr("SR-11", "acts")
def test_settings_copies_are_two_objects():
    rig = Rig()
    assert rig.controller.interlock._s is not rig.controller.settings
    assert vars(rig.controller.interlock._s) == vars(rig.controller.settings)


@pytest.mark.sr("SR-11", "acts")
@pytest.mark.parametrize("field", sorted(set(Facts.__slots__) - {"present", "absent", "leave"}))
def test_second_path_reads_nothing_of_the_mode_logic(field):
    """Whatever stands in the facts, the second path's word stays the same."""
    plain = willing()
    spoilt = willing()
    for rig in (plain, spoilt):
        rig.words = []
    for tick in range(60):
        for rig in (plain, spoilt):
            rig.step(gear_us=UP_US if 10 < tick < 40 else DOWN_US)
            rig.words.append(rig.controller.interlock.leave)
        setattr(spoilt.controller.judge.facts, field, 1 - getattr(spoilt.controller.judge.facts, field) % 2)
    assert plain.words == spoilt.words
    assert 1 in plain.words


@pytest.mark.sr("SR-11", "spares")
def test_sensor_that_stutters_within_what_the_mode_logic_accepts_is_no_veto():
    rig = Rig().up()
    for _ in range(60):
        rig.step(9, a=0)
        rig.step(10, a=codes_of(6680))
    assert codes.CAUSE_SECOND_PATH not in rig.causes


@pytest.mark.sr("SR-11", "spares")
def test_every_third_sample_bad_is_the_mode_logics_case():
    rig = Rig(sensor_confirm_ms=1000, sensor_force_ms=100).up()
    for _ in range(100):
        rig.step(1, a=0)
        rig.step(2, a=codes_of(6680))
    assert rig.causes == [codes.CAUSE_PRESSURE]


@pytest.mark.sr("SR-11", "spares")
def test_stuttering_sensor_at_low_air_is_the_mode_logics_case():
    rig = Rig().up()
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    for _ in range(20):
        rig.step(7, a=codes_of(4690))
        rig.step(3, a=0)
    assert rig.command == codes.DOWN
    assert codes.CAUSE_SECOND_PATH not in rig.causes


@pytest.mark.sr("SR-11", "spares")
@pytest.mark.parametrize(("tick_ms", "confirm_ms"), [(20, 500), (20, 40), (30, 100), (50, 100), (10, 500)])
def test_mode_logic_forces_first_on_low_air(tick_ms, confirm_ms):
    rig = Rig(tick_ms=tick_ms, low_confirm_ms=confirm_ms, warn_confirm_ms=min(confirm_ms, 200), signature_age_ms=60)
    rig.step(600, gear_us=DOWN_US)
    rig.move_up()
    assert rig.command == codes.UP
    rig.air(4600)
    rig.until(lambda o: o.gear_command == codes.DOWN, 200)
    assert codes.CAUSE_SECOND_PATH not in rig.causes
