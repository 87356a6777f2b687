"""Intervals against their definition and a textbook, sums against the days, and what must rise or fall along the curve."""

from dataclasses import replace
from fractions import Fraction
from math import comb

import pytest
from scipy.stats import beta

from host_sim.budget import chances
from host_sim.budget.chances import Share, fly_days, share, summed_up
from host_sim.budget.days import advised_bars
from host_sim.budget.one_day import fly_day
from host_sim.errors import InputError

from .flown_days import CURLEW, SEED, TERN, advised, curve_of, thorough_days

# Intervals.


@pytest.mark.parametrize("events, of", [(0, 1), (0, 60), (1, 60), (7, 60), (30, 60), (59, 60), (60, 60), (3, 100_000)])
def test_interval_is_that_of_the_beta_distribution(events, of):
    found = share(events, of)
    assert found.low == pytest.approx(beta.ppf(0.025, events, of - events + 1) if events else 0.0, rel=1e-9)
    assert found.high == pytest.approx(beta.ppf(0.975, events + 1, of - events) if events < of else 1.0, rel=1e-9)
    assert found.triple == (events / of, found.low, found.high)


def test_interval_with_no_event_is_the_textbook_one():
    # 1 - (alpha/2)^(1/n); 0 of 10 gives 0.3085 in tables of the exact interval (from memory).
    assert share(0, 10).high == pytest.approx(0.3085, abs=5e-5)
    for of in (1, 10, 200, 5000):
        assert share(0, of).high == pytest.approx(1.0 - 0.025 ** (1.0 / of), rel=1e-9)
    assert share(0, 1000).high == pytest.approx(3.69 / 1000, rel=0.01)


def test_interval_leaves_out_the_truth_in_one_of_twenty_at_most():
    n = 25
    intervals = [share(k, n) for k in range(n + 1)]
    for truth in (Fraction(1, 50), Fraction(1, 10), Fraction(1, 3), Fraction(1, 2), Fraction(9, 10)):
        kept = sum(
            comb(n, k) * truth**k * (1 - truth) ** (n - k)
            for k, interval in enumerate(intervals)
            if interval.low <= truth <= interval.high
        )
        assert kept >= Fraction(95, 100)


def test_interval_of_nothing_is_everything():
    assert share(0, 0) == Share(0, 0, 0.0, 1.0)
    assert share(0, 0).chance == 0.0


# Sums.


def chances_of(name, n):
    days = thorough_days(name, n)
    return days, summed_up(days, curve_of(name), SEED, advised_bars(advised(name)[1]))


def falls_and_rises(made):
    failed = [point.failed.events for point in made.curve]
    nuisance = [point.nuisance.events for point in made.curve]
    assert failed == sorted(failed, reverse=True) and nuisance == sorted(nuisance)
    return failed, nuisance


@pytest.mark.deep
def test_failures_fall_with_the_forcing_point_and_nuisance_rises():
    _, made = chances_of(CURLEW, 2)
    failed, nuisance = falls_and_rises(made)
    assert failed[0] > failed[-1] and nuisance[0] < nuisance[-1]


@pytest.mark.deep
@pytest.mark.parametrize("name", [CURLEW, TERN])
def test_failures_fall_with_the_forcing_point_and_nuisance_rises_on_many_days(name):
    days, made = chances_of(name, 25)
    failed, nuisance = falls_and_rises(made)
    assert failed[0] > 5 and failed[-1] == 0 and nuisance[0] == 0 and nuisance[-1] > 0
    # Day by day, too.
    for day in days:
        assert list(day.locked) == sorted(day.locked) and list(day.nuisance) == sorted(day.nuisance)


def test_sums_are_those_of_the_days():
    days, made = chances_of(CURLEW, 2)
    assert (made.n, made.seed, made.flights) == (2, SEED, 2 * 2 * len(curve_of(CURLEW)))
    for n, point in enumerate(made.curve):
        assert point.nuisance.events == sum(day.nuisance[n] for day in days) and point.nuisance.of == 2
        assert point.failed.events == sum(day.forced[n] and not day.locked[n] for day in days)
        assert point.failed.of == sum(day.forced[n] for day in days)
    advised_point = next(point for point in made.curve if point.is_advised)
    assert (made.nuisance, made.failed) == (advised_point.nuisance, advised_point.failed)
    assert made.forced_by == {"low air": 2} and made.causes == {} and made.refused == 0


def with_events():
    """Days of which one is a nuisance, one does not lock, one is refused and one never comes to a forced extension."""
    day = thorough_days(CURLEW, 1)[0]
    n = next(n for n, point in enumerate(curve_of(CURLEW)) if point.is_advised)

    def at(flags, value):
        return (*flags[:n], value, *flags[n + 1 :])

    return [
        replace(day, number=0, nuisance=at(day.nuisance, True), ordinary=replace(day.ordinary, cause="supply low")),
        replace(
            day, number=1, locked=at(day.locked, False), failing=replace(day.failing, locked=False, lock_s=None)
        ),
        replace(day, number=2, ordinary=replace(day.ordinary, retracted=False, lowest_bar=float("inf"))),
        replace(
            day, number=3, forced=at(day.forced, False), locked=at(day.locked, False),
            failing=replace(day.failing, cause="", locked=None, lock_s=None),
        ),
    ]  # fmt: skip


def test_every_kind_of_event_is_counted_once_and_named():
    made = summed_up(with_events(), curve_of(CURLEW), SEED, advised_bars(advised(CURLEW)[1]))
    assert (made.nuisance.events, made.nuisance.of) == (1, 4)
    assert (made.failed.events, made.failed.of) == (1, 3)
    assert made.refused == 1 and made.causes == {"supply low": 1} and made.forced_by == {"low air": 3}
    kinds = {(worst.kind, worst.number) for worst in made.worst}
    assert ("not locked", 1) in kinds and ("nuisance", 0) in kinds
    assert {number for kind, number in kinds if kind == "slowest lock"} == {0, 2}
    assert {number for kind, number in kinds if kind == "closest to forcing"} == {1, 3}
    assert made.shows[0].startswith("That the gear is forced down though nothing is wrong: 1 of 4, a chance of 25 %")
    assert "1 of 3" in made.shows[1] and "33 %" in made.shows[1]
    assert "measured on the bench" in made.shows[2]


def test_without_an_event_the_bound_is_said_and_what_it_cannot_show():
    _, made = chances_of(CURLEW, 2)
    high = 100.0 * (1.0 - 0.025**0.5)
    assert made.shows[1].endswith(f"none of 2, so a chance of at most {high:.2g} % for one forced extension (95 %).")
    assert len(made.shows) == 2
    assert "rule of three" in made.cannot_show[0] and "invented" in made.cannot_show[1]
    many = summed_up(1000 * thorough_days(CURLEW, 1), curve_of(CURLEW), SEED, advised_bars(advised(CURLEW)[1]))
    assert "below about 0.3 %" in many.cannot_show[0] and "at most 0.37 %" in many.shows[1]


def test_a_worst_day_can_be_flown_again():
    days, made = chances_of(CURLEW, 2)
    slowest = next(worst for worst in made.worst if worst.kind == "slowest lock")
    again = fly_day(*advised(CURLEW), SEED, slowest.number)
    assert again.failing.lock_s == slowest.value == max(day.failing.lock_s for day in days)


# What cannot be used.


@pytest.mark.parametrize("wrong, name", [({"n": 0}, "--flights"), ({"n": 2, "jobs": 0}, "--jobs")])
def test_numbers_out_of_range_are_refused(wrong, name):
    with pytest.raises(InputError, match=f"^{name}: 0 is out of range; allowed: 1 to "):
        fly_days(*advised(CURLEW), **wrong)


def test_an_advice_with_problems_is_refused_before_anything_is_flown(monkeypatch):
    aircraft, advice = advised(CURLEW)
    monkeypatch.setattr(chances, "run", lambda *_: pytest.fail("flown"))
    with pytest.raises(InputError, match="curlew24.yaml: there is no advice to fly"):
        fly_days(aircraft, replace(advice, problems=["Too small a tank."]), 2)
