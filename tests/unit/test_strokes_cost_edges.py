"""What a whole stroke should have cost: cheap strokes and frozen sensors at their edges (SR-15, SR-05)."""

import pytest

from controller.codes import DOWN, UP
from controller.limits import isothermal_drop_mbar

from .strokes_bench import SECOND, STROKE, Bench


def stroke(bench, start_mbar, end_mbar, command, settle=300):
    """A settled start, a change of command, and the end pressure at once."""
    bench.step(settle, start_mbar)
    bench.step(1, command=command)
    return bench.step(STROKE + SECOND, end_mbar)


@pytest.mark.sr("SR-15", "acts")
@pytest.mark.parametrize("command", [UP, DOWN])
@pytest.mark.parametrize("spare_mbar, cheap", [(0, 0), (1, 1)])
def test_stroke_that_costs_less_than_its_share(command, spare_mbar, cheap):
    """0.65 of the isothermal cost, each direction with its own volumes."""
    bench = Bench(retract_swept_ul=30000, extend_swept_ul=20000, extend_dead_ul=5000)
    if command == DOWN:
        bench.step(1, command=UP)
    lim = bench.limits
    ratio, dead = (lim.retract_ratio, lim.retract_dead) if command == UP else (lim.extend_ratio, lim.extend_dead)
    cost = isothermal_drop_mbar(7000, ratio, dead)
    least = -(-cost * 650 // 1000)
    strokes = stroke(bench, 7000, 7000 - least + spare_mbar, command)
    assert strokes.too_cheap == cheap


@pytest.mark.sr("SR-15", "spares")
@pytest.mark.parametrize("fraction, dropped_mbar, cheap", [(500, 165, 1), (500, 166, 0), (651, 216, 1), (651, 217, 0)])
def test_share_to_the_mbar(fraction, dropped_mbar, cheap):
    """A cost of 332 mbar: 0.500 of it is 166, 0.651 is 216.132."""
    assert cost_of(7000) == 332
    assert stroke(Bench(stroke_fraction_permille=fraction), 7000, 7000 - dropped_mbar, UP).too_cheap == cheap


@pytest.mark.sr("SR-15", "acts")
def test_cost_is_judged_in_one_tick_a_second_after_the_stroke():
    bench = Bench()
    bench.step(300, 7000)
    bench.step(1, command=UP)
    assert bench.step(STROKE + SECOND - 1).too_cheap == 0
    assert bench.step(1).too_cheap == 1
    # A later fall changes nothing; the next whole stroke does.
    assert bench.step(500, 6000).too_cheap == 1
    assert stroke(bench, 6000, 5500, DOWN).too_cheap == 0


@pytest.mark.sr("SR-15", "spares")
@pytest.mark.parametrize("case", ["braked", "not settled", "no reading", "start unknown", "failed"])
def test_stroke_of_which_too_little_is_known_is_not_called_cheap(case):
    bench = Bench()
    bench.step(300, 7000)
    if case == "start unknown":
        bench.step(9, None)
    bench.step(1, command=UP)
    if case == "not settled":
        bench.step(STROKE + SECOND, 6500)
        bench.step(1, command=DOWN)
    if case == "braked":
        bench.step(1, brake=(1, 1500))
    bench.probes[0].failed = int(case == "failed")
    bench.step(STROKE + SECOND, None if case == "no reading" else 7000)
    assert bench.strokes.too_cheap == 0


@pytest.mark.sr("SR-15", "acts")
def test_brake_before_the_stroke_is_no_brake_in_it():
    bench = Bench()
    bench.step(300, 7000)
    bench.step(1, brake=(1, 1500))
    assert stroke(bench, 7000, 7000, UP, settle=1).too_cheap == 1


@pytest.mark.sr("SR-15", "spares")
@pytest.mark.parametrize("ticks, judged", [(STROKE + SECOND, 0), (STROKE + SECOND + 1, 1)])
def test_end_is_settled_a_second_after_the_stroke(ticks, judged):
    bench = Bench()
    stroke(bench, 7000, 6650, UP)
    bench.step(1, command=DOWN)
    bench.step(ticks, 6300)
    bench.step(1, command=UP)
    bench.step(STROKE + SECOND, 6300)
    assert bench.strokes.too_cheap == judged
    assert len(bench.probes[0].judged) == 1 + judged


def cost_of(mbar, **changes):
    lim = Bench(**changes).limits
    return isothermal_drop_mbar(mbar, lim.retract_ratio, lim.retract_dead)


@pytest.mark.sr("SR-15", "spares")
@pytest.mark.parametrize(
    "swept_ul, cost_mbar, noise_mbar, judged",
    [(2325, 24, 0, 0), (2400, 25, 0, 1), (2400, 25, 3, 1), (2925, 31, 4, 0), (3075, 32, 4, 1)],
)
def test_cost_too_small_for_the_noise_is_not_judged(swept_ul, cost_mbar, noise_mbar, judged):
    """25 mbar and eight times the stated noise are the least that is judged."""
    changes = {"retract_swept_ul": swept_ul, "retract_dead_ul": 0, "sensor_noise_mbar": noise_mbar}
    assert cost_of(7000, **changes) == cost_mbar
    assert stroke(Bench(**changes), 7000, 7000, UP).too_cheap == judged


@pytest.mark.sr("SR-15", "spares")
def test_of_two_sensors_one_that_saw_the_cost_is_enough_and_one_that_knows_nothing_is_no_word():
    for readings, cheap in (
        ((7000, 6600), 0),
        ((6600, 7000), 0),
        ((7000, None), 1),
        ((None, 7000), 1),
        ((7000, 7000), 1),
    ):
        bench = Bench(2)
        bench.step(300, 7000)
        bench.step(1, command=UP)
        assert bench.step(STROKE + SECOND, *readings).too_cheap == cheap


@pytest.mark.sr("SR-05", "acts")
@pytest.mark.parametrize("start", [(7000, 3000), (3000, 7000)])
def test_spans_are_judged_once_a_stroke_by_the_larger_cost(start):
    bench = Bench(2)
    bench.step(300, *start)
    assert [probe.watched for probe in bench.probes] == [0, 0]
    bench.step(1, command=UP)
    assert [probe.watched for probe in bench.probes] == [1, 1]
    bench.step(STROKE - 1)
    assert bench.probes[0].judged == []
    bench.step(400)
    assert [probe.judged for probe in bench.probes] == [[cost_of(7000)]] * 2


@pytest.mark.sr("SR-05", "spares")
def test_spans_with_no_known_start_or_no_settled_end():
    bench = Bench(2)
    bench.step(300, None, None)
    bench.step(1, command=UP)
    bench.step(STROKE)
    assert [probe.judged for probe in bench.probes] == [[0]] * 2
    bench.step(1, 7000, 7000, command=DOWN)
    bench.step(400)
    assert [probe.judged for probe in bench.probes] == [[0]] * 2
