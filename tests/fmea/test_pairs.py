"""Cut sets of two failures, flown: each alone leaves every leg locked, both together do not."""

import dataclasses

import pytest

from host_sim.devices.sensor import Rail
from host_sim.faults import make_fault
from host_sim.flight import fly
from host_sim.scenario import load_scenario
from host_sim.trace import COLUMNS

DOWN_S = 60
FLIGHT = """\
title: A cut set in flight
story: Two failures with the gear up, and a pilot who puts it down a minute later.
aircraft: {aircraft}
seed: 7
lasts: 66 s
covers: [SR-03 acts]
claims: [{{at: end, is: {{gear_command: down}}}}]
start: {{tank: {tank}, gear: down}}
beats:
  - {{at: 0 s, switch: down, throttle: 0 %, brake: 0 %, light: off}}
  - {{at: 3 s, throttle: 90 %, over: 0.5 s}}
  - {{at: 3.5 s, airspeed: {airspeed} m/s, over: 2 s}}
  - {{at: 5.5 s, ground: no}}
  - {{at: 7 s, switch: up}}
  - {{at: {down} s, switch: down}}
"""
ONE_SENSOR = ("curlew24.yaml", "7.2 bar", {"sensors": 1, "valve": "spring", "locks": "no"})
TWO_SENSORS = ("tern30.yaml", "108 psi", {"sensors": 2, "valve": "latching", "locks": "yes"})


# Aircraft, and {event of the trees: fault}.
CASES = {
    "burst that the brakes hide": (
        ONE_SENSOR,
        {
            "burst_small": make_fault("burst line", 12, hole=0.9),
            "brake_noise": make_fault("glitches", 12, channel="brake", share=40.0, run=2),
        },
    ),
    "burst behind a frozen sensor": (
        ONE_SENSOR,
        {"burst_small": make_fault("burst line", 12, hole=0.5), "a_frozen": make_fault("sensor frozen", 11)},
    ),
    "leak behind a frozen sensor": (
        ONE_SENSOR,
        {"slow_leak": make_fault("slow leak", 12, hole=0.3), "a_frozen": make_fault("sensor frozen", 11)},
    ),
}


def ends_locked(aircraft, faults, folder, airspeed_m_s=40):
    """Whether all legs are locked at the end of the flight, in the plant."""
    path = folder / "flight.yaml"
    path.write_text(FLIGHT.format(aircraft=aircraft[0], tank=aircraft[1], down=DOWN_S, airspeed=airspeed_m_s))
    scenario = dataclasses.replace(load_scenario(path), faults=tuple(faults))
    return fly(scenario).rows[-1][COLUMNS.index("true_locked")] == "yes"


@pytest.mark.deep
@pytest.mark.parametrize("name", CASES)
def test_pair_is_enough_and_neither_half_is(name, found, tmp_path):
    aircraft, faults = CASES[name]
    cuts = next(one.cuts for one in found if one.tree == "not_locked" and one.build == aircraft[2])
    assert frozenset(faults) in cuts
    assert not ends_locked(aircraft, faults.values(), tmp_path)
    for fault in faults.values():
        assert ends_locked(aircraft, [fault], tmp_path)


@pytest.mark.deep
def test_two_sensors_that_drift_together_hide_a_leak_and_one_does_not(found, tmp_path):
    leak = make_fault("slow leak", 12, hole=0.4)
    high_a, high_b = (make_fault("sensor drift", 11, sensor=sensor, rate=60.0) for sensor in ("a", "b"))
    cuts = next(one.cuts for one in found if one.tree == "not_locked" and one.build == TWO_SENSORS[2])
    assert frozenset({"a_high", "b_high"}) in cuts
    assert not ends_locked(TWO_SENSORS, [leak, high_a, high_b], tmp_path)
    assert ends_locked(TWO_SENSORS, [leak, high_a], tmp_path)
    assert ends_locked(TWO_SENSORS, [leak, high_b], tmp_path)


@pytest.mark.deep
def test_wrong_reading_of_the_rail_misleads_both_sensors(found, tmp_path, monkeypatch):
    # Both are scaled by it and agree, so nothing contradicts them; 15 % low is within its window.
    leak = [make_fault("slow leak", 12, hole=0.6)]
    cuts = next(one.cuts for one in found if one.tree == "not_locked" and one.build == TWO_SENSORS[2])
    assert frozenset({"rail_reading"}) in cuts
    assert ends_locked(TWO_SENSORS, leak, tmp_path, airspeed_m_s=69)
    right = Rail.sample
    monkeypatch.setattr(Rail, "sample", lambda rail: right(rail) * 85 // 100)
    assert not ends_locked(TWO_SENSORS, leak, tmp_path, airspeed_m_s=69)
