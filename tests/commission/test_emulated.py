"""The bench against the board's own program on an emulated RP2040: the protocol as both sides really speak it. Minutes."""

import os

import pytest

from controller import codes
from host_sim.commission.board import BenchBoard, BoardRefused
from host_sim.commission.readings import sensor_bar, supply_v
from tests.boards.closed_loop import COIL_UP, LAMP, RAIL, SENSOR_A, SUPPLY, installed_board
from tests.boards.firmware import NoFirmware, find_firmware, load_image

from .rig import aircraft

MAIN = "from boards.rp2040.main import bench\nbench()\n"
SLICE_US = 20_000
BOOT_S = 6.0


class EmulatedLink:
    """The link of host_sim.commission.board over an emulated console; its time is the emulated board's."""

    def __init__(self, board):
        self._board, self._read = board, 0

    def send(self, line):
        self._board.send(line + "\n")

    def receive(self, within_s):
        end_us = self._board.now_us + within_s * 1e6
        while "\n" not in self._board.text[self._read :]:
            if self._board.now_us >= end_us:
                return None
            self._board.run_for(SLICE_US)
        line = self._board.text[self._read :].split("\n")[0]
        self._read += len(line) + 1
        return line.strip("\r")


@pytest.fixture(scope="module")
def board():
    """An emulated board with downlock on it, whose program is the bench."""
    try:
        image = load_image(find_firmware())
    except NoFirmware as error:
        if os.environ.get("DOWNLOCK_MUST_EMULATE") == "1":
            pytest.fail(str(error), pytrace=False)
        pytest.skip(str(error))
    board = installed_board(image, aircraft("curlew24"), MAIN)
    board.set_adc(SENSOR_A, 410)
    board.set_adc(RAIL, 3102)
    board.set_adc(SUPPLY, 2048)
    return board


@pytest.mark.deep
def test_both_sides_understand_each_other(board):
    settings, link = aircraft("curlew24").settings, EmulatedLink(board)
    assert link.receive(BOOT_S).startswith("see ")
    bench = BenchBoard(link)
    seen = bench.watch(0.5)
    # Its clock has whole milliseconds.
    assert len(seen) in (6, 7) and not any(one.flying for one in seen)
    assert sensor_bar(seen, settings) == [pytest.approx(0.034, abs=0.005)]
    assert supply_v(seen, settings) == pytest.approx(6.6, abs=0.02)
    for line, pin, level in (
        ("drive up", COIL_UP, 1),
        ("drive off", COIL_UP, 0),
        ("show lamp", LAMP, 1),
        ("show none", LAMP, 0),
    ):
        bench.command(line)
        assert board.level(pin) == level, line
    bench.command("fly")
    flying = bench.watch(0.3)[-1].flying
    assert (flying.mode, flying.command, flying.link) == (codes.WAKING, codes.DOWN, codes.LINK_LOST)
    assert flying.mbar == pytest.approx(34, abs=5) and flying.late == 0
    with pytest.raises(BoardRefused, match="the board refuses 'drive up'"):
        bench.command("drive up")
    bench.safe()
    assert not bench.watch(0.1)[-1].flying
    bench.command("end")
