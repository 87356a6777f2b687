"""The board behind a link: commands and answers, silence, time by its own clock; what is stored on it, as others write it."""

import pytest

from controller import codes
from host_sim.aircraft_print import packed_line
from host_sim.commission.board import BenchBoard, BoardRefused, Stored, fingerprint, wiring_of
from host_sim.commission.lines import LinkError
from host_sim.install.fileset import wiring_record

from .rig import aircraft

SEE = (
    "see t={} pulse=1100,1500,1100,0,0 fresh=5,5,5,0,0 glitch=0,0,0,0,0 counts=410,0 rail=3102 supply=2048 "
    "lock=0,0,0,0 ground=1 button=0 drive=off"
)


class Scripted:
    """A link whose lines are written down. `answers` {command: lines that it brings}."""

    def __init__(self, lines=(), answers=()):
        self.lines, self.answers, self.sent = list(lines), dict(answers), []

    def send(self, line):
        self.sent.append(line)
        self.lines += self.answers.get(line, [])

    def receive(self, within_s):
        return self.lines.pop(0) if self.lines else None


def _see(*times_ms):
    return [SEE.format(t) for t in times_ms]


def test_a_command_waits_for_its_answer_and_keeps_what_was_seen():
    board = BenchBoard(Scripted(_see(100, 200), {"drive up": [*_see(300), "ok drive up", *_see(400)]}))
    board.command("drive up")
    assert board.may_be_up
    assert [one.t_ms for one in board.collected()] == [100, 200, 300, 400]
    assert board.collected() == []


def test_a_refusal_and_a_silence_are_told_apart():
    board = BenchBoard(Scripted(answers={"fly": ["no fly: no valid settings"], "raw": ["ok drive up"]}))
    with pytest.raises(BoardRefused, match="the board refuses 'fly': no valid settings"):
        board.command("fly")
    with pytest.raises(LinkError, match="does not answer to 'raw'"):
        board.command("raw")


def test_a_watch_ends_by_the_clock_of_the_board_or_by_what_is_seen():
    span = (1 << 30) - 200
    board = BenchBoard(Scripted())
    # Nothing has come when it begins to look.
    lines = iter([None, *_see(span, span + 100, 0, 100, 200), None, *_see(100, 200, 300)])
    board.link.receive = lambda within_s: next(lines)
    assert [one.t_ms for one in board.watch(0.3)] == [span, span + 100, 0, 100]
    assert next(lines).startswith("see t=200 ")
    assert [one.t_ms for one in board.watch(9.0, lambda one: one.t_ms == 200)] == [100, 200]
    with pytest.raises(LinkError, match="silent"):
        BenchBoard(Scripted()).watch(1.0)


def test_a_controller_that_stops_by_itself_is_an_error_wherever_it_is_read():
    for ask in (lambda one: one.collected(), lambda one: one.watch(1.0), lambda one: one.command("raw")):
        stopped = Scripted([*_see(100), "no fly: the program stopped", *_see(200)], {"raw": ["ok raw"]})
        with pytest.raises(BoardRefused, match="gives up: fly: the program stopped"):
            ask(BenchBoard(stopped))


def test_fingerprint_is_the_one_of_the_print_out():
    packed = aircraft("curlew24").packed
    assert packed_line(aircraft("curlew24")).endswith(fingerprint(packed))
    assert fingerprint(b"") == fingerprint(packed[:-1]) == "none"


def _stored(wiring_a, wiring_b):
    return Stored("rp2040", "e66", "micropython 1.28.0", "0.1.0", b"", b"", wiring_a, wiring_b)


def test_wiring_records_as_the_installer_writes_them():
    for kind in (codes.VALVE_SPRING, codes.VALVE_TWO_COIL, codes.VALVE_SERVO):
        assert wiring_of(_stored(wiring_record(kind, 1100, 1900), b"")) == (kind, 1100, 1900)
    good, other = wiring_record(codes.VALVE_SERVO, 1100, 1900), wiring_record(codes.VALVE_SPRING, 0, 0)
    spoilt = bytes([good[0], good[1], good[2], good[3], 1]) + good[5:]
    assert wiring_of(_stored(good, good)) == wiring_of(_stored(b"", good)) == (codes.VALVE_SERVO, 1100, 1900)
    assert wiring_of(_stored(spoilt, good)) == (codes.VALVE_SERVO, 1100, 1900)
    for pair in ((good, other), (b"", b""), (spoilt, b"")):
        assert wiring_of(_stored(*pair))[0] == codes.VALVE_INVALID
