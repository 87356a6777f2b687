"""From a Plan to an ordinary scenario, and from there to a Record: what was true at each tick, and what was commanded."""

import random
from dataclasses import dataclass, field
from pathlib import Path

from controller import codes
from host_sim.engines import CPythonEngine
from host_sim.flight import Flight
from host_sim.scenario import load_scenario

from .airframes import SIGNATURE_US

FAULT_ROWS = (
    ("outages", lambda row: f"what: transmitter off, from: {row[0]:.3f} s, until: {row[1]:.3f} s"),
    ("dips", lambda row: f"what: supply sag, from: {row[0]:.3f} s, until: {row[1]:.3f} s, supply: {row[2]} V"),
    ("gaps", lambda row: f"what: sensor open, from: {row[0]:.3f} s, until: {row[1]:.3f} s, sensor: {'ab'[row[2]]}"),
    ("late", lambda row: f"what: late ticks, from: {row[0]:.2f} s, late: {row[1]} ms"),
    (
        "glitches",
        lambda row: (
            f"what: glitches, from: {row[0]:.2f} s, until: {row[1]:.2f} s, "
            f"channel: {row[2]}, share: {row[3]} %, run: {row[4]}"
        ),
    ),
)


FRESH_TICKS = 4
SPOILT_US = 20


class PeakNoise(random.Random):
    """In place of normal noise: plus or minus three deviations, which is the peak that an aircraft file states.

    `hold` is the mean number of samples between two draws: 1 is from sample to sample, more passes a median.
    """

    def __init__(self, seed, hold):
        super().__init__(seed)
        self.hold = hold
        self.sign = 1.0

    def gauss(self, mu=0.0, sigma=1.0):
        """mu plus or minus 3 sigma."""
        if self.random() * self.hold < 1.0:
            self.sign = self.choice((-1.0, 1.0))
        return mu + 3.0 * sigma * self.sign


@dataclass
class Record:
    """Columns of one flight, one member a tick: t_s, the truth, and what the controller commanded.

    `heard` is 1 in a tick that saw a frame of the pilot's, not one of a preset; `spoilt` how many frames in a row, as
    far as ticks saw them, had another width than the stick's; `held` the words of the causes that hold the gear, ""
    for none.
    """

    t_s: list = field(default_factory=list)
    tank_bar: list = field(default_factory=list)
    supply_v: list = field(default_factory=list)
    travel: list = field(default_factory=list)
    stick: list = field(default_factory=list)
    heard: list = field(default_factory=list)
    spoilt: list = field(default_factory=list)
    command: list = field(default_factory=list)
    held: list = field(default_factory=list)
    refusal: list = field(default_factory=list)


class _Nobody:
    """A recorder that keeps nothing: the trace is not wanted."""

    def restarted(self):
        """A start of the controller."""

    def add(self, t_us, outputs, truth):
        """A tick."""


def scenario_text(plan):
    """The scenario file of a plan; all of it but the shape of the noise."""
    inst = plan.installation
    lines = [
        f"title: Nuisance flight {plan.seed}",
        f"story: Drawn from seed {plan.seed}; {plan.stratum}. Sensor noise, {plan.noise}.",
        f"aircraft: {inst.file}",
        f"seed: {plan.seed}",
        f"lasts: {plan.duration_s} s",
        "covers: [SR-03 spares]",
        f"start: {{tank: {plan.fill_bar} bar, gear: down, altitude: {plan.altitude_m} m, ambient: {plan.ambient_k} K}}",
        f"options: {inst.options()}",
        "beats:",
        *(f"  - {{at: {t_s:.2f} s, {what}}}" for t_s, what in sorted(_beats(plan), key=lambda beat: beat[0])),
    ]
    faults = list(_faults(plan))
    if faults:
        lines += ["faults:", *(f"  - {{{fault}}}" for fault in faults)]
    lines.append("claims: [{always: {cause: none}}]")
    return "\n".join(lines) + "\n"


def _beats(plan):
    yield 0.0, "switch: down, throttle: 0 %, brake: 0 %, light: off"
    yield 3.0, "throttle: 90 %, over: 1 s"
    yield 4.0, "airspeed: 45 m/s, over: 4 s"
    yield plan.airborne_s, "ground: no"
    for t_s, up in plan.moves:
        yield t_s, f"switch: {'up' if up else 'down'}"
    for on_s, off_s, level in plan.taps:
        yield on_s, f"brake: {100 * level:.0f} %"
        yield off_s, "brake: 0 %"
    if plan.climb:
        begin_s, end_s, metres, kelvin = plan.climb
        to_m, to_k = plan.altitude_m + metres, plan.ambient_k + kelvin
        yield begin_s, f"altitude: {to_m:.1f} m, ambient: {to_k:.2f} K, over: {end_s - begin_s:.2f} s"


def _faults(plan):
    for name, row_text in FAULT_ROWS:
        for row in getattr(plan, name):
            yield row_text(row)
    if plan.low_source:
        begin_s, end_s, volts = plan.low_source
        yield f"what: supply sag, from: {begin_s:.2f} s, until: {min(end_s, plan.duration_s):.2f} s, supply: {volts} V"
    if plan.leak:
        yield f"what: slow leak, from: {plan.leak[0]:.2f} s, until: {plan.leak[1]:.2f} s, hole: {plan.leak[2]} mm"
    if plan.clock_percent != 100.0:
        yield f"what: clock rate, from: 0 s, rate: {plan.clock_percent} %"


def fly(plan, folder):
    """Record of a plan. Its scenario file is left in `folder`, a Path."""
    path = Path(folder) / f"nuisance_{plan.seed}.yaml"
    path.write_text(scenario_text(plan), encoding="utf-8")
    flight = Flight(load_scenario(path), CPythonEngine(), _Nobody())
    if plan.noise != "normal":
        for index, sensor in enumerate(flight.bench.sensors):
            sensor._random = PeakNoise(f"{plan.seed}/{index}", 1 if plan.noise == "peak" else 12)
    record = Record()
    flight.begin()
    while flight.step():
        _note(record, flight, plan.installation.has_signature)
    flight.finish()
    return record


def _note(record, flight, has_signature):
    bench, inputs, outputs = flight.bench, flight.inputs, flight.outputs
    record.t_s.append(bench.t_us / 1e6)
    record.tank_bar.append(bench.plant.tank_pa_gauge / 1e5)
    record.supply_v.append(bench.supply.volts)
    record.travel.append(bench.plant.gear_travel)
    record.stick.append(bench.stick)
    record.heard.append(_is_pilots(inputs, has_signature))
    record.command.append(outputs.gear_command)
    record.spoilt.append(_spoilt(record, flight))
    record.held.append(_causes(outputs.latched) if any(outputs.latched) else "")
    record.refusal.append(outputs.refusal)


def _spoilt(record, flight):
    """Length of the row of spoilt frames that this tick ends or goes on with; a tick without a frame changes nothing."""
    before = record.spoilt[-1] if record.spoilt else 0
    if not record.heard[-1]:
        return before
    receiver = flight.bench.aircraft.receiver
    # A frame may show where the stick was: it takes its time, and in a dropout the receiver repeats the last ones.
    ticks = FRESH_TICKS + int(receiver.failsafe_delay_ms) // flight.bench.tick_ms()
    for stick in record.stick[-ticks:]:
        meant_us = (receiver.high_us if stick == codes.UP else receiver.low_us)[codes.GEAR]
        if abs(flight.inputs.pulse_us[codes.GEAR] - meant_us) <= SPOILT_US:
            return 0
    return before + 1


def _causes(latched):
    return "+".join(codes.CAUSE_WORDS[index] for index, flag in enumerate(latched) if flag)


def _is_pilots(inputs, has_signature):
    if not inputs.fresh[codes.GEAR]:
        return 0
    return int(not (has_signature and SIGNATURE_US[0] <= inputs.pulse_us[codes.SPARE] <= SIGNATURE_US[1]))
