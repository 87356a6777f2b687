"""The section `measured` of an aircraft file: what is read, in which units, and one clear line for what cannot be."""

from dataclasses import replace

import pytest

from host_sim.aircraft import load_aircraft
from host_sim.budget.measured import MOST_TIMED, Comparison, Drop, ExtensionTime, LeakDown, LockMinimum, Within
from host_sim.errors import InputError
from host_sim.yamlfile import parse

from .shipped import AIRCRAFT_DIR

GOOD = """\
measured:
  lock_minimum: {tank: 3.6 bar gauge, load: full air load, within: 0.1 bar}
  leak_down:
    - {from: 7.50 bar gauge, to: 7.44 bar gauge, over: 10 min, start_air: 20 degC, end_air: 19 degC}
    - {from: 7.40 bar gauge, to: 7.40 bar, over: 600 s, start_air: 10 degC, end_air: 10 degC}
  drops:
    - {stroke: retraction, from: 7.00 bar gauge, to: 6.58 bar gauge}
  extensions:
    - {from: 7.0 bar gauge, takes: 1.6 s, load: none}
    - {from: 5.0 bar gauge, takes: 1900 ms, load: 60 %}
    - {from: 6.0 bar gauge, takes: 1.8 s}
  zero: {reads: 12 mbar}
  gauge:
    - {reads: 7.42 bar gauge, gauge: 7.50 bar gauge}
  within: {pressure: 0.03 bar, time: 0.1 s, gauge: 0.08 bar}
"""


def load(text, name="curlew24"):
    return load_aircraft(AIRCRAFT_DIR / f"{name}.yaml", parse(text, "bench.yaml"))


def complaint(old, new, text=GOOD):
    """What is said when `old`, which stands once, is `new`."""
    assert text.count(old) == 1, old
    with pytest.raises(InputError) as caught:
        load(text.replace(old, new))
    message = str(caught.value)
    assert "\n" not in message
    return message


def test_every_key_is_read():
    measured = load(GOOD).installed.measured
    assert measured.lock_minimum == LockMinimum(3.6, 1.0, 0.1)
    assert measured.leak_down == (
        LeakDown(7.5, pytest.approx(7.44), 600.0, pytest.approx(293.15), pytest.approx(292.15)),
        LeakDown(7.4, 7.4, 600.0, pytest.approx(283.15), pytest.approx(283.15)),
    )
    assert measured.drops == (Drop("retraction", 7.0, 6.58),)
    assert measured.extensions == (
        ExtensionTime(7.0, 1.6, 0.0),
        ExtensionTime(5.0, pytest.approx(1.9), 0.6),
        ExtensionTime(6.0, 1.8, 0.0),
    )
    assert measured.zero_bar == pytest.approx(0.012)
    assert measured.gauge == (Comparison(7.42, 7.5),)
    assert measured.within == Within(0.03, 0.1, 0.08, 1.0, ("air",))
    assert (measured.file, measured.line) == ("bench.yaml", 2)


def test_all_may_be_left_out():
    assert load_aircraft(AIRCRAFT_DIR / "curlew24.yaml").installed.measured is None
    measured = load("measured: {zero: {reads: 0 mbar}}").installed.measured
    assert measured == replace(measured, lock_minimum=None, leak_down=(), drops=(), extensions=(), gauge=())
    assert measured.within.assumed == ("pressure", "time", "gauge", "air")


def test_it_knows_the_aircraft_that_was_measured_and_what_its_owner_states():
    aircraft = load(GOOD)
    assert aircraft.installed.measured.air == aircraft.air
    assert aircraft.installed.measured.stated_error_bar == pytest.approx(0.15)


def test_a_lock_minimum_without_its_own_bound_has_those_of_reading_and_gauge():
    text = GOOD.replace(", within: 0.1 bar}", "}")
    assert load(text).installed.measured.lock_minimum.within_bar == pytest.approx(0.03 + 0.08)


def test_psi_is_read_and_ranges_are_said_in_it():
    text = "measured: {drops: [{stroke: extension, from: 100 psi, to: 94 psi gauge}]}"
    (drop,) = load(text, "tern30").installed.measured.drops
    assert (drop.from_bar, drop.to_bar) == (pytest.approx(6.894757), pytest.approx(6.481071))
    with pytest.raises(InputError, match="allowed: 2.90075 psi to 290.075 psi gauge"):
        load(text.replace("100 psi", "400 psi"), "tern30")


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        (", load: full air load", "", 2, "lock_minimum: a lock minimum counts only with its load"),
        ("full air load", "some", 2, "lock_minimum.load: 'some' is no load; allowed: full air load, none, or a share"),
        ("full air load", "140 %", 2, "lock_minimum.load: '140 %' is out of range; allowed: 0 % to 100 %"),
        ("full air load", "0.6", 2, "lock_minimum.load: '0.6' is no load"),
        ("tank: 3.6 bar gauge", "tank: 4.6 bar absolute", 2, "tank: '4.6 bar absolute' is absolute; a gauge pressure"),
        ("tank: 3.6 bar gauge", "tank: 36 bar gauge", 2, "allowed: 0.2 bar to 20 bar gauge"),
        (
            "to: 7.44 bar gauge",
            "to: 7.54 bar gauge",
            4,
            "leak_down.to: '7.54 bar gauge' is not below 'from', 7.50 bar gauge: a tank that gains pressure has warmed",
        ),
        (", start_air: 20 degC", "", 4, "a leak-down counts only with the air's temperature at both ends: 'start_air'"),
        (", end_air: 19 degC", "", 4, "'end_air' is missing; 10 K move a tank of 7.50 bar gauge by 0.30 bar"),
        ("over: 10 min", "over: 0 min", 4, "leak_down.over: '0 min' is out of range; allowed: 1 min to 2880 min"),
        ("from: 7.50 bar gauge, to: 7.44", "from: 0.9 bar gauge, to: 0.8", 4, "allowed: 1 bar to 20 bar gauge"),
        ("start_air: 20 degC", "start_air: 20 K", 4, "leak_down.start_air: '20 K' is out of range; allowed: -40 degC"),
        ("to: 6.58 bar gauge", "to: 7.02 bar gauge", 7, "drops.to: '7.02 bar gauge' is not below 'from', 7.00 bar ga"),
        ("to: 6.58 bar gauge", "to: 7.00 bar gauge", 7, "a stroke takes air"),
        ("to: 6.58 bar gauge", "to: 7.59 bar absolute", 7, "drops.to: '7.59 bar absolute' is absolute"),
        ("stroke: retraction", "stroke: up", 7, "drops.stroke: 'up' is not known; allowed: retraction, extension"),
        ("stroke: retraction, ", "", 7, "drops: the key 'stroke' is missing"),
        ("takes: 1.6 s", "takes: 0 s", 9, "extensions.takes: '0 s' is out of range; allowed: 0.05 s to 20 s"),
        ("takes: 1.6 s", "takes: 1.6", 9, "extensions.takes: '1.6' has no unit"),
        ("load: 60 %", "load: half", 10, "extensions.load: 'half' is no load"),
        ("reads: 12 mbar", "reads: 1012 mbar", 12, "zero.reads: '1012 mbar' is out of range; allowed: -1 bar to 1 bar"),
        ("gauge: 7.50 bar gauge}", "gauge: 8.51 bar absolute}", 14, "gauge.gauge: '8.51 bar absolute' is absolute"),
        ("time: 0.1 s", "time: 0 s", 15, "within.time: '0 s' is out of range; allowed: 0.01 s to 2 s"),
        ("pressure: 0.03 bar", "pressure: 0.03 bar gauge", 15, "must be plain here, without the word 'gauge'"),
        ("time: 0.1 s", "clock: 0.1 s", 15, "within: unknown key 'clock'; allowed: pressure, time, gauge, air"),
        ("zero: {", "zeros: {", 12, "measured: unknown key 'zeros' (did you mean 'zero'?)"),
        ("takes: 1.6 s", "lasts: 1.6 s", 9, "extensions: the key 'takes' is missing"),
        ("zero: {reads: 12 mbar}", "zero: 12 mbar", 12, "zero: is a single value; wanted is a mapping"),
        ("extensions:\n", "extensions: none\n  others:\n", 8, "extensions: is a single value; wanted is a list"),
    ],
)
def test_bad_input_gets_one_clear_line(old, new, line, said):
    message = complaint(old, new)
    assert message.startswith(f"bench.yaml:{line}: measured")
    assert said in message


def test_lists_have_a_length():
    assert "gauge: has 0 rows; allowed: 1 to 24" in complaint(
        "gauge:\n    - {reads: 7.42 bar gauge, gauge: 7.50 bar gauge}", "gauge: []"
    )
    row = "    - {from: 6.0 bar gauge, takes: 1.8 s}\n"
    assert "extensions: has 9 rows; allowed: 1 to 8" in complaint(row, row * (MOST_TIMED - 1))
