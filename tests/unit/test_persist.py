"""SR-17: missing data never clears a fault and never ripens a permit."""

import itertools

import pytest

from controller import codes
from controller.codes import NO, UNKNOWN, YES
from controller.persist import Consecutive, Persist, Steady

from .driver import Rig, codes_of


def steps(counter, facts):
    return [counter.step(fact) for fact in facts]


@pytest.mark.sr("SR-17", "acts")
def test_fault_is_confirmed_in_the_tick_of_its_need():
    assert steps(Persist(3, 2), [YES] * 5) == [0, 0, 1, 1, 1]


@pytest.mark.sr("SR-17", "acts")
@pytest.mark.parametrize("unknowns", [1, 5, 500])
def test_unknown_freezes_a_fault(unknowns):
    counter = Persist(3, 2)
    assert steps(counter, [YES, YES] + [UNKNOWN] * unknowns + [YES]) == [0, 0] + [0] * unknowns + [1]


@pytest.mark.sr("SR-17", "acts")
def test_unknown_breaks_the_healing():
    assert steps(Persist(2, 3), [YES, YES, NO, NO, UNKNOWN, NO, NO, UNKNOWN]) == [0, 1, 1, 1, 1, 1, 1, 1]


@pytest.mark.sr("SR-17", "spares")
def test_opposite_for_the_healing_time_clears():
    assert steps(Persist(2, 3), [YES, YES, NO, NO, NO, YES]) == [0, 1, 1, 1, 0, 0]


@pytest.mark.sr("SR-17", "acts")
def test_fault_counter_agrees_with_the_rule_for_every_short_history():
    """The rule in other words: the fault is the number of YES since the last unbroken run of `heal` NO."""
    need, heal = 2, 2
    for history in itertools.product((NO, YES, UNKNOWN), repeat=7):
        counter = Persist(need, heal)
        for length in range(1, 8):
            seen = history[:length]
            start = 0
            for end in range(heal, length + 1):
                if all(fact == NO for fact in seen[end - heal : end]):
                    start = end
            expected = 1 if sum(fact == YES for fact in seen[start:]) >= need else 0
            assert counter.step(history[length - 1]) == expected


@pytest.mark.sr("SR-17", "acts")
@pytest.mark.parametrize("broken", [NO, UNKNOWN])
def test_permit_starts_again_after_anything_but_yes(broken):
    assert steps(Steady(3), [YES, YES, broken, YES, YES, YES]) == [0, 0, 0, 0, 0, 1]


@pytest.mark.sr("SR-17", "acts")
def test_consecutive_samples_are_not_broken_by_a_missing_one_but_by_a_no():
    assert steps(Consecutive(3), [YES, YES, UNKNOWN, YES, YES, NO, YES]) == [0, 0, 0, 1, 1, 0, 0]


@pytest.mark.sr("SR-17", "acts")
def test_dropouts_of_the_sensor_do_not_heal_low_air():
    rig = Rig().up()
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    low = codes_of(4690)
    for _ in range(3):
        rig.step(14, a=low)
        rig.step(3, a=0)
    assert rig.causes == [codes.CAUSE_LOW_AIR]


@pytest.mark.sr("SR-17", "spares")
def test_known_good_air_between_dips_heals():
    rig = Rig().up()
    rig.glide(6680, 4720, 3000)
    rig.step(100)
    for _ in range(20):
        rig.step(15, a=codes_of(4690))
        rig.step(16, a=codes_of(4720))
    assert rig.command == codes.UP
