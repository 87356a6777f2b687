"""One failure put into one flight at one tick, flown until its outcome is plain."""

import dataclasses
from dataclasses import dataclass

from controller import codes
from host_sim.engines import make_engine
from host_sim.faults import CATALOGUE
from host_sim.flight import Flight

from .base_flights import MOVE_DOWN_MS, MOVE_UP_MS, PHASE_BY_NAME, TICK_MS, NoTrace, base_flight, base_scenario
from .danger_table import danger_of
from .expected import ms
from .variants import fault_of
from .watch import COMMAND, LOCKED, T_US, Watch, fly_on

SLACK_MS = 2 * TICK_MS
# After DOWN: the time of an extension, and this much more, before a gear that is not locked counts as not locked.
UNLOCKED_AFTER_MS = 1500
MOVE_SEEN_MS = 400
LANDED_MS = 21500
# Plant step while air moves. Against 1 ms, 4 ms differ by 5 mbar and a tick in a base flight, 2 ms by 2 mbar; a torn
# hose by 30 and 20 mbar (test_forks.py holds this).
STEP_S = 0.004
AIR_STEP_S = 0.002
AIR_DEVICES = ("air", "valve", "gear")
# One flight of so many that begin in a stroke is flown to the landing, the others until the reaction is over.
LONG_LOOK = 8


@dataclass(frozen=True)
class Case:
    """Variant (expected.Variant), aircraft "curlew" or "tern", phase name, onset in ms since power-on."""

    variant: object
    aircraft: str
    phase: str
    onset_ms: int

    @property
    def expected(self):
        """The row of the table."""
        return self.variant.expected[self.aircraft]

    @property
    def flag(self):
        """How the command line names this case."""
        return f"{self.aircraft}/{self.variant.label}/{self.phase}/{self.onset_ms}"


@dataclass
class Flown:
    """What a case left behind: the watch with its rows, and the flight as it stood at the end."""

    case: Case
    watch: Watch
    flight: Flight
    up_at_onset: bool


def until_ms(case):
    """How far to fly, ms since power-on: what would harm without the controller is flown to the landing."""
    expected, aircraft = case.expected, base_scenario(case.aircraft, "circuit").aircraft
    acts_ms = ms(expected.within, aircraft) if expected.up in ("forced", "reset", "switch") else 0
    alert_ms = ms(expected.alert_within, aircraft)
    kind, onset = PHASE_BY_NAME[case.phase].kind, case.onset_ms
    if kind == "long":
        return 300_000
    if kind == "filling":
        return 12_500
    if case.variant.before_flight or set(expected.causes) & {"burst"}:
        return LANDED_MS
    if onset < LANDED_MS - 3000 and danger_of(case):
        return LANDED_MS
    until = onset + max(acts_ms, alert_ms, 600) + 300
    if onset < MOVE_UP_MS:
        return max(until, MOVE_UP_MS + MOVE_SEEN_MS + max(acts_ms, alert_ms) + 300)
    if expected.since == "stroke" and onset < MOVE_DOWN_MS:
        return MOVE_DOWN_MS + MOVE_SEEN_MS + alert_ms + 300
    if case.phase == "up and cruising" or (case.phase != "extension" and onset // TICK_MS % LONG_LOOK == 0):
        return max(until, LANDED_MS)
    if case.phase == "extension":
        return max(until, 20_500 + UNLOCKED_AFTER_MS)
    return max(until, onset + 3500 if onset < MOVE_DOWN_MS else onset + 1500)


class _Over:
    """Whether the gear has come down and locked, or has had its time to, after it had been up."""

    def __init__(self, not_before_ms, unlocked_ms):
        self._not_before_us = not_before_ms * 1000
        self._unlocked_us = unlocked_ms * 1000
        self._down_us = None
        self._was_up = False

    def __call__(self, watch):
        row = watch.rows[-1] if watch.rows else None
        if row is None:
            return False
        if row[COMMAND] == codes.UP:
            self._was_up, self._down_us = True, None
            return False
        if not self._was_up:
            return False
        if self._down_us is None:
            self._down_us = row[T_US]
        down_us = row[T_US] - self._down_us
        if row[T_US] < self._not_before_us or down_us < 300_000:
            return False
        return bool(row[LOCKED]) or down_us > self._unlocked_us


def fly_faults(aircraft, phase, onset_ms, faults, until, not_before_ms):
    """(flight, watch, up_at_onset) of faults given before the tick at onset_ms."""
    kind = PHASE_BY_NAME[phase].kind
    settings = base_scenario(aircraft, kind).aircraft.settings
    if any(CATALOGUE[fault.kind.name].at_start for fault in faults) or onset_ms == 0:
        scenario = dataclasses.replace(base_scenario(aircraft, kind), faults=tuple(faults))
        flight, watch = Flight(scenario, make_engine("cpython"), NoTrace()), Watch(scenario.aircraft)
        flight.begin()
    else:
        flight, watch = base_flight(aircraft, kind).copy_at(onset_ms)
        flight.inject(list(faults))
    air = any(fault.kind.device in AIR_DEVICES for fault in faults)
    flight.bench.plant.step_s = AIR_STEP_S if air else STEP_S
    watch.keep = True
    up = watch.before == codes.UP
    over = _Over(not_before_ms, settings.extend_ms + UNLOCKED_AFTER_MS + 200)
    fly_on(flight, watch, until * 1000, over)
    return flight, watch, up


def fly_case(case):
    """Flown of a Case."""
    expected, aircraft = case.expected, base_scenario(case.aircraft, "circuit").aircraft
    onset_ms = 0 if case.variant.before_flight else case.onset_ms
    not_before_ms = onset_ms + ms(expected.alert_within, aircraft) + 200
    if case.variant.before_flight:
        not_before_ms = LANDED_MS - 1000
    fault = fault_of(case.variant, onset_ms)
    flight, watch, up = fly_faults(case.aircraft, case.phase, onset_ms, (fault,), until_ms(case), not_before_ms)
    return Flown(case, watch, flight, up)
