"""Which failures would be dangerous without the controller: flown, not argued.

    python -m tests.in_flight.dangers        writes dangers.json again

Each variant begins in the middle of each phase, in the same flight, with a plain link from gear channel to valve in the
controller's place: the valve goes where the latest valid pulse says, and nothing else is known. A failure is
dangerous in a phase when, so flown, a leg is not locked down at touchdown (in the filling on the ground: at its end),
or the valve is turned to UP at a moment at which the pilot has not just moved the switch to UP. The table depends on
the plant and the receivers alone; the full run of `python -m tests.in_flight` flies it again and compares.
"""

import dataclasses
import json
import sys
from concurrent.futures import ProcessPoolExecutor

from controller import codes
from host_sim.engines import make_engine
from host_sim.flight import Flight

from .base_flights import PHASE_BY_NAME, TOUCHDOWN_MS, NoTrace, base_flight, base_scenario
from .case import AIR_DEVICES, AIR_STEP_S, STEP_S
from .danger_table import FILE
from .singles import cases_of
from .variants import VARIANTS, fault_of

# A move that a dropout delays by this much is still the pilot's.
FOLLOWS_MS = 1500
END_MS = {"circuit": TOUCHDOWN_MS, "long": 298_000, "filling": 15_900}


class PlainLink:
    """An engine without a controller: the valve follows the gear channel's latest valid pulse."""

    name = "plain link"

    def __init__(self, aircraft, command=codes.DOWN):
        settings = aircraft.settings
        self._kind = aircraft.valve_kind
        self._high = settings.gear_up_high
        self._low_us, self._high_us = settings.gear_low_us, settings.gear_high_us
        self.command = command
        self._ticks = 0

    def start(self, inputs):
        """Power on: the gear is down until a pulse says otherwise."""
        self._ticks = 0

    def restart(self):
        """The link knows nothing from before."""
        self.command = codes.DOWN

    def tick(self, inputs, outputs):
        """Follow the pulse."""
        width_us = inputs.pulse_us[codes.GEAR]
        if inputs.fresh[codes.GEAR] and 800 <= width_us <= 2200:
            if width_us >= self._high_us:
                self.command = codes.UP if self._high else codes.DOWN
            elif width_us <= self._low_us:
                self.command = codes.DOWN if self._high else codes.UP
        self._ticks += 1
        outputs.tick, outputs.feed, outputs.gear_command = self._ticks, 1, self.command
        outputs.coil_up = int(self.command == codes.UP)
        outputs.coil_down = int(self.command == codes.DOWN and self._kind == codes.VALVE_TWO_COIL)


def is_dangerous(case):
    """Whether the failure of a case harms in a flight with a plain link."""
    kind = PHASE_BY_NAME[case.phase].kind
    scenario = base_scenario(case.aircraft, kind)
    fault = fault_of(case.variant, case.onset_ms)
    if case.variant.before_flight:
        flight = Flight(dataclasses.replace(scenario, faults=(fault,)), make_engine("cpython"), NoTrace())
        flight.engine = PlainLink(scenario.aircraft)
        flight.begin()
    else:
        flight, watch = base_flight(case.aircraft, kind).copy_at(case.onset_ms)
        flight.engine = PlainLink(scenario.aircraft, watch.before)
        flight.inject([fault])
    flight.bench.plant.step_s = AIR_STEP_S if fault.kind.device in AIR_DEVICES else STEP_S
    return _harms(flight, END_MS[kind])


def _harms(flight, end_ms):
    before, stick_before = flight.engine.command, flight.bench.stick
    moved_us = -(10**9)
    while flight.due_us <= end_ms * 1000 and flight.step():
        stick, command = flight.bench.stick, flight.engine.command
        if stick == codes.UP and stick_before == codes.DOWN:
            moved_us = flight.bench.t_us
        if command == codes.UP and before == codes.DOWN and flight.bench.t_us - moved_us > FOLLOWS_MS * 1000:
            return True
        before, stick_before = command, stick
    return not flight.bench.truth()[4]


def _of_variant(index):
    variant = VARIANTS[index]
    found = {}
    for case in cases_of(variant, once=True):
        found.setdefault(case.aircraft, {})[case.phase] = is_dangerous(case)
    return found


def fly_dangers(jobs=2):
    """{aircraft: {variant label: {phase: dangerous}}}, flown."""
    with ProcessPoolExecutor(jobs) as pool:
        found = list(pool.map(_of_variant, range(len(VARIANTS))))
    table = {}
    for variant, by_aircraft in zip(VARIANTS, found, strict=True):
        for aircraft, phases in by_aircraft.items():
            table.setdefault(aircraft, {})[variant.label] = phases
    return table


if __name__ == "__main__":
    FILE.write_text(json.dumps(fly_dangers(int((sys.argv + ["2"])[1])), indent=0, sort_keys=True) + "\n")
