"""`downlock fly` and `downlock demo`: exit statuses, units, outputs, folders."""

import csv
import re
import signal
import subprocess
import sys

import pytest

from host_sim import cli, flights
from host_sim.trace import COLUMNS


def test_all_claims_hold(run, scenario_file):
    status, out, err = run("fly", scenario_file())
    assert status == 0
    assert err == ""
    assert "All 2 claims hold." in out
    assert "bar gauge" in out and "psi" not in out


def test_a_failed_claim_is_status_1_and_named(run, scenario_file):
    status, out, _ = run("fly", scenario_file(("by: 4.5 s", "by: 3.5 s")))
    assert status == 1
    assert "1 of 2 claims FAILED." in out
    failed = next(line for line in out.splitlines() if line.startswith("FAILED"))
    assert "gear command is 'up'" in failed and "(line 14)" in failed


@pytest.mark.parametrize(
    ("unit", "start"), [("psi", "104.4 psi gauge"), ("kPa", "720 kPa gauge"), ("bar", "7.20 bar gauge")]
)
def test_units(run, scenario_file, unit, start):
    status, out, _ = run("fly", scenario_file(), "--unit", unit)
    assert status == 0
    assert start in out
    others = {"psi", "kPa", "bar"} - {unit}
    assert not [other for other in others if f" {other}" in out]


def test_every_timeline_line_says_gauge(run, scenario_file):
    _, out, _ = run("fly", scenario_file(), "--unit", "psi")
    pressures = re.findall(r"\d psi( gauge)?", " ".join(out.split()))
    assert len(pressures) >= 7
    assert all(pressures)


def test_quiet_prints_the_verdict_alone(run, scenario_file):
    assert run("fly", "-q", scenario_file())[1] == "All 2 claims hold.\n"


def test_quiet_still_shows_an_admitted_limit(run, scenario_file):
    path = scenario_file(("curlew24.yaml", "tern30.yaml"))
    out = run("fly", "-q", path)[1]
    assert "does not fall to DOWN by itself" in " ".join(out.split())


def test_trace_has_the_columns_and_a_row_a_tick(run, scenario_file, tmp_path):
    target = tmp_path / "flight.csv"
    status, out, _ = run("fly", "-q", scenario_file(), "--trace", target)
    assert status == 0
    assert f"Written: {target}" in out
    with open(target, newline="") as file:
        rows = list(csv.reader(file))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == 1 + 12 * 50
    assert [row[0] for row in rows[1:3]] == ["0.000", "0.020"]


def test_one_scenario_into_a_folder_that_exists(run, scenario_file, tmp_path):
    status, _, _ = run("fly", "-q", scenario_file(), "--trace", tmp_path)
    assert status == 0
    assert (tmp_path / "short.csv").is_file()


def test_folder_one_line_each_and_a_count(run, scenario_file, tmp_path):
    scenario_file()
    scenario_file(("by: 4.5 s", "by: 3.5 s"), name="other.yaml")
    status, out, err = run("fly", tmp_path, "--trace", tmp_path / "made" / "traces")
    assert status == 1
    assert err == ""
    lines = out.splitlines()
    assert lines[0].startswith("FAILED  other") and "1 of 2 claims" in lines[0]
    assert [line for line in lines if line.startswith("holds   short")]
    assert lines[-1] == "2 flights: 1 with every claim held, 1 with a claim FAILED."
    assert sorted(path.name for path in (tmp_path / "made" / "traces").iterdir()) == ["other.csv", "short.csv"]


def test_folder_skips_an_aircraft_beside_its_scenarios(run, scenario_file, tmp_path):
    from host_sim.aircraft import AIRCRAFT_DIR

    scenario_file()
    (tmp_path / "mine.yaml").write_bytes((AIRCRAFT_DIR / "curlew24.yaml").read_bytes())
    status, out, _ = run("fly", tmp_path)
    assert status == 0
    assert "1 flight: 1 with every claim held" in out


def test_limit_is_told_once_for_many_flights(run, scenario_file, tmp_path):
    scenario_file(("curlew24.yaml", "tern30.yaml"))
    scenario_file(("curlew24.yaml", "tern30.yaml"), name="other.yaml")
    out = " ".join(run("fly", tmp_path)[1].split())
    assert out.count("does not fall to DOWN by itself") == 1


def test_shipped_name_and_shipped_word():
    paths, many = flights.find_scenarios(["slow_leak_gear_up"])
    assert [path.name for path in paths] == ["slow_leak_gear_up.yaml"] and not many
    every, many = flights.find_scenarios([flights.SHIPPED])
    assert many and len(every) > 10 and paths[0] in every


def test_demo_writes_page_and_picture(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, out, _ = run("demo")
    assert status == 0
    assert "GEAR FORCED DOWN" in out
    picture = tmp_path / "out" / "slow_leak_gear_up.png"
    assert out.splitlines()[-1].split() == ["The", "picture:", str(picture)]
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "out" / "slow_leak_gear_up.html").stat().st_size > 100_000


def test_demo_falls_back_where_out_cannot_be_written(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out").write_text("a file stands in the way")
    folder = cli._writable_folder()
    assert folder.is_dir() and folder.name.startswith("downlock-")
    folder.rmdir()


def test_ctrl_c_is_one_line(run, scenario_file, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(flights, "fly", stop)
    status, _, err = run("fly", scenario_file())
    assert status == 130
    assert err == "downlock: stopped\n"


def test_a_closed_pipe_is_no_traceback(scenario_file):
    command = [sys.executable, "-m", "host_sim.cli", "faults"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait(timeout=30) in (0, -signal.SIGPIPE)


def test_no_progress_bar_off_a_terminal(scenario_file, tmp_path):
    scenario_file()
    command = [sys.executable, "-m", "host_sim.cli", "fly", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0
    assert done.stderr == ""
