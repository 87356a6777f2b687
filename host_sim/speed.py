"""How fast a flight of ten minutes is flown, and where the time goes: `python -m host_sim.speed`.

Everything is measured in one run, turn and turn about, and the best of the rounds counts; the ratios, not the seconds,
are what can be compared between machines. `--short` flies one minute.
"""

import argparse
import copy
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from controller.frames import Outputs

from .air.plant import Plant
from .engines import CPythonEngine, EngineError, MicroPythonEngine
from .flight import Flight, fly
from .scenario import load_scenario

SCENARIO = """\
title: Ten minutes with three circuits
story: Take-off, two low passes with the gear down between, landing and braking. Nothing breaks.
aircraft: curlew24.yaml
seed: 10
lasts: 600 s
covers: [SR-02 acts]
claims: [{at: end, is: {gear_command: down}}]
start: {tank: 7.4 bar, gear: down}
beats:
  - {at: 0 s, switch: down, throttle: 0 %, brake: 0 %}
  - {at: 10 s, throttle: 90 %, over: 2 s}
  - {at: 12 s, airspeed: 60 m/s, over: 10 s}
  - {at: 24 s, switch: up}
  - {at: 30 s, altitude: 120 m, over: 60 s}
  - {at: 250 s, switch: down}
  - {at: 280 s, switch: up}
  - {at: 540 s, switch: down, airspeed: 35 m/s, over: 20 s}
  - {at: 565 s, throttle: 0 %, altitude: 0 m, over: 5 s}
  - {at: 575 s, brake: 60 %, over: 1 s}
  - {at: 580 s, brake: 0 %, airspeed: 0 m/s, over: 1 s}
"""
SHORT_S = 60.0


class Keeper(CPythonEngine):
    """CPython that keeps a copy of the inputs and outputs of every tick."""

    def __init__(self):
        super().__init__()
        self.ticks = []

    def tick(self, inputs, outputs):
        """One tick, kept."""
        before = copy.deepcopy(inputs)
        super().tick(inputs, outputs)
        self.ticks.append((before, copy.deepcopy(outputs)))


class Player:
    """No controller: plays kept outputs back."""

    def __init__(self, ticks):
        self._ticks = ticks

    def start(self, inputs):
        """From the first tick."""
        self._next = iter(self._ticks)

    def tick(self, inputs, outputs):
        """The outputs of the tick as they were."""
        kept = next(self._next)[1]
        for name in Outputs.__slots__:
            setattr(outputs, name, getattr(kept, name))


def keep(scenario):
    """(ticks, demands, plant arguments) of a flight: all that is needed to run its parts alone."""
    engine = Keeper()
    flight = Flight(scenario, engine)
    plant, demands = flight.bench.plant, []
    advance = plant.advance

    def kept_advance(dt_s, demand):
        demands.append((dt_s, copy.copy(demand)))
        advance(dt_s, demand)

    plant.advance = kept_advance
    flight.run()
    start = scenario.start
    return engine.ticks, demands, (plant.air, start.tank_pa_gauge, start.ambient_k, start.altitude_m, start.gear_down)


def run_plant(demands, arguments):
    """The plant alone, under the demands of the flight."""
    plant = Plant(*arguments)
    for dt_s, demand in demands:
        plant.advance(dt_s, demand)


def run_controller(ticks, engine):
    """The controller alone, on the inputs of the flight."""
    engine.start(ticks[0][0])
    outputs = Outputs()
    for inputs, _ in ticks:
        engine.tick(inputs, outputs)


def parts(scenario, micropython):
    """List of (name, function) of what is measured; `micropython` is an engine, or None where there is none."""
    ticks, demands, arguments = keep(scenario)
    own = CPythonEngine()
    found = [
        ("whole flight, controller on CPython", lambda: fly(scenario, own)),
        ("whole flight, no controller (outputs played back)", lambda: fly(scenario, Player(ticks))),
        ("air system alone", lambda: run_plant(demands, arguments)),
        ("controller alone on CPython", lambda: run_controller(ticks, own)),
    ]
    if micropython:
        found.append(("whole flight, controller on MicroPython", lambda: fly(scenario, micropython)))
        found.append(("controller alone on MicroPython, over the pipe", lambda: run_controller(ticks, micropython)))
    return found


def measure(found, rounds):
    """Best seconds of each part over the rounds, turn and turn about."""
    best = [float("inf")] * len(found)
    for _ in range(rounds):
        for index, (_, function) in enumerate(found):
            before_s = time.perf_counter()
            function()
            best[index] = min(best[index], time.perf_counter() - before_s)
    return best


def report(found, best, duration_s):
    """Lines of the report: simulated seconds a second, and each part against the first."""
    width = max(len(name) for name, _ in found)
    lines = [f"{'':<{width}}  simulated s/s   of the first"]
    for (name, _), seconds in zip(found, best, strict=True):
        lines.append(f"{name:<{width}}  {duration_s / seconds:13.0f}   {seconds / best[0]:12.2f}")
    return lines


def load():
    """The scenario of ten minutes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ten_minutes.yaml"
        path.write_text(SCENARIO, encoding="utf-8")
        return load_scenario(path)


def main(arguments=None):
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m host_sim.speed", description=__doc__.split("\n")[0])
    parser.add_argument("--short", action="store_true", help="one minute instead of ten")
    parser.add_argument("--rounds", type=int, default=3, choices=range(1, 21), metavar="1..20")
    options = parser.parse_args(arguments)
    scenario = load()
    if options.short:
        scenario = replace(scenario, duration_s=SHORT_S)
    try:
        micropython = MicroPythonEngine()
    except EngineError as error:
        print(error)
        micropython = None
    found = parts(scenario, micropython)
    best = measure(found, options.rounds)
    print("\n".join(report(found, best, scenario.duration_s)))
    if micropython:
        micropython.close()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
