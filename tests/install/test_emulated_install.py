"""An installation on the emulated RP2040 with the real firmware: mpremote's own code on its console, boot, flight, journal."""

from base64 import b64encode

import pytest

from boards.rp2040 import pins
from controller.codes import VALVE_SERVO, VALVE_TWO_COIL
from host_sim.install import copying, layout
from host_sim.install.fileset import WIRING, build_set, holding_main, wiring_record
from host_sim.install.journal_pull import pull
from host_sim.install.kinds import KINDS
from tests.boards.conftest import image as image  # noqa: PLC0414
from tests.boards.emulated import EmulatedBoard
from tests.boards.emulated_files import BLOCK_BYTES, FILES_AT, N_BLOCKS

from .emulated_link import EmulatedBack

KIND = KINDS["rp2040"]


def install(board, fileset):
    link = EmulatedBack(board)
    link.enter()
    firmware = layout.check_firmware(link, KIND)
    copying.prepare(link, KIND, fileset, may_erase=False)
    result = copying.copy(link, KIND, fileset)
    link.close()
    return firmware, *result


@pytest.mark.deep
def test_a_new_board_flies_what_was_installed_and_keeps_its_journal(image, curlew):
    fileset = build_set(KIND, curlew.packed, curlew.valve_kind, 0, 0)
    board = EmulatedBoard(image, {})
    board.run_until_text(">>> ", 5_000_000)

    firmware, done, written, removed = install(board, fileset)
    assert firmware == "1.26.1" and removed == []
    assert done == ["flash divided: boot.py, 392 kB for files, 1008 kB for the journal"]
    assert set(written) == {*fileset.files, "set.txt"}

    # Stock firmware mounts and does not format: the outer file system has used its two blocks and no other.
    journal_at = FILES_AT + 100 * BLOCK_BYTES
    ring = bytes(board._chip.flash[journal_at : FILES_AT + N_BLOCKS * BLOCK_BYTES])
    assert ring == b"\xff" * 252 * BLOCK_BYTES

    # A soft reset mounts the outer one, runs boot.py, and main.py from the inner one.
    board.forget_text()
    board.send("\x04")
    board.run_until_text("downlock: flying", 8_000_000)
    board.run_for(500_000)

    # A board that flies is brought into service by a reset, and from there on keeps everything.
    n_resets = len(board.resets)
    link = EmulatedBack(board)
    link.enter()
    assert len(board.resets) == n_resets + 1
    assert copying.check_on_board(link, KIND) == ""
    assert int(link.call("mounted_blocks")) == layout.INNER_BLOCKS
    data, n_used, n_repeated = pull(link, [KIND])
    assert (len(data), n_repeated) == (252 * BLOCK_BYTES, 0) and n_used > 0
    assert data == bytes(board._chip.flash[journal_at : journal_at + len(data)])

    # A damaged module: after power-on the board holds DOWN and says so. An installation mends it, with another valve.
    link.call("put", "/controller/gear.mpy", "AAAA", 1)
    link.close()
    board.forget_text()
    board.power_cycle()
    board.run_until_text("held DOWN: controller/gear.mpy has", 8_000_000)
    servo = build_set(KIND, curlew.packed, VALVE_SERVO, 1120, 1900)
    _, done, written, _ = install(board, servo)
    assert done == []
    assert set(written) == {"controller/gear.mpy", "wiring_a.dlw", "wiring_b.dlw", "main.py", "set.txt"}

    # An installation that breaks off: DOWN with the pulse that the servo valve needs, and said.
    link = EmulatedBack(board)
    link.enter()
    link.call("remove", "/set.txt")
    copying.put_main(link, holding_main("rp2040"))
    link.close()
    board.forget_text()
    board.power_cycle()
    edges = board.watch(pins.VALVE_SERVO)
    board.run_until_text("held DOWN: installation not finished", 5_000_000)
    board.run_for(50_000)
    rises = [at_us for at_us, level in edges if level == 1]
    falls = [at_us for at_us, level in edges if level == 0 and rises and at_us > rises[0]]
    assert len(falls) >= 2
    assert falls[-1] - max(rise for rise in rises if rise < falls[-1]) == pytest.approx(1120, abs=2)

    # The same for a two-coil valve: the coil of DOWN for 0.3 s every ten seconds or so.
    link = EmulatedBack(board)
    link.enter()
    record = wiring_record(VALVE_TWO_COIL, 0, 0)
    for name in WIRING:
        link.call("put", f"/{name}", b64encode(record).decode(), 0)
    link.close()
    board.power_cycle()
    up, down = board.watch(pins.COIL_UP), board.watch(pins.COIL_DOWN)
    board.run_for(13_000_000)
    assert not any(level == 1 for _, level in up)
    on = [at_us for at_us, level in down if level == 1]
    off = [at_us for at_us, level in down if level == 0 and at_us > on[0]]
    assert [b - a for a, b in zip(on, off, strict=True)] == pytest.approx([300_000, 300_000], rel=0.02)
    assert on[1] - on[0] == pytest.approx(10_300_000, rel=0.02)
