"""The command as a user types it."""

import shutil

import pytest

from host_sim.cli import main

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
    assert status == 0 and "  locks  " in out and "receiver holds" in out
    assert "  locks  " not in run("curlew24", "--list")[1].split("Defects")[0]


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
        (("curlew24", "--record", "."), "needs a terminal"),
    ],
)
def test_bad_input_is_one_line(run, arguments, said):
    status, out, err = run(*arguments)
    assert status == 2 and said in err and err.count("\n") == 1
