"""Claims on traces made by hand: what holds, what does not, and what looked at nothing."""

import pytest

from host_sim.claims import judge, read_claims
from host_sim.conditions import _HOLDS, NAMES, read_conditions
from host_sim.errors import InputError
from host_sim.trace import COLUMNS
from host_sim.yamlfile import Mapping, Sequence, parse

DURATION_S = 10.0


class Flight:
    """Stands for a scenario and for its trace: claims, and one row a second from 0 to 9 s."""

    class aircraft:
        unit = "bar"

    def __init__(self, claims, columns):
        self.claims = read_claims(parse(f"claims:\n{claims}", "f.yaml").take("claims", Sequence), DURATION_S)
        plain = {"t_s": [float(t) for t in range(10)], "causes": ["none"] * 10, "alerts": ["none"] * 10}
        columns = {**plain, **columns}
        self.rows = [tuple(columns.get(name, [""] * 10)[t] for name in COLUMNS) for t in range(10)]


def verdict(claim, **columns):
    flight = Flight(f"  - {claim}\n", columns)
    (found,) = judge(flight, flight)
    return found


def refusal(claim):
    with pytest.raises(InputError) as caught:
        Flight(f"  - {claim}\n", {})
    return str(caught.value)


UP_FROM_4 = {"gear_command": ["down"] * 4 + ["up"] * 6}
AIR = {"tank_bar": [7.0, 6.5, 6.0, 5.5, 5.0, 4.5, 4.0, 3.5, 3.0, 2.5]}
ALERTS = {"alerts": ["none", "leak", "leak+air low", "none", "air low", "none", "none", "leak", "none", "none"]}


@pytest.mark.parametrize(
    ("claim", "columns", "holds", "detail"),
    [
        ("{never: {gear_command: up}, until: 3 s}", UP_FROM_4, True, "in none of 4 rows"),
        ("{never: {gear_command: up}}", UP_FROM_4, False, "at 4.00 s: gear_command up"),
        ("{never: {gear_command: up, tank: below 2.5 bar}}", {**UP_FROM_4, **AIR}, True, "in none of 10 rows"),
        (
            "{never: {gear_command: up, tank: below 3.1 bar}}",
            {**UP_FROM_4, **AIR},
            False,
            "at 8.00 s: gear_command up, tank_bar 3.00 bar gauge",
        ),
        ("{always: {gear_command: up}, from: 4 s}", UP_FROM_4, True, "in all of 6 rows"),
        ("{always: {gear_command: up}, from: 3 s}", UP_FROM_4, False, "at 3.00 s: gear_command down"),
        ("{always: {tank: at most 5 bar}, while: {gear_command: up}}", {**UP_FROM_4, **AIR}, True, "in all of 6 rows"),
        ("{always: {tank: below 5 bar}, while: {gear_command: up}}", {**UP_FROM_4, **AIR}, False, "at 4.00 s"),
        ("{by: 4 s, is: {gear_command: up}}", UP_FROM_4, True, "since 4.00 s"),
        ("{by: 3 s, is: {gear_command: up}}", UP_FROM_4, False, "not so; last at 3.00 s: gear_command down"),
        ("{by: 4 s, from: 3 s, is: {gear_command: not down}}", UP_FROM_4, True, "since 4.00 s"),
        ("{at: 3.9 s, is: {gear_command: down}}", UP_FROM_4, True, "at 3.00 s: gear_command down"),
        ("{at: end, is: {gear_command: up}}", UP_FROM_4, True, "at 9.00 s"),
        ("{at: end, is: {gear_command: down}}", UP_FROM_4, False, "at 9.00 s"),
        (
            "{order: [{tank: below 6.6 bar}, {gear_command: up}]}",
            {**UP_FROM_4, **AIR},
            True,
            "at 1.00 s, and at 4.00 s",
        ),
        (
            "{order: [{gear_command: up}, {tank: below 6.6 bar}]}",
            {**UP_FROM_4, **AIR},
            False,
            "at 4.00 s, and at 1.00 s",
        ),
        (
            "{order: [{gear_command: up}, {tank: at most 5 bar}]}",
            {**UP_FROM_4, **AIR},
            False,
            "at 4.00 s, and at 4.00 s",
        ),
        ("{order: [{gear_command: up}, {tank: below 1 bar}]}", {**UP_FROM_4, **AIR}, False, "never was it so"),
        ("{after: {alerts: air low}, within: 1 s, is: {alerts: none}}", ALERTS, True, "2 times"),
        ("{after: {alerts: leak}, within: 1 s, is: {alerts: none}}", ALERTS, False, "not within 1 s of 1.00 s"),
        ("{count: {alerts: leak}, at_most: 2}", ALERTS, True, "2 times: 1.00 s, 7.00 s"),
        ("{count: {alerts: leak}, at_most: 1}", ALERTS, False, "2 times"),
        ("{count: {alerts: air low}, at_least: 3}", ALERTS, False, "2 times: 2.00 s, 4.00 s"),
        ("{count: {alerts: locked out}, at_most: 0}", ALERTS, True, "0 times"),
    ],
)
def test_a_claim_is_judged(claim, columns, holds, detail):
    found = verdict(claim, **columns)
    assert found.holds is holds
    assert detail in found.detail
    assert found.line == 2


@pytest.mark.parametrize(
    ("claim", "columns", "detail"),
    [
        # nothing to look at is no proof
        ("{never: {supply: below 4.5 V}}", {"supply_mv": ["absent"] * 10}, "supply_mv never held a number"),
        ("{always: {reading: above 5 bar}}", {"reading_mbar": ["unknown"] * 10}, "reading_mbar never held a number"),
        ("{always: {gear_command: up}, while: {alerts: leak}}", UP_FROM_4, "'while' never held"),
        ("{never: {gear_command: up}, while: {alerts: leak}}", UP_FROM_4, "'while' never held"),
        ("{after: {alerts: leak}, within: 1 s, is: {gear_command: up}}", UP_FROM_4, "never came"),
        ("{always: {gear_command: up}, from: 9.2 s, until: 9.8 s}", UP_FROM_4, "no row of the trace"),
    ],
)
def test_a_claim_that_saw_nothing_does_not_hold(claim, columns, detail):
    found = verdict(claim, **columns)
    assert not found.holds
    assert detail in found.detail


@pytest.mark.parametrize(
    ("text", "cell", "holds"),
    [
        ("alerts: leak", "air low+leak", True),
        ("alerts: has leak", "air low+leak", True),
        ("alerts: not leak", "air low+leak", False),
        ("alerts: has not leak", "air low", True),
        ("alerts: none", "none", True),
        ("alerts: none", "leak", False),
        ("alerts: not none", "leak", True),
        ("alerts: locked out", "not locked", False),
        ("alerts: not locked", "not locked", True),
        ("alerts: not not locked", "not locked", False),
        ("locked: not trusted", "not trusted", True),
        ("locked: not yes", "not trusted", True),
        ("tank: below 60 psi", 4.1, True),
        ("tank: at least 410 kPa", 4.1, True),
        ("reading: above 4 bar", 4001, True),
        ("reading: above 4 bar", "unknown", False),
        ("reading: unknown", "unknown", True),
        ("gear_travel: at most 1 %", 0.0099, True),
        ("gear_travel: at most 1 %", 0.0101, False),
        ("throttle: at least 80 %", 80.0, True),
        ("supply: below 4.5 V", 4499, True),
        ("coil_up: exactly 1", 1, True),
        ("tone: above 400 Hz", 800, True),
        ("valve: exactly 1100 us", 1100, True),
    ],
)
def test_a_condition_on_a_cell(text, cell, holds):
    (condition,) = read_conditions(parse(text, "f.yaml"))
    row = [""] * len(COLUMNS)
    row[condition.index] = cell
    assert condition.holds(row) is holds


@pytest.mark.parametrize(
    ("claim", "says"),
    [
        (
            "{always: {gear_command: up}, from: 5 s, until: 5 s}",
            "f.yaml:2: claims: the window from 5 s to 5 s is empty",
        ),
        ("{by: 3 s, from: 3 s, is: {gear_command: up}}", "the window from 3 s to 3 s is empty"),
        ("{always: {gear_command: up}, until: 11 s}", "claims.until: '11 s' is out of range; allowed: 0 s to 10 s"),
        ("{always: {gear_comand: up}}", "'gear_comand' is no column of a trace (did you mean 'gear_command'?)"),
        ("{always: {gear_command: sideways}}", "'sideways' is nothing gear_command can be; allowed: down, up"),
        ("{always: {gear_command: below 4 bar}}", "gear_command holds words, not numbers"),
        ("{always: {gear_command: has up}}", "holds one word; write it without 'has'"),
        ("{always: {tank: below 4}}", "'4' has no unit"),
        ("{always: {tank: below 4 s}}", "is not a pressure"),
        ("{always: {tank: below 4 bar absolute}}", "gauge pressure is wanted"),
        ("{always: {tank: full}}", "or a comparison (below, above, at least, at most, exactly) with a number"),
        ("{always: {coil_up: exactly one}}", "'one' is not a plain number"),
        ("{always: {tank: [1, 2]}}", "is no single value"),
        ("{always: {}}", "names no column"),
        ("{always: {gear_command: up}, never: {gear_command: up}}", "more than one kind (never, always)"),
        ("{from: 1 s}", "has no kind"),
        ("{by: 3 s}", "the key 'is' is missing"),
        ("{count: {alerts: leak}}", "needs 'at_least', 'at_most' or both"),
        ("{count: {alerts: leak}, at_least: 3, at_most: 2}", "'2' is less than at_least, 3"),
        ("{order: [{alerts: leak}]}", "has 1 parts; wanted are two"),
        ("{always: {gear_command: up}, when: 3 s}", "unknown key 'when' (did you mean 'while'?)"),
    ],
)
def test_a_claim_that_cannot_be_meant_is_refused(claim, says):
    assert says in refusal(claim)


def test_no_claim_at_all_is_refused():
    with pytest.raises(InputError, match="a flight without a claim proves nothing"):
        read_claims(parse("claims: []", "f.yaml").take("claims", Sequence), DURATION_S)


def test_claims_are_told_in_the_unit_of_the_reader():
    flight = Flight("  - {never: {gear_command: up, tank: below 4 bar}, from: 2 s}\n", {**UP_FROM_4, **AIR})
    (found,) = judge(flight, flight, "psi")
    assert found.claim_text == "never gear command is 'up' and tank below 58.0 psi gauge, from 2 s to 10 s"
    assert found.detail == "at 7.00 s: gear_command up, tank_bar 50.8 psi gauge"


def test_every_column_of_a_trace_can_be_named():
    assert set(_HOLDS) == set(COLUMNS)
    assert set(COLUMNS) < set(NAMES)
    for name in COLUMNS:
        unit, words = _HOLDS[name]
        text = words[0] if words else f"at least 1 {unit}"
        assert read_conditions(parse(f"{name}: {text}", "f.yaml"))[0].column == name


def test_conditions_are_a_mapping():
    with pytest.raises(InputError, match="wanted is a mapping"):
        parse("is: [1]", "f.yaml").take("is", Mapping)
