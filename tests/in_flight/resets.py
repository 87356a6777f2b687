"""A reset after every tick of every shipped scenario (SR-01, SR-10, SR-32).

A scenario is flown once and its inputs kept. Then, for every tick, a new controller boots as it would after a reset in
that tick, with the boot time of the bench and what memory had retained, and hears the inputs from there on. The plant
does not answer to it: after a reset the controller must be right whatever the inputs are, and faults.py's own reset is
flown with the plant in singles.py. Followed are the time in which SR-01 forbids UP and a little more, and on to the
end of a move of the pilot's switch to UP that begins soon after. The first output, every output and the retained count
are checked at each tick; where UP comes, the whole stretch is heard again by watch.Watch, which says whether it may.
"""

import pickle
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from controller import codes
from controller.frames import Inputs, Outputs
from controller.tick import Controller
from host_sim.bench import BOOT_US
from host_sim.engines import CPythonEngine
from host_sim.flight import Flight
from host_sim.scenario import load_scenario, shipped_scenarios

from .base_flights import NoTrace
from .campaign import FULL, Part
from .watch import Watch

FOLLOW_TICKS = 118
MOVE_WITHIN_TICKS = 300
MOVE_ENDS_TICKS = 20
HEALTHY_TICKS = 3000
LIMIT = 3
THIRD_EVERY = 10
STAYS_DOWN, MOVED, LOCKED_OUT = "down throughout", "up by a fresh move only", "locked out"
_COPIED = ("now_ms", "rail_counts", "supply_counts", "ground_level", "button")


class Kept:
    """Inputs of a scenario's flight: `rows` of (t_us, Inputs, stick, expected retained count), `boot` fields, and the
    indices at which the flight itself begins anew."""

    def __init__(self, scenario):
        self.aircraft = scenario.aircraft
        self.rows, self.begins = [], [0]
        engine = _Keeper()
        flight = Flight(scenario, engine, NoTrace())
        flight.begin()
        self.boot = engine.boot
        healthy = count = resets = 0
        while flight.step():
            if len(flight.trace.resets) != resets:
                resets = len(flight.trace.resets)
                self.begins.append(len(self.rows))
                count = 0 if flight.trace.resets[-1][1] == "supply" else min(LIMIT, count + 1)
                healthy = 0
            if engine.latest is None:
                continue
            healthy = healthy + 1 if flight.outputs.feed else 0
            if healthy > HEALTHY_TICKS and count < LIMIT:
                count = 0
            self.rows.append((flight.bench.t_us, engine.latest, flight.bench.stick, count))
            engine.latest = None
        self.begins.append(len(self.rows))


class _Keeper(CPythonEngine):
    """Keeps the inputs of each tick and those of the first boot."""

    def __init__(self):
        super().__init__()
        self.boot = self.latest = None

    def start(self, inputs):
        """Boot fields of the first start are kept."""
        self.boot = self.boot or inputs
        super().start(inputs)

    def tick(self, inputs, outputs):
        """A copy of what the tick hears."""
        kept = Inputs()
        for name in _COPIED:
            setattr(kept, name, getattr(inputs, name))
        kept.pulse_us, kept.fresh = list(inputs.pulse_us), list(inputs.fresh)
        kept.counts, kept.lock_level = list(inputs.counts), list(inputs.lock_level)
        self.latest = kept
        super().tick(inputs, outputs)


@dataclass
class _After:
    """One reset: what was seen after it."""

    up_at: int | None = None
    locked_out: bool = False
    wrong: str = ""


class Resetter:
    """Resets at any tick of one kept flight."""

    def __init__(self, kept):
        self.kept = kept
        self._fresh = {}
        stick = [row[2] for row in kept.rows]
        self._moves = [i for i in range(1, len(stick)) if stick[i] == codes.UP and stick[i - 1] == codes.DOWN]

    def _controller(self, count):
        """A controller that has just booted with a retained count, copied from one made once."""
        if count not in self._fresh:
            boot = Inputs()
            for name in ("settings_a", "settings_b", "valve_kind", "servo_down_us", "servo_up_us"):
                setattr(boot, name, getattr(self.kept.boot, name))
            boot.retained_count, boot.retained_check = count, 0x2D5B ^ count
            self._fresh[count] = pickle.dumps(Controller(boot), 5)
        return pickle.loads(self._fresh[count])

    def after(self, tick, count):
        """_After a reset right after tick number `tick`, with a retained count."""
        first = self._first(tick)
        last = self._last(first)
        controller, outputs, found = self._controller(count), Outputs(), _After()
        due = min(LIMIT, count + 1)
        rows = self.kept.rows
        for index in range(first, last):
            controller.tick(rows[index][1], outputs)
            if outputs.gear_command != codes.DOWN or outputs.coil_up:
                found.up_at = index
                break
        found.locked_out = outputs.mode == codes.LOCKED_OUT
        self._count(found, outputs, due, last - first)
        if found.up_at is not None:
            self._hear_again(found, first, last, count)
        return found

    def _count(self, found, outputs, due, n_ticks):
        if n_ticks == 0:
            return
        if outputs.retained_count != due or outputs.retained_check != 0x2D5B ^ due:
            found.wrong = f"SR-32: retained count {outputs.retained_count} where {due} was due"
        if found.locked_out != (due == LIMIT) or outputs.active[codes.ALERT_LOCKED_OUT] != int(due == LIMIT):
            found.wrong = f"SR-32: lock-out is wrong after {due} restarts"

    def _first(self, tick):
        """Row that is the first tick after the boot."""
        boot_us = self.kept.rows[tick][0] + BOOT_US
        index = tick + 1
        while index < len(self.kept.rows) and self.kept.rows[index][0] < boot_us:
            index += 1
        return index

    def _last(self, first):
        """Row to stop before: after the time of SR-01, after a move that comes soon, or where the flight restarts."""
        last = first + FOLLOW_TICKS
        for move in self._moves:
            if first <= move <= first + MOVE_WITHIN_TICKS:
                last = max(last, move + MOVE_ENDS_TICKS)
        begin = next((begin for begin in self.kept.begins if begin > first), first)
        return min(last, begin)

    def _hear_again(self, found, first, last, count):
        """UP came: may it have?"""
        watch, controller, outputs = Watch(self.kept.aircraft), self._controller(count), Outputs()
        for index in range(first, last):
            t_us, inputs, stick, _ = self.kept.rows[index]
            controller.tick(inputs, outputs)
            watch.see(t_us, inputs, outputs, stick)
        if watch.broken:
            found.wrong = f"{watch.broken[0][1]}: {watch.broken[0][2]} at {watch.broken[0][0] / 1e6:.2f} s"
        elif found.locked_out or min(LIMIT, count + 1) == LIMIT:
            found.wrong = "SR-32: UP after the lock-out"


def fly_scenario(path, stride):
    """Part of resets after every `stride`-th tick of one scenario; every tenth of them as the third one too."""
    scenario = load_scenario(path)
    kept = Kept(scenario)
    resetter, part = Resetter(kept), Part()
    for n, tick in enumerate(range(0, len(kept.rows) - 1, stride)):
        counts = (kept.rows[tick][3], LIMIT - 1) if n % THIRD_EVERY == 0 else (kept.rows[tick][3],)
        for count in counts:
            found = resetter.after(tick, count)
            outcome = LOCKED_OUT if found.locked_out else STAYS_DOWN if found.up_at is None else MOVED
            part.flights += 1
            part.outcomes["wrong" if found.wrong else outcome] += 1
            part.rests_on.update(("SR-01", "SR-10", "SR-32"))
            if found.wrong:
                part.broken[found.wrong[:5]] += 1
                part.wrong.append((f'--reset "{scenario.name}/{tick}/{count}"', found.wrong))
    return part


def reset_again(text):
    """Text of one reset, "scenario/tick/retained count", made again."""
    name, tick, count = text.split("/")
    path = next(path for path in shipped_scenarios() if path.stem == name)
    found = Resetter(Kept(load_scenario(path))).after(int(tick), int(count))
    return found.wrong


def fly_resets(form=FULL, jobs=2):
    """Part of all scenarios; the other forms take every eighth scenario and every 61st tick."""
    paths = shipped_scenarios()[:: 1 if form == FULL else 8]
    strides = [1 if form == FULL else 61] * len(paths)
    total = Part()
    with ProcessPoolExecutor(jobs) as pool:
        for part in pool.map(fly_scenario, paths, strides):
            total.merge(part)
    return total
