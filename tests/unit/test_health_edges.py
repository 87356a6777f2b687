"""Health and Restarts at their edges: times to the millisecond, each stage by itself."""

import random

import pytest

from controller.health import CLOCK_MASK, N_STAGES, Health, Restarts, check_word

TICK_MS = 20


class Clock:
    """A Health whose ticks come when told."""

    def __init__(self, tick_ms=TICK_MS, start_ms=0):
        self.health = Health(tick_ms)
        self.now_ms = start_ms
        self.health.begin(start_ms)

    def tick(self, *periods_ms):
        """One `begin` after each period; returns (late, late_latch) of the last."""
        for period_ms in periods_ms:
            self.now_ms = (self.now_ms + period_ms) & CLOCK_MASK
            self.health.begin(self.now_ms)
        return self.health.late, self.health.late_latch


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize(
    "period_ms, late, latch",
    [(19, 0, 0), (30, 0, 0), (31, 1, 0), (120, 1, 0), (121, 1, 1), (1001, 1, 1), (2**29, 1, 1)],
)
def test_late_from_half_a_tick_and_far_too_late_from_100_ms(period_ms, late, latch):
    clock = Clock()
    assert clock.tick(period_ms) == (late, latch)
    assert clock.health.late_ms == (period_ms - TICK_MS) * late
    assert clock.tick(TICK_MS) == (0, 0)


@pytest.mark.sr("SR-33", "acts")
def test_late_is_judged_across_the_wrap_of_the_clock():
    clock = Clock(start_ms=CLOCK_MASK - 10)
    assert clock.tick(TICK_MS) == (0, 0)
    clock = Clock(start_ms=CLOCK_MASK - 10)
    assert clock.tick(31) == (1, 0)


def test_first_tick_is_never_late():
    assert (Clock(start_ms=123456).health.late, Clock(start_ms=123456).health.late_latch) == (0, 0)


def latches_by_the_rule(periods_ms):
    """[late_latch] of every tick: more than 100 ms late, or the third late one within a second."""
    lates, found, now = [], [], 0
    for period_ms in periods_ms:
        now += period_ms
        late = period_ms - TICK_MS > TICK_MS // 2
        third = late and len(lates) > 1 and now - lates[-2] < 1000
        found.append(int(late and (period_ms - TICK_MS > 100 or third)))
        lates += [now] if late else []
    return found


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.sr("SR-31", "spares")
@pytest.mark.parametrize("seed", range(6))
def test_third_late_tick_within_a_second_follows_the_sentence(seed):
    draw = random.Random(seed)
    periods = [draw.choice((20, 20, 20, 20, 20, 20, 20, 31, 45, 60)) for _ in range(100)]
    periods += [20] * 45 + [40, 480, 20, 460, 1000, 20, 999, 31, 20] + [20] * 44 + [40] + [20] * 22 + [40]
    clock = Clock()
    assert [clock.tick(period_ms)[1] for period_ms in periods] == latches_by_the_rule(periods)


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("between_ms, latch", [(998, 1), (999, 1), (1000, 0), (1001, 0)])
def test_third_late_tick_within_a_second_to_the_millisecond(between_ms, latch):
    """Late ticks at 0, 40 and `between_ms`, all others on time."""
    clock = Clock()
    clock.tick(20, 40, 40)
    on_time, rest = divmod(between_ms - 40 - 40, 20)
    clock.tick(*[20] * (on_time - 2), 20 + rest // 2, 20 + rest - rest // 2)
    assert clock.tick(40) == (1, latch)


def run_of(mean_ms, tick_ms, extra_ms=0):
    clock = Clock(tick_ms)
    clock.tick(*[mean_ms] * 49, mean_ms + extra_ms)
    return clock


@pytest.mark.sr("SR-33", "acts")
@pytest.mark.parametrize("extra_ms, bad", [(0, 0), (1, 1)])
def test_clock_too_fast_from_more_than_a_fifth_over_50_ticks(extra_ms, bad):
    clock = run_of(24, 20, extra_ms)
    assert (clock.health.clock_bad, clock.health.period_sum_ms) == (bad, 1200 + extra_ms)


@pytest.mark.sr("SR-33", "acts")
@pytest.mark.parametrize("extra_ms, bad", [(0, 0), (-1, 1)])
def test_clock_too_slow_from_more_than_a_fifth_over_50_ticks(extra_ms, bad):
    clock = run_of(16, 20, extra_ms)
    assert (clock.health.clock_bad, clock.health.period_sum_ms) == (bad, 800 + extra_ms)


@pytest.mark.sr("SR-33", "spares")
def test_clock_is_judged_once_in_50_ticks_from_nothing():
    clock = run_of(20, 20)
    assert clock.health.period_sum_ms == 1000
    clock.tick(*[22] * 49)
    assert clock.health.period_sum_ms == 1000
    clock.tick(22)
    assert clock.health.period_sum_ms == 1100
    clock.tick(*[25] * 49)
    assert clock.health.clock_bad == 0
    clock.tick(25)
    assert clock.health.clock_bad == 1
    clock.tick(*[20] * 200)
    assert clock.health.clock_bad == 1


@pytest.mark.sr("SR-33", "spares")
def test_late_ticks_are_no_measure_of_the_clock():
    clock = Clock()
    for _ in range(60):
        clock.tick(20, 90)
    assert (clock.health.clock_bad, clock.health.period_sum_ms) == (0, 1000)


def stages(health, order=range(N_STAGES), sick=None, state=0, highest=1):
    for stage in order:
        health.mark(stage, *((state, highest) if stage == sick else (0, 0)))
    health.finish()
    return health.feed_leave


@pytest.mark.sr("SR-31", "acts")
def test_leave_to_feed_needs_every_stage_in_order_and_in_health():
    clock = Clock()
    assert stages(clock.health) == 1
    for sick in range(N_STAGES):
        for state, highest, leave in ((-1, 1, 0), (0, 1, 1), (1, 1, 1), (2, 1, 0), (1, 0, 0), (25, 25, 1), (26, 25, 0)):
            clock.tick(TICK_MS)
            assert stages(clock.health, sick=sick, state=state, highest=highest) == leave
        clock.tick(TICK_MS)
        assert stages(clock.health, [stage for stage in range(N_STAGES) if stage != sick]) == 0
    for order in ([1, 0, 2, 3, 4, 5, 6, 7], range(N_STAGES + 1), [0] * N_STAGES, []):
        clock.tick(TICK_MS)
        assert stages(clock.health, order) == 0
    clock.tick(TICK_MS)
    assert stages(clock.health) == 1
    clock.tick(31)
    assert stages(clock.health) == 0


@pytest.mark.sr("SR-32", "acts")
@pytest.mark.parametrize(
    "kept, count, locked_out", [(-2, 0, 0), (-1, 0, 0), (0, 1, 0), (1, 2, 0), (2, 3, 1), (3, 3, 1), (4, 0, 0)]
)
def test_restart_counts_up_to_the_lock_out(kept, count, locked_out):
    restarts = Restarts(kept, check_word(kept))
    assert (restarts.count, restarts.locked_out) == (count, locked_out)
    assert Restarts(kept, check_word(kept) + 1).count == 0


@pytest.mark.sr("SR-32", "acts")
def test_check_word_of_cleared_memory_does_not_fit():
    assert [check_word(count) for count in range(4)] == [0x2D5B, 0x2D5A, 0x2D59, 0x2D58]
    assert Restarts(0, 0).count == 0


@pytest.mark.sr("SR-32", "spares")
def test_minute_of_healthy_running_forgives_and_one_bad_tick_starts_it_again():
    restarts = Restarts(1, check_word(1))
    for _ in range(3000):
        restarts.step(1, TICK_MS)
    assert restarts.count == 2
    restarts.step(0, TICK_MS)
    for _ in range(3000):
        restarts.step(1, TICK_MS)
        assert restarts.count == 2
    restarts.step(1, TICK_MS)
    assert restarts.count == 0


@pytest.mark.sr("SR-32", "acts")
def test_bad_tick_leaves_nothing_of_the_minute():
    restarts = Restarts(1, check_word(1))
    restarts.step(0, TICK_MS)
    restarts.step(1, 59999)
    restarts.step(1, 59999)
    assert restarts.count == 2
    restarts.step(1, 59999)
    assert restarts.count == 0


@pytest.mark.sr("SR-32", "acts")
def test_lock_out_is_never_forgiven():
    restarts = Restarts(2, check_word(2))
    for _ in range(70):
        restarts.step(1, 1000)
    assert (restarts.count, restarts.locked_out) == (3, 1)
