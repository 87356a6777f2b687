"""Failures in flight: a few in the quick suite, all in the deep one; and the judge sees a controller that is broken."""

import json

import pytest

from controller import codes, facts
from controller.health import Restarts

from . import __main__ as command
from .campaign import ONCE, SHORT, fly_singles, fly_variant
from .case import Case
from .danger_table import load_dangers
from .dangers import fly_dangers, is_dangerous
from .pair_judge import PairJudge
from .pairs import PairCase, fly_pair, fly_pairs
from .resets import Kept, Resetter, fly_resets
from .singles import base_words, judge_case
from .variants import VARIANTS

BY_LABEL = {variant.label: variant for variant in VARIANTS}
# label, aircraft, phase, onset ms, outcome
FLOWN = (
    ("transmitter off", "curlew", "retraction", 8500, "forced in time"),
    ("transmitter off", "tern", "extension", 18460, "alerted"),
    ("sensor open, sensor a", "curlew", "up and cruising", 10120, "forced in time"),
    ("sensor open, sensor a", "tern", "retraction", 8500, "alerted"),
    ("burst line, 1 mm", "curlew", "retraction", 8500, "forced in time"),
    ("slow leak, 0.6 mm", "curlew", "take-off roll and lift-off", 3000, "refused"),
    ("supply sag, 4.2 V", "tern", "retraction", 8500, "forced in time"),
    ("reset, once", "curlew", "retraction", 8500, "forced in time"),
    ("reset, three in 5 s", "curlew", "retraction", 8500, "forced in time"),
    ("held pulses", "curlew", "retraction", 8500, "admitted limit: a receiver that holds its last pulses"),
    ("valve stuck", "curlew", "retraction", 8500, "admitted limit: a valve that is stuck or has lost its wire"),
    ("glitches, gear, 2 in a row", "curlew", "extension", 16900, "no effect"),
    ("late ticks, one of 150 ms", "curlew", "retraction", 8500, "forced in time"),
    ("clock rate, 130 %", "tern", "retraction", 8500, "forced in time"),
    ("settings differ", "curlew", "power-on, waking", 0, "refused"),
)


def case_of(label, aircraft, phase, onset_ms):
    return Case(BY_LABEL[label], aircraft, phase, onset_ms)


@pytest.mark.sr("SR-03", "acts")
@pytest.mark.sr("SR-05", "acts")
@pytest.mark.sr("SR-06", "acts")
@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize(("label", "aircraft", "phase", "onset_ms", "outcome"), FLOWN)
def test_a_failure_ends_as_it_should(label, aircraft, phase, onset_ms, outcome):
    verdict = judge_case(case_of(label, aircraft, phase, onset_ms))
    assert verdict.wrong == []
    assert verdict.outcome == outcome


@pytest.mark.parametrize("aircraft", ["curlew", "tern"])
def test_the_base_flight_is_uneventful(aircraft):
    assert base_words(aircraft, "circuit") == set()


def _without_link_cause(self, link):
    LINK(self, link)
    self.facts.present[codes.CAUSE_LINK] = 0


LINK = facts.Judge._link
AIR = facts.Judge._air_facts


def _without_low_air(self, *rest):
    AIR(self, *rest)
    self.facts.present[codes.CAUSE_LOW_AIR] = 0
    self.facts.present[codes.CAUSE_BURST] = 0
    self.facts.present[codes.CAUSE_STROKE_LOSS] = 0


def _without_pressure_cause(self, *rest):
    AIR(self, *rest)
    self.facts.present[codes.CAUSE_PRESSURE] = 0
    self.facts.pressure_known = self.facts.air_ok = 1


BREAKS = (
    ("_link", _without_link_cause, "transmitter off", "retraction", 8500, "SR-11"),
    ("_air_facts", _without_low_air, "burst line, 0.5 mm", "retraction", 8500, "SR-03"),
    ("_air_facts", _without_pressure_cause, "sensor open, sensor a", "retraction", 8500, "SR-05"),
)


def _without_low_air_only(self, *rest):
    AIR(self, *rest)
    self.facts.present[codes.CAUSE_LOW_AIR] = 0


@pytest.mark.deep
def test_a_controller_without_the_low_air_cause_is_seen(monkeypatch):
    monkeypatch.setattr(facts.Judge, "_air_facts", _without_low_air_only)
    verdict = judge_case(case_of("slow leak, 0.2 mm", "curlew", "long cruise", 110000))
    assert verdict.wrong == ["SR-09: forced by second path"]


@pytest.mark.parametrize(("method", "broken", "label", "phase", "onset_ms", "requirement"), BREAKS)
def test_a_broken_controller_is_seen(monkeypatch, method, broken, label, phase, onset_ms, requirement):
    monkeypatch.setattr(facts.Judge, method, broken)
    verdict = judge_case(case_of(label, "curlew", phase, onset_ms))
    assert verdict.outcome == "wrong", requirement


@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-32", "acts")
def test_resets_and_one_that_forgets_its_count(scenario_path, monkeypatch):
    resetter = Resetter(Kept(scenario_path("switch_up_at_power_on")))
    ticks = range(0, len(resetter.kept.rows) - 200, 97)
    assert [found.wrong for found in (resetter.after(tick, 0) for tick in ticks)] == [""] * len(ticks)
    assert resetter.after(100, 2).locked_out
    monkeypatch.setattr(Restarts, "_is_kept", lambda self, count, check: 0)
    assert "SR-32" in Resetter(resetter.kept).after(100, 2).wrong


@pytest.fixture
def scenario_path():
    from host_sim.scenario import SCENARIO_DIR, load_scenario

    return lambda name: load_scenario(SCENARIO_DIR / f"{name}.yaml")


def test_two_failures_and_what_one_hides():
    pair = PairCase(BY_LABEL["transmitter off"], BY_LABEL["slow leak, 0.3 mm"], "curlew", "up and cruising", 11000, 300)
    verdict = PairJudge(fly_pair(pair)).verdict()
    assert (verdict.outcome, verdict.wrong) == ("forced in time", [])


def test_dangers_are_flown_with_a_plain_link():
    table = load_dangers()
    for label, phase, onset_ms, danger in (
        ("transmitter off", "retraction", 8500, True),
        ("sensor open, sensor a", "retraction", 8500, False),
    ):
        assert is_dangerous(case_of(label, "curlew", phase, onset_ms)) is danger
        assert table["curlew"][label][phase] is danger


def test_the_command_tells_one_case_again(capsys):
    flag = case_of("transmitter off", "curlew", "retraction", 8500).flag
    assert command.main(["--case", flag]) == 0
    assert "forced in time" in capsys.readouterr().out
    assert command.main(["--case", "curlew/no such/retraction/8500"]) == 2


def test_the_record(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(command, "FILE", tmp_path / "in_flight.json")
    part = fly_variant(VARIANTS.index(BY_LABEL["valve wire off"]), SHORT)
    assert command.report({"singles": part}, SHORT, 0.0) == 0
    data = json.loads((tmp_path / "in_flight.json").read_text())
    assert data["holds"]
    assert data["totals"]["flights"] == part.flights == sum(cell["flights"] for cell in data["cells"])
    for cell in data["cells"]:
        assert sum(cell["outcomes"].values()) == cell["flights"]
    part.wrong.append(("--case x", "SR-01: y"))
    assert command.report({"singles": part}, SHORT, 0.0) == 1
    assert "python -m tests.in_flight --case x" in capsys.readouterr().out


@pytest.mark.deep
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-09", "spares")
def test_every_variant_in_every_phase_once():
    """At every tick where it matters: `python -m tests.in_flight`."""
    assert fly_singles(ONCE).wrong == []


@pytest.mark.deep
def test_some_pairs():
    assert fly_pairs(ONCE).wrong == []


@pytest.mark.deep
@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-32", "acts")
def test_resets_in_some_scenarios():
    assert fly_resets(ONCE).wrong == []


@pytest.mark.deep
def test_kept_dangers_are_those_that_are_flown():
    assert fly_dangers() == load_dangers()
