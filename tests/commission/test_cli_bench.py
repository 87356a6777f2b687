"""The command as a user types it."""

import shutil

import pytest

from host_sim.cli import main
from host_sim.errors import InputError

from .rig import aircraft, record


@pytest.fixture
def run(capsys):
    """(status, stdout, stderr) of a call."""

    def call(*arguments):
        status = main(["bench", *map(str, arguments)])
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return call


@pytest.fixture
def mine(tmp_path):
    """A copy of the shipped aircraft in a folder of its own."""
    return shutil.copy(aircraft("curlew24").file, tmp_path / "mine.yaml")


def test_one_step_says_what_to_do_what_is_expected_and_what_was_seen(run):
    status, out, err = run("curlew24", "--simulated", "--only", "zero", "--unit", "kPa")
    assert (status, err) == (0, "")
    for text in (
        "SIMULATED",
        "to do: Vent the tank",
        "expect: Every sensor",
        "CAUTION The tank is vented",
        "clear. The tank: it reads 75",
        "PASSED",
    ):
        assert text in " ".join(out.split()), text
    assert "sensor a: 2 kPa gauge" in out and " bar" not in out.split("[2/2]")[1].split("A real session")[0]


def test_what_did_not_pass_is_the_exit_status(run):
    status, out, _ = run("curlew24", "--simulated", "--only", "supply", "--defect", "supply divider")
    assert status == 1 and "because the two differ" in out and "For the file (supply): supply: full_reading: " in out
    status, out, _ = run("curlew24", "--simulated", "--only", "channels", "--defect", "other settings")
    assert status == 1 and "[2/2]" not in out


def test_list(run):
    status, out, _ = run("tern30", "--list")
    assert status == 0 and "  locks  " in out and "receiver holds" in out and "lock wire off" in out
    assert "  Button and ground switch, both ways" in out
    out = run("curlew24", "--list")[1]
    assert "  locks  " not in out and "lock wire off" not in out and "ground" not in out and "receiver holds" in out


def test_records_of_an_invented_session_and_the_status(run, mine):
    folder = mine.parent
    before = mine.read_text()
    status, out, _ = run(mine, "--simulated", "--only", "zero", "--record", folder)
    assert status == 0 and "Record: " in out and mine.read_text() == before
    (path,) = folder.glob("mine-bench-*.yaml")
    assert "simulated: 'yes'" in path.read_text()
    status, out, _ = run(mine, "--status")
    assert status == 1 and "1 simulated record(s)" in out and "NOT READY: 18 of 18" in out
    status, out, _ = run(mine, "--status", "--simulated", "--record", folder)
    assert status == 1 and "NOT READY: 16 of 18" in out
    record("curlew24").save(folder / "mine-bench-real.yaml")
    status, out, _ = run(mine, "--status")
    assert status == 0 and "Ready as far as the bench can tell" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("nix",), "is neither a file nor a shipped aircraft"),
        (("curlew24", "--only", "vlave", "--simulated"), "is no step (did you mean 'valve'?)"),
        (("curlew24", "--only", "locks", "--simulated"), "is not needed by this aircraft"),
        (("curlew24", "--from", "nix", "--simulated"), "allowed: board, channels"),
        (("curlew24", "--simulated", "--defect", "leek"), "did you mean 'leak'?"),
        (("curlew24", "--simulated", "--defect", "lock switch stuck"), "has nothing of the kind"),
        (("curlew24", "--record", ".", "--defect", "leak"), "goes with --simulated only"),
        (("curlew24", "--simulated", "--port", "x"), "does not go with --simulated"),
        (("curlew24", "--simulated", "--record", "no/such"), "is no folder that exists"),
        (("curlew24", "--simulated", "--status"), "name the folder"),
        (("curlew24",), "is a shipped example"),
        (("curlew24", "--record", "."), "is a shipped example"),
        (("curlew24", "--simulated", "--only", "zero", "--from", "zero"), "--only zero: does not go with --from"),
        (("curlew24", "--simulated", "--record", "/proc"), "/proc: no record can be written there"),
        (("curlew24", "--simulated", "--watch", "--only", "zero"), "--watch: does not go with --only"),
        (("curlew24", "--simulated", "--watch", "--defect", "leek"), "did you mean 'leak'?"),
        (("MINE",), "needs a terminal"),
    ],
)
def test_bad_input_is_one_line(run, mine, arguments, said):
    status, out, err = run(*[mine if one == "MINE" else one for one in arguments])
    assert (status, out) == (2, "") and said in err and err.count("\n") == 1


def test_the_port_is_looked_at_before_anybody_is_asked(run, mine, monkeypatch):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _: pytest.fail("asked for a name"))
    status, out, err = run(mine, "--port", "/nowhere/tty")
    assert (status, out) == (2, "") and "/nowhere/tty: is not there" in err


def test_the_way_on_names_the_same_records(run, mine):
    folder = mine.parent / "my records"
    folder.mkdir()
    _, out, _ = run(mine, "--status", "--record", folder)
    assert f"go on with: downlock bench {mine} --record '{folder}' --from board" in out
    _, out, _ = run(mine, "--status", "--simulated", "--record", folder)
    assert f"--record '{folder}' --simulated --from board" in out
    _, out, _ = run("curlew24", "--status", "--record", folder)
    assert "it is a shipped example: copy it" in out and "go on with: " not in out


def test_a_folder_that_fills_up_is_not_called_a_record(run, mine, monkeypatch):
    def full(path, text):
        raise InputError(str(path), "", "cannot be written: No space left on device")

    monkeypatch.setattr("host_sim.commission.record.write_whole", full)
    status, out, _ = run(mine, "--simulated", "--record", mine.parent, "--only", "supply")
    assert status == 1 and "The session ends here: " in out and "cannot be written: No space" in out
    assert "is kept" not in out and "Record: " not in out and "[2/2]" not in out


def test_watch_tells_every_input_in_the_owners_unit_and_then_what_changes(run):
    status, out, err = run("tern30", "--simulated", "--watch")
    assert (status, err) == (0, "")
    first, then = out.split("> Gear switch to UP.")
    for text in (
        "gear           1906 us, DOWN, ",
        "fresh a second, no glitches",
        "sensor b       110.",
        " psi gauge (code 28",
        "rail           5.00 V",
        "supply         7.36 V",
        "lock right     locked (pin high)",
        "ground switch  on the wheels (pin low)",
        "button         released",
    ):
        assert text in first, text
    assert "gear           1094 us, UP" in then and "button         pressed" in then
    assert "spare          2101 us, inside the signature" in then
    assert "rail" not in then and "lock" not in then
