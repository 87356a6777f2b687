"""Cells of the campaign put together to failure modes."""

import json

import pytest

from tests.in_flight.cells import EFFECTS

from . import modes
from .conftest import cell
from .coverage import BORNE, DETECTED, SAFE, UNDETECTED


@pytest.mark.parametrize(
    "cells, verdict",
    [
        ([(False, False), (False, True)], SAFE),
        ([(False, False), (True, True)], DETECTED),
        ([(True, False), (True, True)], UNDETECTED),
        ([(True, False), (False, False)], UNDETECTED),
    ],
)
@pytest.mark.parametrize("harm", [{"effect": modes.HARM[0]}, {"outcomes": {"admitted limit: x": 1}}])
def test_dangerous_in_any_phase_detected_in_all(cells, verdict, harm):
    made = [cell("reset", phase=str(i), dangerous=d, detected=s) for i, (d, s) in enumerate(cells)]
    assert [mode.verdict for mode in modes.modes_of([one | harm for one in made], {})] == [verdict]
    # What does no harm with the controller in place, and is not told, is borne.
    borne = BORNE if verdict == UNDETECTED else verdict
    assert [mode.verdict for mode in modes.modes_of(made, {})] == [borne]


DEFEATS = {"sensor drift": {"defeats": {"what": "words", "forms": ["not down"], "needs": "tern"}}}


@pytest.mark.parametrize(
    "variant, aircraft, phase, verdict",
    [
        ("up", "tern", "up and cruising", UNDETECTED),
        ("down", "tern", "up and cruising", SAFE),
        ("up", "curlew", "up and cruising", SAFE),
        ("up", "tern", "approach, gear down", SAFE),
    ],
)
def test_what_takes_protection_away_is_dangerous(variant, aircraft, phase, verdict):
    one = cell("sensor drift", variant, aircraft=aircraft, phase=phase)
    assert [mode.verdict for mode in modes.modes_of([one], DEFEATS)] == [verdict]
    seen = modes.modes_of([one | {"detected": True}], DEFEATS)
    assert [mode.verdict for mode in seen] == [DETECTED if verdict == UNDETECTED else SAFE]


def test_phases_are_put_together():
    made = modes.modes_of(
        [
            cell(
                "reset", "once", phase="a", outcomes={"no effect": 4, "wrong": 0}, effect="gear down", detection="b; a"
            ),
            cell("reset", "twice", phase="a"),
            cell("reset", "once", phase="b", flights=3, outcomes={"admitted limit: x": 3}, detection="c; a"),
            cell("reset", "once", aircraft="tern", phase="a"),
        ],
        {},
    )
    assert [(mode.label, mode.aircraft) for mode in made] == [
        ("reset, once", "curlew"),
        ("reset, twice", "curlew"),
        ("reset, once", "tern"),
    ]
    first = made[0]
    assert (first.phases, first.flights, first.effects) == (["a", "b"], 13, ["gear down"])
    assert first.detection == ["a", "b", "c"]
    assert (first.outcomes, first.limits, first.wrong) == ({"admitted limit: x": 3, "no effect": 4}, ("x",), 0)


def test_time_that_comes_closest_is_kept():
    times = [(100, 120), (5, None), (None, 7), (200, 400), (119, 120)]
    made = modes.modes_of([cell("reset", worst_reaction_ms=w, allowed_ms=a) for w, a in times], {})
    assert (made[0].slowest_ms, made[0].allowed_ms) == (119, 120)


def test_a_cell_without_something_is_refused():
    broken = cell("reset")
    del broken["detected"]
    with pytest.raises(ValueError, match="cell without detected"):
        modes.modes_of([broken], {})


def test_a_short_campaign_is_refused(tmp_path):
    path = tmp_path / "in_flight.json"
    path.write_text(json.dumps({"command": "python -m tests.in_flight --short", "cells": [cell("reset")]}))
    with pytest.raises(ValueError, match="is of a short run"):
        modes.read_campaign({}, path)
    path.write_text(json.dumps({"command": "python -m tests.in_flight", "cells": [cell("reset")]}))
    assert [mode.label for mode in modes.read_campaign({}, path)] == ["reset"]


def test_effects_are_those_of_the_flights():
    assert set(modes.HARM) <= set(EFFECTS)


def test_no_campaign_says_what_to_do(tmp_path):
    with pytest.raises(ValueError, match="run python -m tests.in_flight first"):
        modes.read_campaign({}, tmp_path / "in_flight.json")


def test_committed_form_comes_back_whole(flown, tmp_path):
    path = tmp_path / "cells.json"
    path.write_text(modes.as_text(flown))
    assert modes.read_committed(path) == flown
    path.write_text(json.dumps([{"failure": "reset"}]))
    with pytest.raises(ValueError, match="a row with"):
        modes.read_committed(path)
