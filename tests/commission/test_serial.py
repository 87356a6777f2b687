"""The link to a board over a serial port: a stand-in on a real MicroPython interpreter, behind a pseudo-terminal."""

import pytest

from controller import codes
from host_sim.cli import main
from host_sim.commission.board import BenchBoard, fingerprint, wiring_of
from host_sim.commission.lines import LinkError
from host_sim.commission.serial_link import SerialLink
from host_sim.errors import InputError
from host_sim.install.fileset import wiring_record
from host_sim.install.link import open_serial
from tests.install.standins import StandIn

from .rig import aircraft
from .test_board import SEE

# A bench that looks, answers, and ends; in place of the one that needs a chip.
BENCH = """
import sys, select
class Main: pass
poll = select.poll(); poll.register(sys.stdin, select.POLLIN)
def bench():
    t, typed, done = 0, '', False
    while not done:
        t += 100
        # As a board's console ends its lines.
        print({see!r}.replace('{{}}', str(t)), end='\\r\\n')
        if poll.poll(20):
            one = sys.stdin.read(1)
            while one and one not in '\\n\\x03':
                typed += one
                one = sys.stdin.read(1)
            if one == '\\x03':
                return
            print('no fly: not today' if typed == 'fly' else 'ok ' + typed, end='\\r\\n')
            done, typed = typed == 'end', ''
Main.bench = bench
sys.modules['boards'] = Main; sys.modules['boards.standin'] = Main; sys.modules['boards.standin.main'] = Main
"""
FILES = """
import os
for name, data in {files!r}.items():
    with open('/' + name, 'wb') as file:
        file.write(data)
"""


def _way(board, files, opener=open_serial):
    way = board.link(opener)
    way.enter()
    way.run(FILES.format(files=files))
    way.run(BENCH.format(see=SEE))
    return way


def _files(packed):
    record = wiring_record(codes.VALVE_SPRING, 1100, 1900)
    return {
        "set.txt": b"downlock 0.1.0 standin 01234567\nend 0\n",
        "settings_a.dlk": packed,
        "settings_b.dlk": packed,
        "wiring_a.dlw": record,
        "wiring_b.dlw": record,
    }


@pytest.mark.deep
def test_files_lines_commands_and_the_end(tmp_path):
    packed = aircraft("curlew24").packed
    with StandIn(tmp_path / "flash") as board:
        link = SerialLink(_way(board, _files(packed)))
        stored = link.identify()
        assert (stored.kind, stored.version) == ("standin", "0.1.0")
        assert stored.firmware.startswith("micropython 1.")
        assert stored.settings_a == stored.settings_b == packed and fingerprint(packed) != "none"
        assert wiring_of(stored)[0] == codes.VALVE_SPRING
        bench = BenchBoard(link)
        seen = bench.watch(0.5)
        assert len(seen) == 6 and seen[-1].t_ms - seen[0].t_ms == 500
        bench.command("drive off")
        with pytest.raises(LinkError, match="refuses 'fly': not today"):
            bench.command("fly")
        link.close()


@pytest.mark.deep
def test_the_live_view_over_a_port_ends_with_ctrl_c(tmp_path, monkeypatch, capsys):
    def seconds():
        yield from range(2)
        raise KeyboardInterrupt

    monkeypatch.setattr("host_sim.commission.watch.count", seconds)
    monkeypatch.setattr("builtins.input", lambda _: pytest.fail("asked"))
    with StandIn(tmp_path / "flash") as board:
        way = _way(board, _files(aircraft("curlew24").packed))
        monkeypatch.setattr("host_sim.commission.serial_link.way_to", lambda _: way)
        assert main(["bench", "curlew24", "--watch"]) == 0
        assert way._transport is None
    out = capsys.readouterr().out
    assert (
        out.index("Caution: ")
        < out.index("    1 s  gear ")
        < out.index("    2 s  ")
        < out.index("Ended: the board starts")
    )


@pytest.mark.deep
def test_the_bench_begins_again_after_the_board_was_away(tmp_path):
    with StandIn(tmp_path / "flash") as board:
        opened = []

        def opener(device):
            opened.append(device)
            return open_serial(device)

        link = SerialLink(_way(board, _files(aircraft("curlew24").packed), opener))
        bench = BenchBoard(link)
        assert bench.watch(0.3)[-1].t_ms > 300
        link.reconnect()
        assert opened == [board.device] * 2
        assert bench.watch(0.1)[0].t_ms <= 300
        bench.command("drive off")
        link.close()


@pytest.mark.deep
def test_a_board_that_loses_its_power_is_said(tmp_path):
    with StandIn(tmp_path / "flash") as board:
        link = SerialLink(_way(board, _files(aircraft("curlew24").packed)))
        bench = BenchBoard(link)
        bench.watch(0.1)
        board.off()
        with pytest.raises(LinkError, match="the connection was lost"):
            for _ in range(3):
                bench.watch(1000.0)
        link.close()


@pytest.mark.deep
def test_a_board_without_the_program_is_told_to_be_installed(tmp_path):
    with StandIn(tmp_path / "flash") as board:
        way = _way(board, {})
        with pytest.raises(InputError, match="downlock install"):
            SerialLink(way)
        way.close()
