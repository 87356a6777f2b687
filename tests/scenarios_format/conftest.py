"""Small files to read: a scenario and an aircraft that are right, to be bent by each test."""

from pathlib import Path

import pytest

from host_sim.aircraft import AIRCRAFT_DIR

SCENARIO = """\
title: A flight
story: Up and down.
aircraft: curlew24.yaml
seed: 1
lasts: 20 s
covers: [SR-08 acts]
start: {tank: 7.2 bar, gear: down}
beats:
  - {at: 0 s, switch: down, throttle: 0 %}
  - {at: 5 s, switch: up}
  - {at: 8 s, throttle: 80 %, over: 2 s}
faults:
  - {what: slow leak, from: 6 s, until: 18 s, hole: 0.2 mm}
claims:
  - {by: 6 s, is: {gear_command: up}}
"""


class Files:
    """Writes bent copies of a file and tells the line on which a text stands."""

    def __init__(self, folder):
        self.folder = Path(folder)

    def write(self, text, name="flight.yaml"):
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path

    def scenario(self, old="", new="", text=SCENARIO):
        """Path of the scenario with `old` replaced by `new`; `old` must stand there once."""
        if old:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        return self.write(text)

    def aircraft(self, old="", new="", name="curlew24.yaml"):
        """The same for a shipped aircraft file."""
        return self.scenario(old, new, (AIRCRAFT_DIR / name).read_text(encoding="utf-8"))


@pytest.fixture
def files(tmp_path):
    return Files(tmp_path)
