"""SR-31: what is raised makes the outputs safe, and nothing is fed after."""

import pytest

from controller.cycle import Cycle
from controller.packing import pack
from controller.settings import Settings


class Board:
    """Counts what it is asked for; raises where told."""

    def __init__(self, raise_in=None, at=0):
        self.raise_in = raise_in
        self.at = at
        self.calls = {"sample": 0, "apply": 0, "now_ms": 0, "feed": 0, "make_safe": 0}

    def _call(self, name):
        self.calls[name] += 1
        if name == self.raise_in and self.calls[name] > self.at:
            raise OSError(name)

    def sample(self, inputs):
        self._call("sample")
        inputs.settings_a = inputs.settings_b = pack(Settings())

    def apply(self, outputs):
        self._call("apply")

    def now_ms(self):
        self._call("now_ms")
        return self.calls["now_ms"] * 20

    def feed(self):
        self._call("feed")

    def make_safe(self):
        self._call("make_safe")


@pytest.mark.sr("SR-31", "spares")
def test_healthy_cycle_is_fed_every_tick():
    board = Board()
    cycle = Cycle(board)
    for _ in range(100):
        cycle.run_once()
    assert board.calls == {"sample": 101, "apply": 100, "now_ms": 100, "feed": 100, "make_safe": 0}


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("where", ["sample", "apply", "now_ms", "feed"])
def test_raise_makes_safe_and_stops_for_good(where):
    board = Board(where, at=10)
    cycle = Cycle(board)
    for _ in range(100):
        cycle.run_once()
    assert cycle.dead == 1
    assert board.calls["make_safe"] == 1
    assert board.calls["feed"] <= 11
    assert board.calls["sample"] <= 12


@pytest.mark.sr("SR-31", "acts")
def test_raise_in_the_tick_itself():
    board = Board()
    cycle = Cycle(board)
    cycle.run_once()
    cycle.inputs.counts = None
    cycle.run_once()
    cycle.run_once()
    assert (cycle.dead, board.calls["make_safe"], board.calls["feed"], board.calls["apply"]) == (1, 1, 1, 1)


@pytest.mark.sr("SR-31", "acts")
def test_raise_at_boot():
    board = Board("sample", at=0)
    cycle = Cycle(board)
    cycle.run_once()
    assert (cycle.dead, board.calls["make_safe"], board.calls["apply"], board.calls["feed"]) == (1, 1, 0, 0)
