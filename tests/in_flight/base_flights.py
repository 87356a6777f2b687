"""The flights that faults are put into, their phases, and copies of them at any tick.

Two aircraft: the Curlew 24 (one sensor, no switches, spring-return valve, a receiver that falls silent) and the Tern 30
(everything fitted, two-coil valve, a receiver with a preset). Each flies a circuit, a long cruise for what takes
minutes, and a filling on the ground. A flight is flown once a process; its state is kept before every tick that a
fault may begin at, and each fault gets a copy. test_forks.py shows that a copy flies as the whole flight would.
"""

import functools
import io
import pickle
import tempfile
from dataclasses import dataclass
from pathlib import Path

from host_sim.aircraft import Aircraft
from host_sim.engines import make_engine
from host_sim.flight import Flight
from host_sim.scenario import load_scenario

from .watch import Watch

TICK_MS = 20
AIRCRAFT = {"curlew": "curlew24.yaml", "tern": "tern30.yaml"}
MOVE_UP_MS = 7000
MOVE_DOWN_MS = 17000
TOUCHDOWN_MS = 23000
_HEAD = """\
title: Base flight
story: The flight that faults are put into.
aircraft: {file}
seed: {seed}
lasts: {lasts} s
covers: [SR-02 acts]
claims: [{{at: end, is: {{gear_command: down}}}}]
start: {{tank: {tank}, gear: down}}
beats:
  - {{at: 0 s, switch: down, throttle: 0 %, brake: 0 %, light: off}}
"""
_TAKE_OFF = """\
  - {at: 3 s, throttle: 90 %, over: 0.5 s}
  - {at: 3.5 s, airspeed: 40 m/s, over: 2 s}
  - {at: 5.5 s, ground: no}
  - {at: 7 s, switch: up}
"""
_CIRCUIT = (
    _TAKE_OFF
    + """\
  - {at: 12 s, brake: 60 %, over: 0.1 s}
  - {at: 12.5 s, brake: 0 %}
  - {at: 16 s, throttle: 40 %, airspeed: 30 m/s, over: 0.5 s}
  - {at: 17 s, switch: down, light: on}
  - {at: 22 s, throttle: 0 %}
  - {at: 23 s, ground: yes, airspeed: 0 m/s, over: 3 s}
  - {at: 24 s, brake: 70 %, over: 0.2 s}
  - {at: 26.5 s, brake: 0 %}
"""
)
_LONG = (
    _TAKE_OFF
    + """\
  - {at: 290 s, throttle: 40 %, airspeed: 30 m/s, over: 0.5 s}
  - {at: 292 s, switch: down}
  - {at: 298 s, ground: yes, airspeed: 0 m/s, over: 3 s}
"""
)
_FILLING = """\
  - {at: 3 s, filling: on}
  - {at: 9 s, filling: off}
  - {at: 11 s, switch: up}
  - {at: 12 s, switch: down}
"""
# kind: (beats, lasts s, tank of each aircraft)
_KINDS = {
    "circuit": (_CIRCUIT, 31, {"curlew": "7.2 bar", "tern": "108 psi"}),
    "long": (_LONG, 302, {"curlew": "7.2 bar", "tern": "108 psi"}),
    "filling": (_FILLING, 16, {"curlew": "4.5 bar", "tern": "66 psi"}),
}
KINDS = tuple(_KINDS)
FINE, USUAL, COARSE, MIDDLE = range(4)


@dataclass(frozen=True)
class Phase:
    """A stretch of a base flight: windows of from_ms <= onset < until_ms. `every` ticks lie between two onsets, for the
    fine, the usual and the coarse grid."""

    name: str
    kind: str
    windows: tuple
    every: tuple

    def onsets_ms(self, grid):
        """Onsets, ms since power-on; `grid` FINE, USUAL, COARSE, or MIDDLE: one, in the middle of the first window."""
        if grid == MIDDLE:
            return [(a + b) // (2 * TICK_MS) * TICK_MS for a, b in self.windows[:1]]
        return [t for a, b in self.windows for t in range(a, b, self.every[grid] * TICK_MS)]


EVERY = (1, 1, 1)  # in a stroke and where a brake takes air each tick is an onset of every failure
PHASES = (
    Phase("power-on, waking", "circuit", ((20, 1800), (1800, 2600)), (5, 20, 40)),
    Phase("on the ground, gear down", "circuit", ((2600, 3000),), (4, 10, 20)),
    Phase("take-off roll and lift-off", "circuit", ((3000, 6900),), (13, 39, 65)),
    Phase("retraction", "circuit", ((6900, 10120),), EVERY),
    Phase("up and cruising", "circuit", ((10120, 12000), (13200, 16900)), (14, 47, 94)),
    Phase("brake tap while up", "circuit", ((11960, 13200),), EVERY),
    Phase("extension", "circuit", ((16900, 20020),), EVERY),
    Phase("approach, gear down", "circuit", ((20020, 23000),), (15, 50, 75)),
    Phase("roll-out with brakes", "circuit", ((23000, 27000),), (20, 50, 100)),
    Phase("filling on the ground", "filling", ((3000, 11600),), (20, 72, 215)),
    Phase("long cruise", "long", ((20000, 200000),), (1500, 3000, 3000)),
)
# Where two failures meet: on the take-off roll, up and cruising, in the retraction.
PAIR_ONSETS_MS = (5000, 11000, 8500)
PHASE_BY_NAME = {phase.name: phase for phase in PHASES}


class NoTrace:
    """In place of the trace's recorder: the watch looks for itself."""

    def restarted(self):
        """Nothing to do."""

    def add(self, t_us, outputs, truth):
        """Nothing to do."""


def scenario_text(aircraft, kind):
    """YAML of a base flight."""
    beats, lasts, tanks = _KINDS[kind]
    return _HEAD.format(file=AIRCRAFT[aircraft], seed=4711, lasts=lasts, tank=tanks[aircraft]) + beats


@functools.cache
def base_scenario(aircraft, kind):
    """Checked scenario of a base flight, without faults."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{kind}.yaml"
        path.write_text(scenario_text(aircraft, kind))
        return load_scenario(path)


class _Pickler(pickle.Pickler):
    """Pickles a flight without its aircraft, which never changes and is large."""

    def __init__(self, file, scenario):
        super().__init__(file, 5)
        made = scenario.aircraft
        key = "curlew" if made.name.startswith("Curlew") else "tern"
        self.dispatch_table = {Aircraft: lambda _: (_aircraft, (key,))}


def _aircraft(key):
    return base_scenario(key, "circuit").aircraft


class BaseFlight:
    """One base flight, flown once; `copy_at(onset_ms)` gives (flight, watch) as they are before that tick."""

    def __init__(self, aircraft, kind):
        self.scenario = base_scenario(aircraft, kind)
        self._flight = Flight(self.scenario, make_engine("cpython"), NoTrace())
        self._watch = Watch(self.scenario.aircraft)
        self._kept = {}
        self._flight.begin()

    def fly_past(self, onsets_ms):
        """Fly on and keep a copy before each of the ticks; those that are kept or past already stay as they are."""
        wanted = sorted(set(onsets_ms) - set(self._kept))
        if wanted and wanted[0] * 1000 < self._flight.due_us:
            raise ValueError(f"{wanted[0]} ms is past")
        for onset_ms in wanted:
            while self._flight.due_us < onset_ms * 1000:
                self._flight.step()
                self._watch.look(self._flight)
            self._kept[onset_ms] = self._dump()

    def _dump(self):
        file = io.BytesIO()
        _Pickler(file, self.scenario).dump((self._flight, self._watch))
        return file.getvalue()

    def copy_at(self, onset_ms):
        """(flight, watch) before the tick at onset_ms, which must have been named to `fly_past`."""
        return pickle.loads(self._kept[onset_ms])


@functools.cache
def base_flight(aircraft, kind):
    """The BaseFlight of this process with every tick of the fine grid kept."""
    base = BaseFlight(aircraft, kind)
    onsets = {t for phase in PHASES if phase.kind == kind for grid in range(4) for t in phase.onsets_ms(grid)}
    if kind == "circuit":
        onsets |= set(PAIR_ONSETS_MS)
    base.fly_past(onsets)
    return base
