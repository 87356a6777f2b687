"""The bench is a board: the controller's own loop runs on its five methods (SR-31)."""

import pytest

from controller import codes
from controller.cycle import Cycle
from controller.tick import Controller
from host_sim.bench import Bench
from host_sim.flight import fly

BEATS = ["{at: 0 s, switch: down}", "{at: 4 s, switch: up}", "{at: 8 s, switch: down}"]


class Board(Bench):
    """A bench whose first sample is the boot, as on a board."""

    def __init__(self, scenario):
        super().__init__(scenario)
        self.booted = False

    def sample(self, inputs):
        """Boot fields first, raw values ever after."""
        if not self.booted:
            self.booted = True
            self.boot(inputs)
        else:
            super().sample(inputs)


def run(board, cycle, until_ms):
    """[(t_s, gear_command, feed)] of each tick."""
    rows = []
    while board.t_us < until_ms * 1000:
        cycle.run_once()
        rows.append((board.t_us / 1e6, codes.POSITION_WORDS[cycle.outputs.gear_command], cycle.outputs.feed))
        board.advance(board.t_us + 20_000)
    return rows


def test_the_loop_of_the_board_flies_as_the_flight_does(scenario):
    flown = scenario(lasts="12 s", beats=BEATS)
    board = Board(flown)
    rows = run(board, Cycle(board), 12_000)
    trace = fly(flown)
    columns = zip(*(trace.column(name) for name in ("t_s", "gear_command", "feed")), strict=True)
    assert rows == list(columns)
    assert {command for _, command, _ in rows} == {"down", "up"}


@pytest.mark.sr("SR-31", "acts")
def test_a_raise_makes_safe_stops_feeding_and_the_watchdog_bites(scenario, monkeypatch):
    board = Board(scenario(lasts="12 s", beats=BEATS))
    cycle = Cycle(board)
    run(board, cycle, 7_000)
    assert (cycle.outputs.gear_command, board.demand.coil_up) == (codes.UP, 1)

    def broken(self, inputs, outputs):
        raise RuntimeError

    monkeypatch.setattr(Controller, "tick", broken)
    fed_us = board.fed_us
    run(board, cycle, 7_200)
    assert (cycle.dead, board.demand.coil_up, board.demand.valve_us) == (1, 0, 0)
    monkeypatch.undo()
    run(board, cycle, 8_000)  # sound again, and still dead
    assert board.fed_us == fed_us
    assert board.watchdog_us() < board.t_us
    assert board.plant.valve_at == codes.DOWN
