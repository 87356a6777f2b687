"""Holds the wiring of nets_flight.py against the real `Controller.tick`, tick by tick, over the traces of a search.

The real Controller is built from packed settings as a board would build it. Only strokes, tank and health are replaced,
by stand-ins whose outputs are the letters, because the search left them free; everything else is as it flies: levers,
locks, valve, aids, alerts and journal run too, so that a feedback from them into the decision would show.
"""

import numpy as np

from controller.codes import VALVE_SPRING
from controller.frames import Inputs, Outputs
from controller.packing import pack
from controller.strokes import Strokes
from controller.tank import Tank
from controller.tick import Controller

from .nets_flight import FREE

COMPARED = ("after", "causes", "gear.mode", "gear.refusal", "link.state", "switch.position")


class FreeStrokes(Strokes):
    """Its outputs are set from outside."""

    def step(self, *_):
        pass


class FreeTank(Tank):
    def step(self, *_):
        pass


class FreeHealth:
    """Every stage is well; lateness and the clock are set from outside."""

    late_latch = clock_bad = late = late_ms = period_sum_ms = 0
    feed_leave = 1

    def begin(self, now_ms):
        pass

    def mark(self, stage, state, highest):
        assert 0 <= state <= highest, f"stage {stage} is unwell"

    def finish(self):
        pass


class Real:
    """A controller as it flies, but for what is free."""

    def __init__(self, settings):
        self.settings = settings
        self.inputs = Inputs()
        self.inputs.settings_a = self.inputs.settings_b = pack(settings)
        self.inputs.valve_kind = VALVE_SPRING
        self.outputs = Outputs()
        self.controller = Controller(self.inputs)
        self.controller.strokes = FreeStrokes(self.controller.settings, self.controller.limits)
        self.controller.tank = FreeTank(self.controller.limits)
        self.controller.health = FreeHealth()

    def tick(self, letter):
        """One tick; returns the values of COMPARED."""
        values, inputs, controller = letter.values, self.inputs, self.controller
        inputs.fresh[0], inputs.pulse_us[0] = values["fresh"], values["us"]
        if self.settings.signature_channel:
            channel = self.settings.signature_channel
            inputs.fresh[channel], inputs.pulse_us[channel] = values["mark_fresh"], values["mark_us"]
        inputs.counts[0], inputs.counts[1], inputs.rail_counts = values["code_a"], values["code_b"], values["rail"]
        inputs.ground_level = values["ground"]
        inputs.supply_counts = values["supply_counts"]
        for name in FREE:
            part, field = name.split(".")
            setattr(getattr(controller, part), field, values[name])
        for sensor, stuck in zip(controller.pressure.sensors, (values["stuck_a"], values["stuck_b"]), strict=True):
            sensor.frozen = stuck
        controller.tick(inputs, self.outputs)
        out = self.outputs
        causes = sum(bit << cause for cause, bit in enumerate(out.latched))
        return out.gear_command, causes, out.mode, out.refusal, out.link, out.switch


def compare(search, settings, n_traces):
    """Replays about `n_traces` shortest traces, spread over all states. Returns (what differs or "", letters)."""
    network = search.network
    numbers = np.linspace(0, search.states - 1, min(n_traces, search.states)).astype(np.int64)
    traces = search.traces(numbers)
    longest = max(len(trace) for trace in traces)
    padded = np.array([trace + [0] * (longest - len(trace)) for trace in traces], np.int32)
    columns = [np.zeros(len(traces), np.int32) for _ in network.parts]
    seen = []
    for tick in range(longest):
        columns, _, kept = network.step(columns, padded[:, tick], COMPARED)
        seen.append(kept)
    ticks = 0
    for row in range(len(traces)):
        real = Real(settings)
        for tick in range(longest):
            got = real.tick(network.letters[padded[row, tick]])
            for name, value in zip(COMPARED, got, strict=True):
                code = seen[tick][name][row]
                # 0: this tick wrote nothing there and nobody reads it
                if code != 0 and network.signals[name].values[code] != value:
                    words = [network.letters[letter].words for letter in padded[row, : tick + 1]]
                    return f"{name} is {network.signals[name].values[code]} in the search, {value} in the tick", words
            ticks += 1
    return "", ticks
