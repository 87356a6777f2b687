"""Scenarios made from a few lines, and an engine that does what a test tells it."""

import pytest

from controller import codes
from host_sim.scenario import load_scenario

HEAD = """\
title: A test
story: Made by a test.
aircraft: curlew24.yaml
covers: [SR-36 acts]
claims: [{at: end, is: {pilot_switch: down}}]
"""


@pytest.fixture
def scenario(tmp_path):
    """Builds a Scenario: `scenario(faults=["{what: ..}"], beats=[..], lasts=.., start=.., options=.., seed=..)`."""

    def build(
        faults=(),
        beats=("{at: 0 s, switch: down}",),
        lasts="4 s",
        start="{tank: 7 bar, gear: down}",
        seed=1,
        options="",
    ):
        lines = [HEAD, f"seed: {seed}", f"lasts: {lasts}", f"start: {start}", "beats:"]
        lines += [f"  - {beat}" for beat in beats]
        if faults:
            lines += ["faults:"] + [f"  - {fault}" for fault in faults]
        if options:
            lines.append(f"options: {options}")
        path = tmp_path / "test.yaml"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return load_scenario(path)

    return build


class ScriptedEngine:
    """Follows the gear pulse with no thought, feeds, and remembers what it was given. `act(self, inputs, outputs)` may
    change the outputs of each tick."""

    NOW, PULSES, FRESH, COUNTS, RAIL, SUPPLY, LOCKS, GROUND, BUTTON = range(9)

    def __init__(self, act=None):
        self.act = act
        self.starts = []  # (settings_a, settings_b, valve_kind, retained_count) of each boot
        self.seen = []
        self.tick_number = 0

    def start(self, inputs):
        """Remember the boot fields."""
        self.starts.append((inputs.settings_a, inputs.settings_b, inputs.valve_kind, inputs.retained_count))
        self.tick_number = 0

    def restart(self):
        """Nothing to throw away."""

    def tick(self, inputs, outputs):
        """Gear as the pulse says."""
        self.tick_number += 1
        outputs.tick = self.tick_number
        outputs.feed = 1
        outputs.retained_count = len(self.starts)
        outputs.gear_command = codes.UP if inputs.pulse_us[codes.GEAR] > 1700 else codes.DOWN
        outputs.coil_up = outputs.gear_command
        self.seen.append(
            (
                inputs.now_ms,
                list(inputs.pulse_us),
                list(inputs.fresh),
                list(inputs.counts),
                inputs.rail_counts,
                inputs.supply_counts,
                list(inputs.lock_level),
                inputs.ground_level,
                inputs.button,
            )
        )
        if self.act:
            self.act(self, inputs, outputs)

    def column(self, index):
        """One input of every tick, as a list."""
        return [row[index] for row in self.seen]


@pytest.fixture
def engine():
    """A ScriptedEngine; `engine(act)` makes one with an action."""
    return ScriptedEngine
