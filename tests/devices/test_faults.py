"""Every fault of the catalogue: it is checked, it acts when it should, and it ends when it should."""

from dataclasses import replace

import pytest

from controller import codes
from host_sim.fault_effects import EFFECTS, conductance
from host_sim.fault_plan import START_EFFECTS
from host_sim.faults import CATALOGUE, make_fault
from host_sim.flight import Flight, fly

SOUND = []  # the flight without faults, flown once
BARE = []  # a second without anything, read once
SWITCHES = "{switches: {locks: 3, lock_made: high, ground: yes, ground_clear: high}}"


def test_catalogue_and_effects_are_the_same_set():
    assert set(CATALOGUE) == set(EFFECTS) | set(START_EFFECTS)
    assert not set(EFFECTS) & set(START_EFFECTS)
    assert {kind.name for kind in CATALOGUE.values() if kind.at_start} == set(START_EFFECTS)


@pytest.mark.parametrize("kind", CATALOGUE.values(), ids=lambda kind: kind.name)
def test_every_kind_has_a_sentence_and_sound_parameters(kind):
    assert kind.sentence.endswith(".") and kind.sentence[0].isupper()
    fault = make_fault(kind.name)
    for parameter in kind.parameters:
        if parameter.words:
            assert parameter.default in parameter.words
        else:
            assert parameter.low <= parameter.default <= parameter.high
        assert fault[parameter.name] == parameter.default
    with pytest.raises(KeyError):
        fault["colour"]


@pytest.mark.parametrize("kind", CATALOGUE.values(), ids=lambda kind: kind.name)
def test_every_kind_changes_a_flight_and_the_extremes_fly(scenario, engine, kind):
    """With the defaults something that the controller or the air sees differs; the extremes run to the end."""
    beats = [
        "{at: 0 s, switch: down, airspeed: 30 m/s, ground: no, brake: 60 %}",
        "{at: 1 s, switch: up, brake: 0 %}",
        "{at: 1.5 s, button: pressed}",
        "{at: 1.6 s, button: released}",
        "{at: 5 s, switch: down, ground: yes, throttle: 80 %, light: on, brake: 50 %}",
    ]

    def flight(faults, options=SWITCHES):
        scripted = engine()
        trace = fly(scenario(lasts="8 s", beats=beats, faults=faults, options=options), scripted)
        return scripted.starts, scripted.seen, trace.csv_text()

    when = "" if kind.at_start else ", from: 2.5 s"
    if not SOUND:
        SOUND.append(flight([]))
        BARE.append(scenario(lasts="1 s", options=SWITCHES))
    assert flight([f"{{what: {kind.name}{when}}}"]) != SOUND[0]
    for side in ("low", "high"):
        values = {p.name: p.words[0 if side == "low" else -1] if p.words else getattr(p, side) for p in kind.parameters}
        values.pop("leg", None)
        trace = fly(replace(BARE[0], faults=(make_fault(kind.name, **values),)), engine())
        assert trace.mass_balance_error < 1e-9


def test_a_fault_ends_and_another_that_overlaps_stays(scenario, engine):
    faults = [
        "{what: sensor open, from: 1 s, until: 2 s}",
        "{what: rail shift, from: 1.5 s, until: 3 s, shift: -0.5 V}",
    ]
    scripted = engine()
    fly(scenario(lasts="4 s", faults=faults), scripted)
    counts = [row[0] for row in scripted.column(scripted.COUNTS)]
    rail = scripted.column(scripted.RAIL)
    assert all(code == 0 for code in counts[50:100])
    assert all(code > 2000 for code in counts[:50] + counts[100:])
    assert all(code < 2900 for code in rail[75:150])
    assert all(code > 3000 for code in rail[:75] + rail[150:])


def test_faults_without_times_last_the_whole_flight(scenario, engine):
    made = scenario(lasts="2 s")
    object.__setattr__(made, "faults", (make_fault("sensor short"),))
    scripted = engine()
    fly(made, scripted)
    assert min(row[0] for row in scripted.column(scripted.COUNTS)) > 3789


def test_holes_of_the_air_system(scenario, engine):
    # ISO 6358 ideal hole: 0.1992 dm3/(s bar) per mm2; 1 mm across is 0.7854 mm2.
    assert conductance(1.0) == pytest.approx(0.1564e-8, rel=1e-3)

    def end_bar(fault, beats=("{at: 0 s, switch: down}",)):
        return fly(scenario(lasts="6 s", faults=[fault] if fault else [], beats=beats), engine()).column("tank_bar")[-1]

    sound = end_bar(None)
    assert end_bar("{what: slow leak, from: 1 s, hole: 0.15 mm}") < sound - 0.02
    assert end_bar("{what: burst line, from: 1 s, hole: 1 mm}") < 4.0
    assert end_bar("{what: torn hose, from: 1 s, leg: 2, side: extend, hole: 1 mm}") < sound - 1.0
    assert end_bar("{what: torn hose, from: 1 s, leg: 2, side: retract, hole: 1 mm}") > sound - 0.05
    assert end_bar("{what: brake drag, from: 1 s}") < sound - 0.02
    assert end_bar("{what: empty tank, pressure: 0.5 bar}") < 0.6


@pytest.mark.parametrize("fault", ["{what: valve wire off, from: 0 s}", "{what: valve stuck, from: 0 s}"])
def test_valve_faults_keep_a_gear_that_is_down_down(scenario, engine, fault):
    beats = ["{at: 0 s, switch: down}", "{at: 0.5 s, switch: up}"]
    trace = fly(scenario(lasts="5 s", faults=[fault], beats=beats), engine())
    assert set(trace.column("gear_valve")) == {"down"}
    assert trace.column("gear_command")[-1] == "up"


def test_jams_stop_the_least_extended_leg(scenario, engine):
    beats = ["{at: 0 s, switch: up}"]
    start = "{tank: 7 bar, gear: down}"
    free = fly(scenario(lasts="8 s", beats=beats, start=start), engine()).column("gear_travel")[-1]
    one = ["{what: jammed leg, from: 0 s, leg: 3, travel: 60 %}"]
    assert free < 0.01
    flight = Flight(scenario(lasts="8 s", beats=beats, faults=one), engine())
    flight.run()
    assert flight.bench.plant.travel == [
        pytest.approx(0.0, abs=0.01),
        pytest.approx(0.0, abs=0.01),
        pytest.approx(0.6, abs=0.01),
    ]
    every = ["{what: jammed legs, from: 0 s, travel: 60 %}"]
    assert fly(scenario(lasts="8 s", beats=beats, faults=every), engine()).column("gear_travel")[-1] > 0.59


def test_switch_faults(scenario, engine):
    def last(faults, beats=("{at: 0 s, switch: down, ground: no}",)):
        scripted = engine()
        fly(scenario(lasts="3 s", faults=faults, beats=beats, options=SWITCHES), scripted)
        row = scripted.seen[-1]
        return row[scripted.LOCKS], row[scripted.GROUND], row[scripted.BUTTON]

    assert last([]) == ([1, 1, 1, 0], 1, 0)
    assert last(["{what: lock switch stuck open, from: 1 s, leg: 2}"])[0] == [1, 0, 1, 0]
    assert last(["{what: ground wire off, from: 1 s}"])[1] == 0
    assert last(["{what: ground switch stuck, from: 1 s, reads: ground}"])[1] == 0
    assert last(["{what: button stuck, from: 1 s}"])[2] == 1
    up = ["{at: 0 s, switch: up, ground: no}"]
    assert last([], up)[0] == [0, 0, 0, 0]
    assert last(["{what: lock switch stuck closed, from: 0 s, leg: 1}"], up)[0] == [1, 0, 0, 0]


def test_filling_raises_the_pressure(scenario, engine):
    beats = ["{at: 0 s, switch: down}", "{at: 1 s, filling: on}", "{at: 5 s, filling: off}"]
    tank = fly(scenario(lasts="6 s", beats=beats, start="{tank: 4 bar, gear: down}"), engine()).column("tank_bar")
    assert tank[-1] > tank[45] + 0.5


def test_loss_kinds_override_the_receiver_and_the_pilot_can_switch_off(scenario, engine):
    def gear_fresh(faults, beats=("{at: 0 s, switch: down}",)):
        scripted = engine()
        fly(scenario(lasts="3 s", faults=faults, beats=beats), scripted)
        return [row[codes.GEAR] for row in scripted.column(scripted.FRESH)][-50:]

    assert not any(gear_fresh(["{what: no pulses, from: 1 s}"]))
    assert not any(gear_fresh(["{what: transmitter off, from: 1 s}"]))
    assert not any(gear_fresh([], ["{at: 0 s, switch: down}", "{at: 1 s, transmitter: off}"]))
    assert sum(gear_fresh(["{what: held pulses, from: 1 s}"])) > 45
    assert sum(gear_fresh(["{what: preset on loss, from: 1 s}"])) > 45


@pytest.mark.parametrize(
    ("name", "values", "says"),
    [
        ("meteorite", {}, "'meteorite' is not a known fault; known are sensor open"),
        ("slow leak", {"hole": 7.0}, "slow leak: hole 7 mm is outside 0.01 to 1 mm"),
        ("slow leak", {"bore": 1.0}, "slow leak: 'bore' is not a parameter; allowed are hole"),
        ("slow leak", {"hole": "big"}, "slow leak: hole 'big' is not a number"),
        ("sensor open", {"sensor": "c"}, "sensor open: sensor 'c' is not one of a, b"),
        ("jammed leg", {"leg": 1.5}, "jammed leg: leg 1.5 is not a whole number"),
        ("settings differ", {"from_s": 2.0}, "settings differ: acts on the start of the flight and takes no times"),
        ("reset", {"from_s": 2.0, "until_s": 1.0}, "reset: starts at 2.0 s, which is not before its end at 1.0 s"),
    ],
)
def test_bad_faults_name_what_is_wrong(name, values, says):
    with pytest.raises(ValueError) as caught:
        make_fault(name, **values)
    assert str(caught.value).startswith(says)
