"""What the tests of the bench share: an invented bench with a spy, one step or several run, records by hand."""

from datetime import datetime
from functools import cache

from host_sim.aircraft import load_aircraft
from host_sim.commission.board import BenchBoard, fingerprint
from host_sim.commission.plan import steps_for
from host_sim.commission.record import Record, wanted_wiring
from host_sim.commission.session import Session
from host_sim.commission.simulated import simulated_bench
from host_sim.commission.step import Result, Setting
from tests.shipped import PATHS

AIRCRAFT_DIR = PATHS[0].parent.parent / "aircraft"
NOON = datetime(2026, 1, 31, 12, 0, 0)


@cache
def aircraft(name):
    """A shipped aircraft."""
    return load_aircraft(AIRCRAFT_DIR / f"{name}.yaml")


class Spied:
    """A link that notes what is sent, into `events`; `dies_at` a command at which the board falls silent."""

    def __init__(self, link, events, dies_at=None):
        self._link, self._events, self._dies_at, self._dead = link, events, dies_at, False

    def send(self, line):
        self._events.append(("sent", line))
        self._dead |= line == self._dies_at
        if not self._dead:
            self._link.send(line)

    def receive(self, within_s):
        return None if self._dead else self._link.receive(within_s)

    def __getattr__(self, name):
        return getattr(self._link, name)


class Bench:
    """A session on an invented bench, ready to run; `said` the lines, `events` what was sent and done in their order."""

    def __init__(self, name, steps=None, defect="", dies_at=None):
        self.said, self.events, self.kept = [], [], []
        self.aircraft = aircraft(name)
        self.link, self.person = simulated_bench(self.aircraft, self.said.append, defect)
        act = self.person._act

        def spied(key, *rest):
            self.events.append(("done", key[0]))
            act(key, *rest)

        self.person._act = spied
        wanted = [step for step in steps_for(self.aircraft) if steps is None or step.name in steps]
        board = BenchBoard(Spied(self.link, self.events, dies_at))
        self.session = Session(
            Setting(self.aircraft, board, self.person, self.aircraft.unit),
            wanted,
            self.kept.append,
            self.said.append,
            lambda: NOON,
        )

    def run(self):
        """Results of all steps."""
        return self.session.run()


def verdict(name, step, defect=""):
    """The Result of one step on an invented bench."""
    (result,) = Bench(name, (step,), defect).run()
    return result


def record(name, date="2026-01-31 12:00:00", verdicts=None, simulated=False, **changed):
    """A Record in which every step passed, or as `verdicts` {step: verdict} says; other fields as given."""
    one = aircraft(name)
    made = Record(
        aircraft=one.name,
        date=date,
        simulated=simulated,
        operator="Pat Builder",
        board="rp2040",
        board_id="e66",
        firmware="micropython 1.28.0",
        version="0.1.0",
        settings=fingerprint(one.packed),
        wiring=wanted_wiring(one),
    )
    for key, value in changed.items():
        setattr(made, key, value)
    verdicts = verdicts if verdicts is not None else {step.name: "passed" for step in steps_for(one)}
    for step, word in verdicts.items():
        made.steps.append(Result(step, word, seen=["seen"], at="12:00:00"))
    return made
