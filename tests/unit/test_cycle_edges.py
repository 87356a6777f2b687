"""The loop around a tick: each of a board's five methods raises in turn, at boot and later."""

import pytest

from controller import Inputs, Outputs
from controller.cycle import Cycle
from controller.packing import pack
from controller.settings import Settings

GOOD = pack(Settings())


class Board:
    """Notes every call in order; raises in the `at`-th call of `raises`, or hands out settings that break the boot."""

    def __init__(self, raises=None, at=1, settings=GOOD, period_ms=20):
        self.raises, self.at, self.settings, self.period_ms = raises, at, settings, period_ms
        self.calls = []
        self.now = 0
        self.seen = []

    def note(self, name):
        self.calls.append(name)
        if name == self.raises and self.calls.count(name) == self.at:
            raise RuntimeError(name)

    def sample(self, inputs):
        self.note("sample")
        assert isinstance(inputs, Inputs)
        inputs.settings_a = inputs.settings_b = self.settings

    def apply(self, outputs):
        self.note("apply")
        assert isinstance(outputs, Outputs)
        self.seen.append(outputs.tick)

    def now_ms(self):
        self.note("now_ms")
        self.now += self.period_ms
        return self.now

    def feed(self):
        self.note("feed")

    def make_safe(self):
        self.calls.append("make_safe")


@pytest.mark.sr("SR-31", "spares")
def test_order_of_a_healthy_tick():
    board = Board()
    cycle = Cycle(board)
    assert (cycle.dead, board.calls) == (0, ["sample"])
    cycle.run_once()
    cycle.run_once()
    assert (cycle.dead, board.calls) == (0, ["sample"] + ["sample", "now_ms", "apply", "feed"] * 2)
    assert board.seen == [1, 2]
    assert cycle.inputs.now_ms == 40


@pytest.mark.sr("SR-31", "acts")
def test_late_tick_is_applied_and_not_fed():
    board = Board()
    cycle = Cycle(board)
    cycle.run_once()
    board.period_ms = 90
    cycle.run_once()
    assert board.calls[-2:] == ["now_ms", "apply"]
    assert cycle.dead == 0


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize(
    "settings, raises",
    [(GOOD, "sample"), (None, None)],
    ids=["sample raises", "settings that are no bytes"],
)
def test_boot_that_raises_makes_safe_and_stays_dead(settings, raises):
    board = Board(raises, settings=settings)
    cycle = Cycle(board)
    assert (cycle.dead, cycle.controller) == (1, None)
    for _ in range(3):
        cycle.run_once()
    assert board.calls == ["sample", "make_safe"]


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("raises", ["sample", "now_ms", "apply", "feed"])
def test_tick_that_raises_makes_safe_once_and_is_the_last(raises):
    board = Board(raises, at=3)
    cycle = Cycle(board)
    for _ in range(9):
        cycle.run_once()
    assert cycle.dead == 1
    assert board.calls.count("make_safe") == 1
    assert board.calls[-2:] == [raises, "make_safe"]
