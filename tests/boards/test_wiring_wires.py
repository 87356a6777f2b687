"""The table of broken wires: every row is flown, or says why not; what it says is what the controller does."""

import re
from dataclasses import replace

import pytest

from controller import codes
from host_sim.flight import fly
from host_sim.scenario import shipped_scenarios
from host_sim.verdicts import judge
from tests.boards.wiring_flown import curlew
from tests.boards.wiring_wires import WIRES

FLIGHTS = [(wire, flown) for wire in WIRES for flown in wire.flown]
QUICK = ("receiver: gear signal", "spring-return: coil +", "ground switch: feed or return")
NAMES = [f"{wire.name}, {flown.fault}" for wire, flown in FLIGHTS]


def wrong(flown, folder):
    """Claims that do not hold, in words."""
    scenario = flown.scenario(folder)
    return [f"{v.claim_text}: {v.detail}" for v in judge(scenario, fly(scenario)) if not v.holds]


@pytest.mark.parametrize(
    ("wire", "flown"),
    [
        pytest.param(*case, id=name, marks=() if case[0].name in QUICK else pytest.mark.deep)
        for case, name in zip(FLIGHTS, NAMES, strict=True)
    ],
)
def test_what_the_row_says_is_flown(wire, flown, tmp_path):
    assert wrong(flown, tmp_path) == []


def test_every_row_is_flown_or_says_why_not():
    assert [wire.name for wire in WIRES if bool(wire.flown) == bool(wire.unflown)] == []


def test_alerts_that_a_row_promises_exist():
    words = {*codes.ALERT_WORDS}
    for wire in WIRES:
        for text in (wire.breaks, wire.to_ground, wire.to_plus, wire.notices):
            marked = text.replace("**", "").split("*")[1::2]
            assert [word for word in marked if word not in words] == [], wire.name


def test_a_scenario_that_a_row_names_is_shipped():
    shipped = {path.stem for path in shipped_scenarios()}
    named = [word for wire in WIRES for word in wire.unflown.split() if "_" in word]
    assert named == ["servo_valve_wire_off"]
    assert set(named) <= shipped


def test_a_row_that_promises_too_much_is_caught(tmp_path):
    """A link that is lost and a gear that stays up: not this controller."""
    flown = curlew("what: no pulses, from: 11 s", "at: 15.9 s, is: {gear_command: up}")
    assert len(wrong(flown, tmp_path)) == 1


# Rows that say: nothing happens.
SPARED = {("ground switch: feed or return", "ground wire off"), ("button", "button stuck")}


@pytest.mark.deep
def test_claims_do_not_hold_without_the_fault(tmp_path):
    """What a row claims comes from its fault: with the fault put off to the end, every flight breaks a claim."""
    held = set()
    for wire, flown in FLIGHTS:
        late = replace(flown, fault=re.sub(r"from: \d+ s(, until: \d+ s)?", "from: 20.95 s", flown.fault))
        assert late.fault != flown.fault
        if not wrong(late, tmp_path):
            held.add((wire.name, flown.kind))
    assert held == SPARED
