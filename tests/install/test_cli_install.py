"""What somebody types and sees the first time: one clear line for whatever is missing."""

import os
from pathlib import Path

import pytest

from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.cli import main
from host_sim.errors import InputError
from host_sim.install import copying, link, ports
from host_sim.install.fileset import build_set
from host_sim.install.kinds import KINDS
from host_sim.install.ports import Port

PICO = Port("/dev/ttyACM0", "Board in FS mode", (0x2E8A, 0x0005), "e6612483cb1b2a2f")
OTHER_PICO = Port("/dev/ttyACM1", "Board in FS mode", (0x2E8A, 0x0005), "e6612483cb1b2a30")
ADAPTER = Port("/dev/ttyUSB0", "USB to UART bridge", (0x10C4, 0xEA60), "0001")
PLAIN = Port("/dev/ttyS0", "n/a", (None, None), "")
UNKNOWN = Port("/dev/ttyACM5", "Some gadget", (0x1234, 0x5678), "")


@pytest.fixture
def run(capsys, monkeypatch):
    """Runs the command with these ports on the computer: run(ports, *arguments) -> (status, out, err)."""

    def call(there, *arguments):
        monkeypatch.setattr(ports, "present", lambda: list(there))
        status = main([str(one) for one in arguments])
        said = capsys.readouterr()
        return status, said.out, said.err

    return call


INSTALL = ("install", "rp2040", "--aircraft", "MINE")
# As boards/WIRING.md has it, resistors of 0.1 % included.
FOR_ESP32 = {
    "bottom: 18 kohm": "bottom: 15 kohm",
    "top: 10 kohm": "top: 18 kohm",
    "ratio: 0.5": "ratio: 0.4545",
    "divider: 0.5 %": "divider: 0.1 %",
}
FIRST_TIME = {
    "no board": ((PLAIN,), INSTALL, ("no board is connected", "cable that carries data", "charging only", "--port")),
    "an adapter only": (
        (PLAIN, ADAPTER),
        INSTALL,
        ("no port looks like an RP2040 board", "/dev/ttyUSB0 (USB to UART bridge)"),
    ),
    "two boards": ((PICO, OTHER_PICO), INSTALL, ("2 ports could be", "/dev/ttyACM0", "/dev/ttyACM1")),
    "unknown kind": ((), ("install", "rp2041", "--aircraft", "curlew24"), ("rp2041", "rp2040, esp32")),
    "no aircraft": ((PICO,), ("install", "rp2040"), ("--aircraft",)),
    "a shipped example": (
        (PICO,),
        ("install", "rp2040", "--aircraft", "curlew24"),
        ("curlew24.yaml", "is a shipped example, an invented aircraft", "copy it", "--dry-run"),
    ),
    "unknown aircraft": ((PICO,), ("install", "rp2040", "--aircraft", "nothing"), ("nothing", "curlew24")),
    "a port that is not there": (
        (PICO,),
        (*INSTALL, "--port", "/dev/ttyACM7"),
        ("/dev/ttyACM7", "ports of this computer: /dev/ttyACM0"),
    ),
    "a port where nothing is": ((), (*INSTALL, "--port", "/dev/ttyACM7"), ("/dev/ttyACM7", "No board is connected")),
    "a port that is none": (
        (PICO,),
        (*INSTALL, "--port", "/dev/null"),
        ("/dev/null", "cannot be opened as a serial port"),
    ),
    "a file": (
        (PICO,),
        (*INSTALL, "--port", __file__),
        (f"{__file__}: is a file, no serial port; ports of this computer: /dev/ttyACM0",),
    ),
    "a folder": ((), (*INSTALL, "--port", "/tmp"), ("/tmp: is a folder, no serial port", "computer: none")),
    "no name": ((PICO,), ("install", "rp2040", "--aircraft", ""), ("the aircraft's name is empty",)),
    "journal, no board": ((PLAIN,), ("journal", "pull", "-o", "dump.bin"), ("no board is connected",)),
    "journal, where to": ((PICO,), ("journal", "pull"), ("-o",)),
    "journal, no folder": (
        (PICO,),
        ("journal", "pull", "-o", "/nowhere/dump.bin"),
        ("/nowhere/dump.bin", "folder that exists"),
    ),
    "journal, what": ((), ("journal",), ("pull|show",)),
    "journal, no file": ((), ("journal", "show", "/nowhere/dump.bin"), ("/nowhere/dump.bin", "No such file")),
}


def _changed(folder, name, changes):
    """Path of a copy of an aircraft, by name or file, with text replaced that has to be in it."""
    text = Path(name if Path(name).exists() else AIRCRAFT_DIR / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    path = folder / "changed.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("case", FIRST_TIME)
def test_one_clear_line(run, case, mine):
    there, arguments, words = FIRST_TIME[case]
    status, out, err = run(there, *[mine if one == "MINE" else one for one in arguments])
    assert (status, out) == (2, "")
    assert err.count("\n") == 1 and err.startswith("downlock") and "Traceback" not in err
    for word in words:
        assert word in err


ASKING = "Stopped before the board had answered. Should it have been reached, it holds DOWN"
IN_SERVICE = "nothing on the board was changed. It stays in service, gear held DOWN"
BREAK_OFFS = {
    "install, opening": (INSTALL, "install.link.Link.open", None),
    "install, no answer": (INSTALL, "install.link.Link.enter", ASKING),
    "install, looking": (INSTALL, "install.layout.check_firmware", IN_SERVICE),
    "install, copying": (INSTALL, "install.copying.copy", copying.AFTER_BREAK),
    "journal, no answer": (("journal", "pull", "-o", "never.bin"), "install.link.Link.enter", ASKING),
    "journal, fetching": (("journal", "pull", "-o", "never.bin"), "install.journal_pull.pull", IN_SERVICE),
}


@pytest.mark.parametrize("case", BREAK_OFFS)
def test_ctrl_c_says_what_it_leaves_behind(run, mine, monkeypatch, case):
    def stop(*_):
        raise KeyboardInterrupt

    arguments, where, said = BREAK_OFFS[case]
    for name in ("link.Link.open", "link.Link.enter", "layout.check_firmware", "copying.prepare"):
        monkeypatch.setattr(f"host_sim.install.{name}", lambda *_: "1.26.1")
    monkeypatch.setattr(f"host_sim.{where}", stop)
    status, out, err = run((PICO,), *[mine if one == "MINE" else one for one in arguments])
    assert status == 130 and err.endswith("downlock: stopped\n")
    assert (said in err) if said else err.count("\n") == 1
    assert case.startswith("install") or "nstall" not in out + err


def test_without_permission(monkeypatch):
    monkeypatch.setattr(os, "access", lambda *_: False)
    monkeypatch.setattr(Path, "group", lambda _: "dialout")
    monkeypatch.setattr("sys.platform", "linux")
    with pytest.raises(InputError) as caught:
        link.open_serial(os.devnull)
    assert "may not be opened by this user: join the group 'dialout' (sudo usermod -a -G dialout $USER)" in str(
        caught.value
    )


def test_a_port_in_use():
    import serial

    ours, theirs = os.openpty()
    try:
        with serial.Serial(os.ttyname(theirs), exclusive=True):
            with pytest.raises(InputError, match="is in use by another program"):
                link.open_serial(os.ttyname(theirs))
    finally:
        os.close(ours)
        os.close(theirs)


def test_the_only_board_is_taken():
    kind = KINDS["rp2040"]
    assert ports.choose(kind, "", [PLAIN, PICO, ADAPTER]) == PICO
    assert ports.choose(KINDS["esp32"], "", [PLAIN, PICO, ADAPTER]) == ADAPTER
    assert ports.choose(kind, "/dev/ttyACM1", [PICO, OTHER_PICO]) == OTHER_PICO
    assert ports.choose(kind, "COM9", []).device == "COM9"
    assert ports.choose(kind, "/dev/ttyACM5", [UNKNOWN]) == UNKNOWN
    assert ports.choose_any(list(KINDS.values()), "", [PLAIN, ADAPTER]) == ADAPTER


def test_a_board_comes_back_under_its_serial_number():
    moved = Port("/dev/ttyACM3", PICO.words, PICO.usb, PICO.serial)
    assert ports.same_board(PICO, [OTHER_PICO, moved]) == moved
    assert ports.same_board(PICO, [OTHER_PICO]) is None
    assert ports.same_board(Port("/dev/null", "", (None, None), ""), []).device == "/dev/null"


@pytest.mark.parametrize("name", KINDS)
def test_dry_run(run, tmp_path, name):
    target = tmp_path / "new" / "files"
    path = _changed(tmp_path, "curlew24", FOR_ESP32 if name == "esp32" else {})
    status, out, err = run((), "install", name, "--aircraft", path, "--dry-run", target, "--unit", "kPa")
    assert (status, err) == (0, "")
    own = load_aircraft(path)
    fileset = build_set(KINDS[name], own.packed, own.valve_kind, own.servo_down_us, own.servo_up_us)
    written = {str(path.relative_to(target)): path.read_bytes() for path in target.rglob("*") if path.is_file()}
    boot = {"boot.py": (Path(__file__).parents[2] / "boards/rp2040/boot.py").read_bytes()} if name == "rp2040" else {}
    assert written == fileset.files | {"set.txt": fileset.manifest} | boot
    assert "no board was touched" in out and "forced down below 440 kPa gauge" in out
    status, _, err = run((), "install", name, "--aircraft", path, "--dry-run", target)
    assert status == 2 and "exists already" in err


def test_a_valve_that_does_not_fall_is_shown(run, tmp_path):
    status, out, _ = run((), "install", "rp2040", "--aircraft", "tern30", "--dry-run", tmp_path / "files")
    assert status == 0
    assert "two-coil" in out and "Limit accepted" in out and "does not fall to DOWN by itself" in " ".join(out.split())


def test_what_settings_refuses_is_refused(run, tmp_path):
    """A threshold below the advice without its reason; nothing is looked for, nothing is written."""
    path = _changed(tmp_path, "curlew24", {"retract_above: 5.5 bar gauge": "retract_above: 5.2 bar gauge"})
    refused = run((), "settings", path, "-o", tmp_path / "low.dlk")
    status, out, err = run((PICO,), "install", "rp2040", "--aircraft", path)
    assert refused[0] == status == 2
    assert (out, err) == ("", refused[2])
    assert "settings.retract_above" in err and "reasons: {retract_above" in err


@pytest.mark.parametrize("dry", [True, False])
def test_what_check_calls_wrong_is_refused(run, tmp_path, dry):
    path = _changed(tmp_path, "curlew24", {"on_loss: silent": "on_loss: hold"})
    status, said, _ = run((), "check", path)
    assert status == 1 and "WRONG  the receiver holds its last pulses on loss" in said
    more = ("--dry-run", tmp_path / "files") if dry else ()
    status, out, err = run((PICO,), "install", "rp2040", "--aircraft", path, *more)
    assert (status, out, err.count("\n")) == (2, "", 1) and not (tmp_path / "files").exists()
    assert "the receiver holds its last pulses on loss: a lost link cannot be seen" in err


TOO_HIGH = {
    "sensor": ({"top: 18 kohm": "top: 13.5 kohm"}, "sensors.a.divider_top, divider_bottom: puts 2.63 V"),
    "rail": ({"ratio: 0.4545": "ratio: 0.5"}, "rail.ratio: puts 2.50 V"),
    "supply": ({"voltage: 6.6 V": "voltage: 9.9 V"}, "supply.full_reading: puts 2.48 V"),
}


@pytest.mark.parametrize("case", TOO_HIGH)
def test_a_voltage_that_the_converter_does_not_read_straight(run, tmp_path, case):
    change, said = TOO_HIGH[case]
    path = _changed(tmp_path, "curlew24", FOR_ESP32)
    path = _changed(tmp_path, path, change)
    status, out, err = run((ADAPTER,), "install", "esp32", "--aircraft", path, "--dry-run", tmp_path / "files")
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert said in err and "reads up to 2.45 V straight" in err
    assert run((), "install", "rp2040", "--aircraft", path, "--dry-run", tmp_path / "files")[0] == 0
