"""Every check of the command goes red when what it guards is broken, and only then."""

import copy
import dataclasses

import pytest
import yaml

from . import check, evidence, modes, tree
from .analysis import analyse

BREAKABLE = ("not_locked", "moves_up")


def with_cells(cells, failure, **changed):
    """Failure modes of the invented campaign with every cell of one failure changed."""
    return modes.modes_of([one | changed if one["failure"] == failure else one for one in cells], {})


def changed_trees(change, folder):
    """Trees of a changed copy of the file."""
    data = yaml.safe_load(tree.FILE.read_text())
    change(data)
    path = folder / "trees.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False))
    return tree.load(path)


def find(node, text):
    """The gate with that text."""
    if isinstance(node, dict):
        if node.get("text") == text:
            return node
        return next((hit for value in node.values() if (hit := find(value, text))), None)
    return next((hit for value in node if (hit := find(value, text))), None) if isinstance(node, list) else None


def test_every_failure_has_a_row(flown):
    assert check.every_failure_has_a_row(flown) == []
    less = [mode for mode in flown if mode.failure != "stutter"]
    assert check.every_failure_has_a_row(less) == ["stutter: in the catalogue and in no row"]
    more = [*flown, dataclasses.replace(flown[0], failure="gremlin")]
    assert check.every_failure_has_a_row(more) == ["gremlin: a row of no known failure"]


def test_every_failure_is_described(failures):
    assert check.failures_are_described(failures) == []
    less = {name: row for name, row in failures.items() if name != "stutter"}
    assert check.failures_are_described(less) == ["stutter: not in failures.yaml"]
    more = failures | {"gremlin": {"meets": [], "do": ""}}
    assert check.failures_are_described(more) == ["gremlin: in failures.yaml and not in the catalogue"]
    odd = failures | {"stutter": {"meets": ["SR-06"], "doo": "words"}}
    assert check.failures_are_described(odd) == ["stutter: a row of failures.yaml with meets, doo"]


@pytest.mark.parametrize(
    "changed, line",
    [
        ({"outcomes": {"wrong": 2, "no effect": 8}}, "reset (curlew): 2 of 10 flights broke a requirement"),
        ({"flights": 0}, "reset (curlew): not flown"),
        ({"worst_reaction_ms": 341, "allowed_ms": 340}, "reset (curlew): 341 ms, allowed 340 ms"),
    ],
)
def test_what_is_wrong_in_a_flight(cells, changed, line):
    assert check.nothing_is_wrong(with_cells(cells, "reset", worst_reaction_ms=340, allowed_ms=340)) == []
    assert check.nothing_is_wrong(with_cells(cells, "reset", **changed)) == [
        line,
        line.replace("curlew", "tern"),
    ]


def test_undetected_and_dangerous_needs_advice(cells, failures):
    flown = with_cells(cells, "stutter", dangerous=True, effect="gear not locked when it should be")
    assert check.undetected_is_answered(flown, failures) == []
    silent = failures | {"stutter": {"meets": ["SR-06"]}}
    assert check.undetected_is_answered(flown, silent) == [
        f"stutter ({aircraft}): dangerous, not detected, and nothing says what to do about it"
        for aircraft in ("curlew", "tern")
    ]
    assert check.undetected_is_answered(with_cells(cells, "stutter", dangerous=True, detected=True), silent) == []


@pytest.mark.parametrize("name", [limit.name for limit in evidence.load_limits()[0]])
def test_limit_stands_in_safety(name, limits):
    assert check.limits_stand_in_safety([limit for limit in limits if limit.name == name]) == []


def test_limit_that_is_not_in_safety_is_told(limits):
    text = evidence.SAFETY.read_text()
    gone = text.replace("free a stuck valve or a jammed leg", "free a jammed leg")
    assert gone != text
    lines = check.limits_stand_in_safety(limits, gone)
    assert "stuck valve or jammed leg: SAFETY.md does not say 'free a stuck valve or a jammed leg'" in lines
    # What is said elsewhere in the file admits nothing.
    moved = gone.replace("# The safety argument", "# The safety argument\nfree a stuck valve or a jammed leg", 1)
    assert check.limits_stand_in_safety(limits, moved) == lines


def test_single_failures_are_admitted(trees, found, limits):
    shared = evidence.load_limits()[1]
    assert check.single_failures_are_admitted(trees, found, limits, shared) == []
    less = [limit for limit in limits if limit.name != "burst line"]
    lines = check.single_failures_are_admitted(trees, found, less, shared)
    assert "A leg is not locked at touchdown: 'A leg's hose tears' is enough alone, and no limit admits it" in lines
    assert len(check.single_failures_are_admitted(trees, found, limits, {})) == 3
    odd = [*limits, evidence.Limit("odd", "", {"gremlin": ""})]
    assert check.single_failures_are_admitted(trees, found, odd, shared) == ["gremlin: in limits.yaml and not an event"]


def _without_second_path(data):
    for name in ("stays_up", "commanded_up"):
        for gate in data["trees"][name]["any"]:
            if gate.get("all") == ["mode_wrong", "second_wrong"]:
                gate["any"] = gate.pop("all")


def _second_sensor_that_does_not_count(data):
    gate = find(data["trees"], "Both sensors read too high")
    gate["any"] = gate.pop("all")


def _valve_falls_no_more(data):
    gate = find(data["trees"], "The up output stays on after the processor stops")
    gate["all"] = ["processor_dead"]
    del data["events"]["watchdog_fails"]


def _no_reminder(data):
    gate = find(data["trees"], "The gear is not put down")
    gate["all"] = ["forgets"]


@pytest.mark.parametrize(
    "change, text",
    [
        (_without_second_path, "The mode logic is wrong"),
        pytest.param(
            _second_sensor_that_does_not_count, "Sensor b reads too high, within its range", marks=pytest.mark.deep
        ),
        pytest.param(_no_reminder, "The pilot forgets the gear or puts it down too late", marks=pytest.mark.deep),
    ],
)
def test_a_barrier_taken_out_of_the_tree_is_seen(change, text, limits, tmp_path):
    broken = changed_trees(change, tmp_path)
    lines = check.single_failures_are_admitted(broken, analyse(broken, BREAKABLE), limits, evidence.load_limits()[1])
    assert any(f"'{text}' is enough alone" in line for line in lines), lines


@pytest.mark.deep
def test_a_dead_processor_is_admitted_with_a_latching_valve_only(limits, tmp_path):
    broken = changed_trees(_valve_falls_no_more, tmp_path)
    lines = check.single_failures_are_admitted(broken, analyse(broken, BREAKABLE), limits, evidence.load_limits()[1])
    assert any("'The processor stops for good' is enough alone with a spring-return valve" in line for line in lines)


@pytest.mark.parametrize(
    "name, changed, line",
    [
        ("valve_stuck", {"failure": "valve stucK"}, "valve_stuck: no failure 'valve stucK'"),
        ("mode_wrong", {"proof": ["no such break"]}, "mode_wrong: no break 'no such break'"),
        ("slope_wrong", {"test": ["tests/fmea/tree.py::test_x"]}, "slope_wrong: no test tests/fmea/tree.py::test_x"),
        ("slope_wrong", {"test": ["tests/unit/gone.py::test_x"]}, "slope_wrong: no test tests/unit/gone.py::test_x"),
        ("forgets", {"none": ""}, "forgets: without evidence, and without a word why"),
    ],
)  # fmt: skip
def test_evidence_has_to_exist(trees, name, changed, line):
    assert check.evidence_exists(trees) == []
    broken = copy.deepcopy(trees)
    broken.events[name] = dataclasses.replace(broken.events[name], evidence=changed)
    assert check.evidence_exists(broken) == [line]


SAYS = "flights ended in '{}', and no single event says so"
UNLOCKED, UP = "A leg is not locked at touchdown", "The gear moves up without the pilot"


@pytest.mark.parametrize(
    "failure, effect, aircraft, lines",
    [
        ("valve stuck", "gear not locked when it should be", ("curlew", "tern"), []),
        ("stutter", "gear not locked when it should be", ("curlew",), [f"stutter (curlew): {SAYS.format(UNLOCKED)}"]),
        ("valve stuck", "gear retracts without the pilot", ("tern",), [f"valve stuck (tern): {SAYS.format(UP)}"]),
        # Enough alone with a latching valve only, and with one sensor only.
        ("valve wire off", "gear not locked when it should be", ("tern",), []),
        (
            "valve wire off",
            "gear not locked when it should be",
            ("curlew",),
            [f"valve wire off (curlew): {SAYS.format(UNLOCKED)}"],
        ),
    ],
)
def test_flights_agree_with_trees(trees, found, cells, failure, effect, aircraft, lines):
    def change(one):
        return one | {"effect": effect} if one["failure"] == failure and one["aircraft"] in aircraft else one

    flown = modes.modes_of([change(one) for one in cells], {})
    assert check.flights_agree_with_trees(trees, found, flown) == lines


def test_an_event_that_nobody_flew_is_told(trees, found, cells):
    less = [one for one in cells if one["failure"] != "burst line"]
    lines = check.flights_agree_with_trees(trees, found, modes.modes_of(less, {}))
    assert lines == ["burst_small: no flown form of burst line fits it"]
