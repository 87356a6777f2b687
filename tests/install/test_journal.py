"""The journal from a board to what people read."""

import csv
from dataclasses import replace

import pytest

from boards.common.flashlog_format import put_mark, put_run
from controller import codes
from controller.frames import NOT_KNOWN, Outputs
from controller.journal import (
    KIND_ALERT,
    KIND_BOOT,
    KIND_CAUSE,
    KIND_COMMAND,
    KIND_LATE,
    KIND_LINK,
    KIND_MODE,
    KIND_REFUSAL,
    KIND_SAMPLE,
    Journal,
)
from host_sim.cli import main
from host_sim.install import journal_pull, kinds
from host_sim.install.journal_show import sentence
from host_sim.install.link import BoardError
from host_sim.journal_read import read_journal

from .standins import StandIn, standin_kind

BLOCK = 4096
# A short ring, for quick tests.
RING_AT, RING_BLOCKS = 100, 8
CHECKSUM = bytes.fromhex("becee497")


def flight():
    """A ring with one boot: records (kind, code, value, tick, mbar), one of them lost."""
    told = (
        (KIND_BOOT, codes.SETTINGS_GOOD, 1, 1, NOT_KNOWN),
        (KIND_MODE, codes.WAKING, 0, 1, NOT_KNOWN),
        (KIND_LINK, codes.LINK_GOOD, 0, 20, 7200),
        (KIND_SAMPLE, 0, 6600, 50, 7200),
        (KIND_REFUSAL, codes.REFUSAL_AIR, 5100, 60, 5100),
        None,
        (KIND_COMMAND, codes.UP, 0, 500, 7100),
        (KIND_SAMPLE, 0, 6400, 550, 6500),
        (KIND_CAUSE, codes.CAUSE_LOW_AIR, 4390, 180_500, 4390),
        (KIND_ALERT, codes.ALERT_FORCED, 0, 180_500, 4390),
        (KIND_LATE, 0, 31, 180_501, 4390),
        (KIND_SAMPLE, 0, -2, 180_550, NOT_KNOWN),
    )
    journal, outputs = Journal(), Outputs()
    for record in told:
        if record is not None:
            kind, code, value, outputs.tick, outputs.pressure_mbar = record
            outputs.mode, outputs.link = codes.MODE_DOWN, codes.LINK_GOOD
            journal.write(kind, code, value, outputs)
        else:
            journal.write(KIND_SAMPLE, 0, 0, outputs)
    ring = bytearray(b"\xff" * BLOCK * RING_BLOCKS)
    slot = bytearray(16)
    put_mark(slot, 0, RING_BLOCKS)
    ring[0:16] = slot
    put_run(slot, 20, 7, CHECKSUM, b"\0\1\0", 0)
    ring[16:32] = slot
    at = 32
    for number, record in enumerate(told):
        if record is not None:
            ring[at : at + 16] = journal.data[16 * number : 16 * number + 16]
            at += 16
    return bytes(ring)


@pytest.fixture
def dump(tmp_path):
    """A fetched journal."""
    path = tmp_path / "dump.bin"
    path.write_bytes(flight())
    return path


def test_what_people_read(dump, capsys):
    assert len(read_journal(dump.read_bytes())) == 11
    assert main(["journal", "show", str(dump), "--unit", "psi"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    for words in (
        "11 records of 1 boot, 1 missing",
        "Pressures in psi gauge.",
        "Boot 7, version 0.1.0, settings checksum 97e4cebe, 1:00:11.0 long, 11 records",
        "0:00:00.0 Starts: settings good; restarts with power on before it: 1. [not known]",
        "0:00:00.4 Link good. [104.4 psi gauge]",
        "not enough air for a retraction and a sure extension after it: the sensor read 74.0 psi gauge.",
        "-- 1 records missing, from number 5 on --",
        "0:00:10.0 Gear command up.",
        "1:00:10.0 Gear held down, low air: Tank pressure fell below the forcing point: the sensor read 63.7 psi gauge.",
        "Alert 'gear forced down' (warning): The controller put the gear down against the switch.",
        "A tick ran 31 ms late.",
        "3 samples, 0:00:01.0 to 1:00:11.0",
        "pressure first 104.4 psi gauge, last 94.3 psi gauge, lowest 94.3 psi gauge at 0:00:11.0",
        "pressure not known in 1 samples",
        "supply lowest 6.40 V at 0:00:11.0",
    ):
        assert words in out, words


def test_table(dump, tmp_path, capsys):
    path = tmp_path / "all.csv"
    assert main(["journal", "show", str(dump), "--csv", str(path)]) == 0
    assert f"Written: {path}" in capsys.readouterr().out
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 11
    cause = next(row for row in rows if row["kind"] == "cause")
    assert (cause["boot"], cause["word"], cause["value"], cause["time_s"]) == ("7", "low air", "4390", "3610.000")
    assert (cause["pressure_bar_gauge"], cause["settings"], cause["mode"]) == ("4.3900", "checksum 97e4cebe", "down")
    assert [row["lost_before"] for row in rows].count("1") == 1
    assert rows[-1]["pressure_bar_gauge"] == "" and rows[-1]["value"] == ""
    assert main(["journal", "show", str(dump), "--csv", str(tmp_path)]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_codes_without_a_word_are_shown_as_numbers(dump):
    for record in read_journal(dump.read_bytes()):
        assert "code 99" in sentence(record._replace(code=99), "bar") or record.kind in ("sample", "late")


def kind():
    return replace(standin_kind(), ring=f"rp2.Flash(start={RING_AT} * 4096, len={RING_BLOCKS} * 4096)")


def put_ring(image):
    data = bytearray(image.read_bytes())
    data[RING_AT * BLOCK : (RING_AT + RING_BLOCKS) * BLOCK] = flight()
    image.write_bytes(data)


def test_from_a_board(installed):
    put_ring(installed)
    with StandIn(installed) as board:
        link = board.link()
        link.enter()
        data, n_used, n_repeated = journal_pull.pull(link, [kind()])
        assert (data, n_used, n_repeated) == (flight(), 1, 0)

        real, spoilt = link.run, []

        def run(code):
            said = real(code)
            if code.startswith("ring_block(device, 0)") and len(spoilt) < 2:
                spoilt.append(code)
                return said.replace("A", "B", 1) if len(spoilt) == 1 else said[:-9]
            return said

        link.run = run
        assert journal_pull.pull(link, [kind()]) == (flight(), 1, 1)
        link.run = lambda code: real(code)[:-4] if code.startswith("ring_block") else real(code)
        with pytest.raises(BoardError, match="block 0 of the journal came wrong 4 times"):
            journal_pull.pull(link, [kind()])
        link.run = lambda code: "none" if code.startswith("device") else real(code)
        with pytest.raises(BoardError, match="keeps no journal"):
            journal_pull.pull(link, [kind()])
        link.run = real
        link.close()


def test_command(installed, tmp_path, monkeypatch, capsys):
    put_ring(installed)
    monkeypatch.setitem(kinds.KINDS, "rp2040", kind())
    target = tmp_path / "journal.bin"
    with StandIn(installed) as board:
        assert main(["journal", "pull", "--port", board.device, "-o", str(target)]) == 0
    out = capsys.readouterr().out
    assert target.read_bytes() == flight()
    assert out.index("Caution") < out.index("Written") and "1 blocks in use" in out and "32 kB" in out
