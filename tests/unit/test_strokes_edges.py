"""Strokes, bursts and lost strokes at their edges: sensors straight to Strokes."""

import pytest

from controller.codes import DOWN, UP
from controller.limits import adiabatic_drop_mbar

from .strokes_bench import BRAKE_SETTLE, SECOND, STROKE, WINDOW, Bench


def test_stroke_is_in_progress_from_the_change_until_the_slowest_one_is_over():
    bench = Bench()
    assert bench.step(50).in_progress == 0
    strokes = bench.step(1, command=UP)
    assert (strokes.in_progress, strokes.since_change, strokes.last) == (1, 0, UP)
    assert bench.step(STROKE - 1).in_progress == 1
    assert bench.step(1).in_progress == 0
    assert bench.step(500).since_change == STROKE + SECOND + 1
    assert bench.step(1, command=DOWN).in_progress == 1
    bench.step(STROKE - 1)
    assert bench.step(1, command=UP).since_change == 0
    assert bench.step(STROKE - 1).in_progress == 1
    assert bench.step(1).in_progress == 0


@pytest.mark.sr("SR-04", "spares")
@pytest.mark.parametrize("moved_us, settles", [(30, 0), (31, 1), (-30, 0), (-31, 1)])
def test_brake_that_moves_by_more_than_jitter_starts_its_time(moved_us, settles):
    bench = Bench()
    bench.step(1, brake=(1, 1500))
    strokes = bench.step(BRAKE_SETTLE)
    assert strokes.brake_age == BRAKE_SETTLE
    strokes = bench.step(1, brake=(1, 1500 + moved_us))
    assert strokes.brake_age == (0 if settles else BRAKE_SETTLE)
    assert bench.step(BRAKE_SETTLE - 1).brake_age == (BRAKE_SETTLE - 1 if settles else BRAKE_SETTLE)
    assert bench.step(99).brake_age == BRAKE_SETTLE


@pytest.mark.sr("SR-04", "acts")
def test_slow_drift_of_the_brake_is_measured_from_where_it_last_counted():
    bench = Bench()
    bench.step(1, brake=(1, 1500))
    bench.step(BRAKE_SETTLE)
    for width_us in (1510, 1520, 1530):
        assert bench.step(1, brake=(1, width_us)).brake_age == BRAKE_SETTLE
    assert bench.step(1, brake=(1, 1531)).brake_age == 0
    bench.step(BRAKE_SETTLE)
    assert bench.step(1, brake=(1, 1561)).brake_age == BRAKE_SETTLE
    assert bench.step(1, brake=(0, 2000)).brake_age == BRAKE_SETTLE


# SR-04 (a). Settings: floor 100 mbar/s, window 0.5 s, lock minimum 3900, extension and lead 3.5 s.


@pytest.mark.sr("SR-04", "acts")
def test_burst_comes_on_the_third_sample_beyond_the_rate_that_leaves_too_little():
    """A fall of 16 mbar a tick is 800 mbar/s: 2.8 bar in 3.5 s, too much below 6700 mbar."""
    bench = Bench().settled_up(6690)
    seen = bench.fall(16, 60)
    first = next(tick for tick, (burst, _) in enumerate(seen) if burst)
    rates = []
    bench = Bench().settled_up(6690)
    for tick in range(1, 61):
        bench.step(1, 6690 - 16 * tick)
        slope = bench.strokes._slopes[0]
        rate = slope.window_fall_mbar() * 1000 // 500
        rates.append(rate >= 100 and bench.pressure.mbar - rate * 3500 // 1000 < 3900)
    # Independent of the counter: the third tick of an unbroken row of yes.
    assert first == next(t for t in range(2, 60) if rates[t - 2] and rates[t - 1] and rates[t])
    assert all(burst for burst, _ in seen[first:])


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("fall_mbar, burst", [(49, 0), (50, 1)])
def test_fall_below_the_floor_is_no_burst_and_one_at_it_is(fall_mbar, burst):
    """Over the window of 0.5 s a fall of 50 mbar is 100 mbar/s; 350 mbar in 3.5 s from just above the lock minimum."""
    bench = Bench().settled_up(4000)
    slope = bench.strokes._slopes[0]
    bench.probes[0].mbar = bench.pressure.mbar = 4000 - fall_mbar
    for _ in range(9):
        slope.smooth = (4000 - fall_mbar) * 16
        slope.window._ring = [4000 * 16] * WINDOW
        slope.window._filled = WINDOW
        bench.strokes.step(UP, bench.pressure, 0, 0)
    assert bench.strokes.burst_now == burst
    assert bench.strokes.burst_rate == 100 * burst
    assert type(bench.strokes.burst_rate) is int


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("extend_ms, mbar, burst", [(2500, 4250, 0), (2500, 4249, 1), (2509, 4250, 0)])
def test_burst_needs_that_one_extension_would_soon_be_out_of_reach(extend_ms, mbar, burst):
    bench = Bench(extend_ms=extend_ms).settled_up(mbar + 50)
    slope = bench.strokes._slopes[0]
    bench.probes[0].mbar = bench.pressure.mbar = mbar
    for _ in range(9):
        slope.smooth = mbar * 16
        slope.window._ring = [(mbar + 50) * 16] * WINDOW
        slope.window._filled = WINDOW
        bench.strokes.step(UP, bench.pressure, 0, 0)
    assert bench.strokes.burst_now == burst


@pytest.mark.sr("SR-34", "acts")
@pytest.mark.parametrize("rate, kept", [(19998, 19998), (20000, 20000), (20002, 20000), (30000, 20000)])
def test_rate_is_bounded(rate, kept):
    bench = Bench().settled_up(15000)
    slope = bench.strokes._slopes[0]
    slope.window._ring = [(15000 + rate // 2) * 16] * WINDOW
    bench.strokes.step(UP, bench.pressure, 0, 0)
    assert bench.strokes.burst_rate == kept


def torn(bench, ticks=60):
    """A burst from 6690 mbar; whether it was seen."""
    return any(burst for burst, _ in bench.fall(16, ticks, 6690))


@pytest.mark.sr("SR-04", "spares")
def test_burst_is_judged_outside_strokes_with_up_and_quiet_brakes_only():
    assert torn(Bench().settled_up(6690))
    bench = Bench()
    bench.step(300, 6690)
    assert not torn(bench)
    bench = Bench()
    bench.step(300, 6690)
    bench.step(1, command=UP)
    assert not torn(bench, STROKE - 5)
    bench = Bench().settled_up(6690)
    bench.step(1, brake=(1, 1500))
    assert not torn(bench, BRAKE_SETTLE - 1)
    bench = Bench().settled_up(6690)
    bench.step(1, brake=(1, 1500))
    assert torn(bench, BRAKE_SETTLE + 4)


@pytest.mark.sr("SR-04", "acts")
def test_window_starts_when_the_stroke_is_over():
    bench = Bench()
    bench.step(300, 6690)
    bench.step(1, command=UP)
    bench.step(STROKE - 1)
    slope = bench.strokes._slopes[0]
    for tick in range(WINDOW):
        bench.step(1)
        assert slope.window.full == 0, tick
    bench.step(1)
    assert slope.window.full == 1


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("falls", [0, 1])
def test_fall_that_one_of_two_sees_is_no_burst(falls):
    bench = Bench(2).settled_up(6690)
    for tick in range(1, 61):
        readings = [6690, 6690]
        readings[falls] -= 16 * tick
        assert bench.step(1, *readings).burst_now == 0


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("silent", [0, 1])
@pytest.mark.parametrize("how", ["failed", "no sample"])
def test_sensor_without_a_say_hides_no_burst_from_the_other(silent, how):
    bench = Bench(2).settled_up(6690)
    bench.probes[silent].failed = int(how == "failed")
    seen = []
    for tick in range(1, 61):
        readings = [6690 - 16 * tick] * 2
        readings[silent] = 6690 if how == "failed" else None
        seen.append(bench.step(1, *readings).burst_now)
    assert 1 in seen


@pytest.mark.sr("SR-17", "acts")
def test_tick_without_any_reading_neither_counts_nor_clears_a_burst():
    bench = Bench().settled_up(6690)
    seen = [burst for burst, _ in bench.fall(16, 60, 6690)]
    third = seen.index(1)
    bench = Bench().settled_up(6690)
    bench.fall(16, third, 6690)
    assert bench.step(3, None).burst_now == 0
    assert bench.fall(16, 1, 6690 - 16 * third)[0][0] == 1


# SR-04 (b)


def allowed_mbar(start_mbar, limits, brake_mbar=70):
    drop = adiabatic_drop_mbar(start_mbar, limits.retract_ratio, limits.retract_dead)
    return drop * 130 // 100 + 50 + brake_mbar


@pytest.mark.sr("SR-04", "acts")
@pytest.mark.parametrize("beyond_mbar, lost", [(0, 0), (1, 1)])
def test_stroke_that_costs_more_than_allowed_on_the_third_sample(beyond_mbar, lost):
    bench = Bench()
    bench.step(300, 7000)
    bench.step(1, command=UP)
    mbar = 7000 - allowed_mbar(7000, bench.limits) - beyond_mbar
    assert [bench.step(1, mbar).loss_now for _ in range(4)] == [0, 0, lost, lost]
    assert bench.strokes.fall_mbar == 7000 - mbar
    assert bench.step(1, mbar + 1).loss_now == 0


@pytest.mark.sr("SR-04", "spares")
@pytest.mark.parametrize("case", ["down", "over", "start unknown"])
def test_loss_is_judged_in_the_up_stroke_from_a_known_start_only(case):
    bench = Bench()
    bench.step(300, 7000)
    if case == "start unknown":
        bench.step(9, None)
    bench.step(1, command=DOWN if case == "down" else UP)
    if case == "over":
        bench.step(STROKE)
    assert bench.step(9, 5000).loss_now == 0


@pytest.mark.sr("SR-05", "spares")
@pytest.mark.parametrize("falls", [0, 1])
def test_loss_that_one_of_two_sees_is_none_and_one_without_a_say_hides_none(falls):
    bench = Bench(2)
    bench.step(300, 7000)
    bench.step(1, command=UP)
    readings = [7000, 7000]
    readings[falls] = 5000
    assert bench.step(9, *readings).loss_now == 0
    readings[1 - falls] = None
    assert bench.step(9, *readings).loss_now == 1
    readings[1 - falls] = 7000
    bench.probes[1 - falls].failed = 1
    assert bench.step(9, *readings).loss_now == 1


@pytest.mark.sr("SR-17", "acts")
def test_tick_without_any_reading_neither_counts_nor_clears_a_loss():
    bench = Bench()
    bench.step(300, 7000)
    bench.step(1, command=UP)
    assert [bench.step(1, mbar).loss_now for mbar in (5000, 5000, None, None, 5000)] == [0, 0, 0, 0, 1]


def test_counts_of_both_start_anew_with_every_stroke():
    bench = Bench()
    bench.step(300, 7000)
    bench.step(1, command=UP)
    bench.step(2, 5000)
    bench.step(1, 7000, command=DOWN)
    bench.step(300)
    assert bench.step(1, 7000, command=UP).loss_now == 0
    assert [bench.step(1, 5000).loss_now for _ in range(3)] == [0, 0, 1]
    for counter in (bench.strokes._burst, bench.strokes._loss):
        counter.count = 2
    bench.step(1, None, command=DOWN)
    assert (bench.strokes._burst.count, bench.strokes._loss.count) == (0, 0)
