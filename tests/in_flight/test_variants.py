"""The list of failures is closed: one without a variant, a row of the table or a kept danger makes a test red."""

import json

import pytest

from host_sim.faults import CATALOGUE

from .base_flights import AIRCRAFT, PHASES, base_scenario
from .danger_table import FILE, load_dangers
from .expected import ALL_HAZARDS, FILLING, LIMITS, ms
from .pairs import representatives
from .singles import cases_of, phases_of
from .variants import VARIANTS, fault_of

UP = ("forced", "reset", "switch", "held", "may")
MOVE = ("refused", "no", "followed", "any")


def test_every_failure_of_the_catalogue_has_a_variant():
    assert {variant.failure for variant in VARIANTS} == set(CATALOGUE)


def test_labels_are_unique():
    labels = [variant.label for variant in VARIANTS]
    assert len(labels) == len(set(labels))


def test_every_choice_of_a_word_is_flown():
    """Every sensor, channel, side, reading and copy of the catalogue, and at least two legs."""
    for kind in CATALOGUE.values():
        flown = [dict(variant.values) for variant in VARIANTS if variant.failure == kind.name]
        for parameter in kind.parameters:
            if parameter.name == "leg":
                assert len({values["leg"] for values in flown}) >= 2, kind.name
            if parameter.words and parameter.name not in ("first", "second"):
                seen = {values.get(parameter.name, parameter.default) for values in flown}
                missing = set(parameter.words) - seen
                # A spare channel has no stuck position that differs from its loss, and is named once.
                assert not missing, f"{kind.name}: {missing}"


@pytest.mark.parametrize("aircraft", AIRCRAFT)
def test_rows_of_the_table_are_whole(aircraft):
    made = base_scenario(aircraft, "circuit").aircraft
    for variant in VARIANTS:
        fault_of(variant, 1000)
        if aircraft not in variant.expected:
            continue
        row = variant.expected[aircraft]
        assert row.up in UP
        assert row.move in MOVE
        assert set(row.hazards) <= {*ALL_HAZARDS, FILLING}
        assert not row.hazards or row.limit in LIMITS, variant.label
        assert row.limit == "" or row.limit in LIMITS
        assert ms(row.within, made) >= 0
        assert ms(row.alert_within, made) >= 0
        assert row.up != "forced" or (row.causes and ms(row.within, made) > 0), variant.label


def test_every_aircraft_flies_every_failure_that_it_can_have():
    for aircraft in AIRCRAFT:
        assert {variant.failure for variant in representatives(aircraft)} == set(CATALOGUE)


def test_dangers_are_kept_for_every_cell():
    table = load_dangers()
    wanted = {
        aircraft: {v.label: {p.name for p in phases_of(v)} for v in VARIANTS if aircraft in v.expected}
        for aircraft in AIRCRAFT
    }
    assert {a: {label: set(phases) for label, phases in rows.items()} for a, rows in table.items()} == wanted
    assert json.dumps(table, indent=0, sort_keys=True) + "\n" == FILE.read_text()


def test_every_tick_where_it_matters():
    """With the fine grid no tick of either stroke, of the moves before them or of the brake tap is left out."""
    fine = next(variant for variant in VARIANTS if variant.label == "transmitter off")
    onsets = {case.onset_ms for case in cases_of(fine)}
    for name in ("retraction", "extension", "brake tap while up"):
        for start, end in next(phase for phase in PHASES if phase.name == name).windows:
            assert set(range(start, end, 20)) <= onsets
