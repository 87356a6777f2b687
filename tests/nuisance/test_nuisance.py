"""The nuisance flights: a few at once, all of them deep; and that each way of failing is seen."""

import dataclasses

import pytest

from .airframes import Installation
from .bound import per_flight, per_hour, rule_of_three
from .campaign import FULL, Summary, fly_plan, run
from .corners import CORNERS, needed
from .distribution import draw
from .flight import scenario_text
from .judge import MERGED, RADIO, radio_is_healthy
from .plan import STRATA, outage_limit_s
from .report import ROWS, requirements

GEAR_UP_S = 9.0
MISSED_AT_15_MS = 30  # a seed in which it happens within two seconds


def calm(seed=0, **changes):
    """A flight of an installation drawn from a seed, with nothing in it but one retraction, and changes."""
    plan = draw(seed)
    bare = type(plan)(
        plan.seed, plan.stratum, plan.installation, fill_bar=7.0, moves=[(GEAR_UP_S, True), (16.0, False)]
    )
    return dataclasses.replace(bare, duration_s=20.0, **changes)


def silent_seed():
    """A seed whose receiver falls silent, with one sensor."""
    drawn = ((seed, draw(seed).installation) for seed in range(200))
    return next(seed for seed, made in drawn if made.receiver == "silent" and made.n_sensors == 1)


def test_same_seed_same_flight():
    assert scenario_text(draw(17)) == scenario_text(draw(17)) != scenario_text(draw(17 + len(STRATA)))


def test_every_draw_is_within_what_the_gear_must_bear():
    for seed in range(3 * len(STRATA)):
        is_within(draw(seed))


def is_within(plan):
    """What the table of distribution.py promises of one plan."""
    assert radio_is_healthy(plan)
    s = plan.aircraft.settings
    assert all(until_s - from_s < s.supply_confirm_ms / 1000.0 for from_s, until_s, _ in plan.dips)
    assert all(until_s - from_s < s.sensor_confirm_ms / 1000.0 for from_s, until_s, _ in plan.gaps)
    assert all(run < s.switch_frames for *_, run in plan.glitches)
    for errors_bar in plan.installation.errors_bar:
        assert max(map(abs, errors_bar)) + s.sensor_noise_mbar / 1000.0 < s.sensor_error_mbar / 1000.0


def test_a_dropout_at_the_limit_spares_and_one_over_it_forces_and_is_counted():
    plan = calm(silent_seed())
    limit_s = outage_limit_s(plan)
    spared = fly_plan(dataclasses.replace(plan, outages=[(12.0, 12.0 + limit_s)]))
    assert (spared.verdict.events, spared.verdict.counts) == ([], True)
    assert spared.longest_silence_s >= 0.92
    forced = fly_plan(dataclasses.replace(plan, outages=[(12.0, 12.1 + limit_s)]))
    assert [event[1:] for event in forced.verdict.excused] == [("forced", "link lost")]
    assert forced.verdict.left_why == RADIO
    summary = Summary(0)
    summary.add(forced)
    assert summary.excused == {"forced: link lost": 1}
    assert summary.left == {RADIO: 1}


LOW = ((-0.9, -0.9),)


@pytest.mark.parametrize(
    "changes, event",
    [
        ({"installation": Installation("curlew24.yaml", "silent", LOW), "fill_bar": 6.0}, "refused"),
        ({"dips": [(12.0, 12.7, 4.0)]}, "forced"),
        ({"gaps": [(10.0, 13.9, 0)]}, "forced"),
        ({"clock_percent": 130.0}, "forced"),
        ({"glitches": [(12.0, 13.0, "gear", 100.0, 50)]}, ""),
    ],
)
def test_what_goes_beyond_its_bound_is_seen(changes, event):
    """Positive controls: a reading below the stated error, a long dip, a long sensor gap, a wrong clock, a long row of
    interference. The last one leaves the healthy range, and is no event."""
    flown = fly_plan(calm(silent_seed(), **changes))
    assert [kind for _, kind, _ in flown.verdict.events][:1] == ([event] if event else [])
    assert flown.verdict.left_why == ("" if event else MERGED)
    summary = Summary(0)
    summary.add(flown)
    assert not summary.holds
    assert all(row["holds"] for row in requirements(summary).values()) is False


@pytest.mark.sr("SR-09", "spares")
@pytest.mark.parametrize("frame_ms, moved", [(22, 0), (15, 1)])
def test_interference_with_a_clean_frame_between_moves_nothing(frame_ms, moved, monkeypatch):
    """Rows of two spoilt frames, a clean one between them, with the switch at DOWN: nothing may move.

    With frames of 15 ms a tick of 20 ms misses clean ones: `downlock check` refuses such an aircraft.
    """
    section = Installation.options
    frame = f"receiver: {{frame: {frame_ms} ms, "
    monkeypatch.setattr(Installation, "options", lambda self: section(self).replace("receiver: {", frame))
    plan = calm(MISSED_AT_15_MS, installation=Installation("tern30.yaml", "silent", ((0.0, 0.0),)), moves=[])
    verdict = fly_plan(dataclasses.replace(plan, duration_s=10.0, glitches=[(8.0, 10.0, "gear", 20.0, 2)])).verdict
    assert (verdict.excused + verdict.events != []) == moved


def test_the_bound_is_near_the_rule_of_three():
    assert per_flight(0, 1000) == pytest.approx(1.0 - 0.05**0.001)
    assert per_flight(0, 1000) == pytest.approx(rule_of_three(1000), rel=0.01)
    assert per_flight(1, 1000) > per_flight(0, 1000)
    assert per_hour(0, 1.0) == pytest.approx(2.9957, rel=1e-4)


def test_every_corner_speaks_for_a_requirement():
    spoken = {corner for _, _, corners in ROWS.values() for corner in corners}
    assert spoken == set(CORNERS)
    assert all(count >= 30 for count in needed(FULL).values())


def test_too_few_of_a_corner_is_a_failure():
    summary = run(range(0, 1), 1)
    assert not summary.events
    assert summary.missed
    assert not summary.holds


@pytest.mark.deep
@pytest.mark.sr("SR-02", "spares")
@pytest.mark.sr("SR-03", "spares")
@pytest.mark.sr("SR-04", "spares")
@pytest.mark.sr("SR-05", "spares")
@pytest.mark.sr("SR-06", "spares")
@pytest.mark.sr("SR-09", "spares")
@pytest.mark.sr("SR-11", "spares")
@pytest.mark.sr("SR-13", "spares")
@pytest.mark.sr("SR-17", "spares")
@pytest.mark.sr("SR-31", "spares")
@pytest.mark.sr("SR-33", "spares")
def test_no_nuisance_forces_or_refuses():
    summary = run(range(FULL), 2)
    assert summary.events == []
    assert summary.missed == []
    assert summary.holds
