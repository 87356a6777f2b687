"""A copy of a flight with a fault put into it flies as the whole flight with that fault does."""

import dataclasses

import pytest

from host_sim.engines import make_engine
from host_sim.faults import make_fault
from host_sim.flight import Flight

from .base_flights import BaseFlight, NoTrace, base_scenario
from .watch import LOCKED, T_US, TANK_BAR, Watch, fly_on

ONSET_MS = 7600
END_US = 10_000_000
FAULTS = (
    ("glitches", {"channel": "gear", "share": 60.0, "run": 2}),
    ("burst line", {"hole": 0.8}),
    ("reset", {}),
    ("late ticks", {"late": 60.0, "count": 4, "every": 300.0}),
    ("sensor intermittent", {"off": 60.0, "on": 90.0}),
)


@pytest.fixture(scope="module")
def base():
    made = BaseFlight("curlew", "circuit")
    made.fly_past([ONSET_MS])
    return made


def _whole(faults, step_s=0.001, aircraft="curlew", until_us=END_US):
    scenario = dataclasses.replace(base_scenario(aircraft, "circuit"), faults=tuple(faults))
    flight, watch = Flight(scenario, make_engine("cpython"), NoTrace()), Watch(scenario.aircraft)
    flight.bench.plant.step_s = step_s
    flight.begin()
    watch.keep = True
    assert fly_on(flight, watch, until_us)
    return flight, watch


@pytest.mark.parametrize(("name", "values"), FAULTS)
def test_a_copy_flies_as_the_whole_flight(base, name, values):
    fault = make_fault(name, ONSET_MS / 1000.0, **values)
    _, whole = _whole([fault])
    flight, watch = base.copy_at(ONSET_MS)
    flight.inject([fault])
    watch.keep = True
    assert fly_on(flight, watch, END_US)
    assert watch.rows == [row for row in whole.rows if row[T_US] >= ONSET_MS * 1000]
    assert watch.broken == whole.broken
    assert watch.resets == whole.resets


def test_copies_do_not_touch_each_other(base):
    first, watch = base.copy_at(ONSET_MS)
    first.inject([make_fault("burst line", ONSET_MS / 1000.0, hole=5.0)])
    fly_on(first, watch, END_US)
    again, watch = base.copy_at(ONSET_MS)
    watch.keep = True
    fly_on(again, watch, END_US)
    _, whole = _whole([])
    assert watch.rows == [row for row in whole.rows if row[T_US] >= ONSET_MS * 1000]


def test_a_fault_that_is_past_is_refused(base):
    flight, _ = base.copy_at(ONSET_MS)
    with pytest.raises(ValueError, match="is past"):
        flight.inject([make_fault("transmitter off", 1.0)])
    with pytest.raises(ValueError, match="is past"):
        flight.inject([make_fault("wiring record lost")])


def test_a_tick_that_was_not_kept_is_past(base):
    with pytest.raises(ValueError, match="7000 ms is past"):
        base.fly_past([7000])


@pytest.mark.deep
@pytest.mark.parametrize("aircraft", ["curlew", "tern"])
@pytest.mark.parametrize(("faults", "mbar"), [((), 6.0), ((make_fault("torn hose", 5.0, leg=1, hole=1.5),), 40.0)])
def test_longer_plant_steps_change_little(aircraft, faults, mbar):
    """4 ms against 1 ms: within 6 mbar, 40 with a torn hose, and locked within two ticks of each other."""
    rows = [_whole(faults, step_s, aircraft, 21_000_000)[1].rows for step_s in (0.001, 0.004)]
    assert max(abs(a[TANK_BAR] - b[TANK_BAR]) for a, b in zip(*rows, strict=True)) * 1000.0 < mbar
    locks = [
        [row[T_US] for before, row in zip(part, part[1:], strict=False) if row[LOCKED] and not before[LOCKED]]
        for part in rows
    ]
    assert len(locks[0]) == len(locks[1])
    assert all(abs(a - b) <= 40_000 for a, b in zip(*locks, strict=True))
