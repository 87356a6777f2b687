"""Whole installations on a stand-in board: the real interpreter, a flash, a console."""

from dataclasses import replace

import pytest

from host_sim import cli
from host_sim.install import copying, kinds, layout, ports
from host_sim.install.fileset import holding_main
from host_sim.install.link import BoardError, LinkLost

from .images import flash_files, outer_files, write_outer
from .standins import PROMPT, StandIn, install, standin_kind, undivided_kind


def flies(image, fileset):
    """Whether a board with this flash flies with exactly this set."""
    with StandIn(image) as board:
        said = board.listen("flies", "held DOWN", PROMPT)
    return "flies" in said and flash_files(image) == fileset.files | {"set.txt": fileset.manifest}


def test_a_new_board(installed, old_set):
    assert flies(installed, old_set)
    assert outer_files(installed) == {"boot.py": layout.BOOT_SOURCE.read_bytes()}


def test_an_update_writes_what_differs_and_removes_what_is_old(installed, old_set, new_set):
    with StandIn(installed) as board:
        assert "flies" in board.listen("flies")
        done, written, removed = install(board.link(), new_set)
    changed = {path for path, data in new_set.files.items() if old_set.files.get(path) != data} | {"main.py"}
    assert (done, set(written), removed) == ([], changed | {"set.txt"}, ["controller/persist.mpy"])
    assert flies(installed, new_set)
    with StandIn(installed) as board:
        _, written, removed = install(board.link(), new_set)
    assert (written, removed) == (["main.py", "set.txt"], [])


@pytest.mark.deep
def test_a_board_in_any_state_is_reached(installed, new_set):
    """Held, holding because of an installation that broke off, with a damaged file system: it says so and is mended."""
    with StandIn(installed) as board:
        link = board.link()
        link.enter()
        link.call("remove", "/set.txt")
        link.close()
    with StandIn(installed) as board:
        assert "held DOWN: no set.txt" in board.listen("\r\n", "no set.txt")
        link = board.link()
        link.enter()
        copying.put_main(link, holding_main("standin"))
        link.close()
    with StandIn(installed) as board:
        assert "held DOWN: installation not finished" in board.listen("not finished")
    data = bytearray(installed.read_bytes())
    data[2 * 4096 : 4 * 4096] = bytes(2 * 4096)
    installed.write_bytes(data)
    with StandIn(installed) as board:
        assert "held DOWN: no file system" in board.listen("no file system")
        done, _, _ = install(board.link(), new_set)
    assert done == ["the file system could not be read and was made anew"]
    assert flies(installed, new_set)


@pytest.mark.deep
def test_another_boot_file_of_ours_is_renewed(installed, old_set):
    write_outer(installed, {"boot.py": layout.BOOT_SOURCE.read_bytes().replace(b"install again", b"again")})
    with StandIn(installed) as board:
        done, _, _ = install(board.link(), old_set)
    assert done == ["boot.py renewed"]
    assert outer_files(installed) == {"boot.py": layout.BOOT_SOURCE.read_bytes()}
    assert flies(installed, old_set)


@pytest.mark.deep
def test_what_others_put_there_is_erased_only_when_told(tmp_path, old_set):
    image = tmp_path / "others.flash"
    with StandIn(image) as board:
        board.listen(PROMPT)
    write_outer(image, {"main.py": b"print('mine')", "lib/clock.py": b"x = 1"})
    before = image.read_bytes()
    with StandIn(image) as board:
        with pytest.raises(BoardError, match=r"would be erased: lib, main\.py; .* --erase"):
            install(board.link(), old_set)
    assert image.read_bytes() == before
    with StandIn(image) as board:
        install(board.link(), old_set, may_erase=True)
    assert flies(image, old_set)


def test_a_program_in_the_way_is_removed_only_when_told(installed, old_set):
    with StandIn(installed) as board:
        link = board.link()
        link.enter()
        link.call("put", "/hashlib.py", "", 0)
        link.call("put", "/notes.txt", "", 0)
        link.close()
        with pytest.raises(BoardError, match=r"do not belong to this set: hashlib\.py; .* --erase"):
            install(board.link(), old_set)
        assert "set.txt" in flash_files(installed)
        _, _, removed = install(board.link(), old_set, may_erase=True)
    assert removed == ["hashlib.py"]
    # What no import can take for a part of the set stays.
    assert flash_files(installed) == old_set.files | {"set.txt": old_set.manifest, "notes.txt": b""}


@pytest.mark.deep
def test_a_board_with_its_flash_undivided(tmp_path, old_set, new_set):
    """As an ESP32: one file system, with the boot.py of comments that stock firmware puts there."""
    kind = undivided_kind()
    image = tmp_path / "undivided.flash"
    with StandIn(image) as board:
        board.listen(PROMPT)
    write_outer(image, {"boot.py": b"# This file is run at every boot\n\n#import something\n"})
    with StandIn(image) as board:
        done, _, removed = install(board.link(), old_set, kind=kind)
    assert (done, removed) == ([], ["boot.py"])
    assert outer_files(image) == old_set.files | {"set.txt": old_set.manifest}
    with StandIn(image) as board:
        assert "flies" in board.listen("flies", "held DOWN", PROMPT)
        _, _, removed = install(board.link(), new_set, kind=kind)
    assert removed == ["controller/persist.mpy"]
    write_outer(image, {"boot.py": b"import machine\n"})
    with StandIn(image) as board:
        assert "held DOWN: boot.py not of the set" in board.listen("of the set")
        with pytest.raises(BoardError, match=r"do not belong to this set: boot\.py"):
            install(board.link(), new_set, kind=kind)
        _, _, removed = install(board.link(), new_set, may_erase=True, kind=kind)
    assert removed == ["boot.py"]


REFUSED = {
    "chip": ({"chip": "RP2350"}, "is a board of another kind"),
    "platform": ({"platform": "esp32"}, "is a board of another kind"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_another_board_is_refused(installed, case):
    change, words = REFUSED[case]
    with StandIn(installed) as board:
        link = board.link()
        link.enter()
        with pytest.raises(BoardError, match=words):
            layout.check_firmware(link, replace(standin_kind(), **change))
        link.close()
    assert "set.txt" in flash_files(installed)


class Saying:
    """A link to a board that answers every message with the same."""

    port = ports.Port("/dev/ttyX", "", (None, None), "")

    def __init__(self, text):
        self.text = text

    def call(self, *_):
        return self.text


@pytest.mark.parametrize(
    "said, words",
    [
        ("micropython|1.25.0|6|rp2|Raspberry Pi Pico with RP2040", "runs micropython 1.25.0; wanted: MicroPython 1.26"),
        ("micropython|1.26.0|5|rp2|Some board with RP2040", "format 5; wanted: format 6"),
        ("another|1.26.0|6|rp2|Some board with RP2040", "runs another 1.26.0"),
        (
            "micropython|1.26.0|6|rp2|Some board with RP2350",
            r"another kind \(Some board with RP2350\); wanted: RP2040 board",
        ),
        ("micropython|1.26.0|6|esp32|Generic ESP32 module with ESP32", "another kind"),
        ("micropython|1.26.0", "does not say what it is"),
    ],
)
def test_firmware_is_checked(said, words):
    with pytest.raises(BoardError, match=words):
        layout.check_firmware(Saying(said), kinds.KINDS["rp2040"])


def test_right_firmware():
    assert layout.check_firmware(Saying("micropython|1.26.1|6|rp2|Any with RP2040"), kinds.KINDS["rp2040"]) == "1.26.1"
    assert layout.check_firmware(Saying("micropython|1.27.0|6|esp32|Any with ESP32"), kinds.KINDS["esp32"]) == "1.27.0"


def test_a_small_flash_is_refused():
    with pytest.raises(BoardError, match="keeps 1024 kB of flash for files; wanted: 1408 kB"):
        layout.check_flash(Saying("256"), kinds.KINDS["rp2040"])


@pytest.mark.deep
def test_a_flash_that_does_not_keep_what_is_written(installed, new_set, monkeypatch):
    real = copying.put

    def put(link, path, data):
        real(link, path, b"x" + data[1:] if path == "controller/more.mpy" else data)

    monkeypatch.setattr(copying, "put", put)
    with StandIn(installed) as board:
        with pytest.raises(copying.Unfinished, match=r"does not keep what is written to it: controller/more\.mpy"):
            install(board.link(), new_set)
    with StandIn(installed) as board:
        assert "held DOWN" in board.listen("flies", "held DOWN", PROMPT)


def test_nobody_there(installed, monkeypatch):
    with StandIn(installed) as board:
        link = board.link()
        # A program that does not listen.
        monkeypatch.setattr(link, "_reach_prompt", lambda: False)
        with pytest.raises(BoardError, match="no MicroPython answers there"):
            link.enter()
        link.close()
        link = board.link()
        link.enter()
        board.off()
        with pytest.raises(LinkLost, match="connection was lost"):
            link.run("print(1)")
        link.close()


@pytest.fixture
def command(installed, monkeypatch, capsys, old_set):
    """Runs `downlock install rp2040 ...` with the stand-in in place of the board: (status, out, err)."""
    monkeypatch.setitem(kinds.KINDS, "rp2040", replace(standin_kind(), title="RP2040 board"))
    monkeypatch.setattr("host_sim.install.fileset.build_set", lambda *_: old_set)

    def run(*arguments):
        with StandIn(installed) as board:
            board.listen("flies", "held DOWN", PROMPT)
            status = cli.main([*arguments, "--port", board.device])
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_what_the_builder_reads(command, installed, old_set, mine):
    status, out, err = command("install", "rp2040", "--aircraft", str(mine), "--unit", "psi")
    assert (status, err) == (0, "")
    for words in (
        "Caution: the board now puts the gear DOWN",
        f"checksum {old_set.fingerprint}",
        "forced down below 63.8 psi gauge",
        "spring-return, falls to DOWN without power",
        f"1 written, {len(old_set.files) - 1} were there already; all read back by SHA-256",
        "Take the power off the board",
        "downlock bench",
        "club rules",
    ):
        assert words in " ".join(out.split()), words
    assert out.index("Caution") < out.index("Installed")
    assert flies(installed, old_set)


def test_one_line_when_it_breaks_off(command, monkeypatch, mine):
    def broken(link, *_):
        raise LinkLost(link.port.device, "", "the connection was lost (unplugged)")

    monkeypatch.setattr(copying, "put_main", broken)
    status, _, err = command("install", "rp2040", "--aircraft", str(mine))
    assert status == 2 and err.count("\n") == 1
    assert "connection was lost (unplugged). Install again: until that is complete the board holds DOWN" in err
