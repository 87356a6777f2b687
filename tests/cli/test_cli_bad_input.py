"""Whatever is wrong with the input: status 2, one line on stderr that names it, no traceback."""

import pytest

SETTINGS_OVER = "options: {settings: {force_below: 9 bar gauge}}\nseed: 5"


def one_line(err):
    assert err.count("\n") == 1, err
    assert "Traceback" not in err
    return err


# (old text, new text, words that the line must hold); the file and its line come besides.
BROKEN = {
    "no unit": ("7.2 bar", "7.2", ("tank", "7.2", "unit"), 7),
    "unit of the wrong kind": ("7.2 bar", "7.2 m", ("tank", "7.2 m"), 7),
    "absolute pressure": ("7.2 bar", "7.2 bar absolute", ("tank", "absolute", "gauge"), 7),
    "out of range": ("7.2 bar", "99 bar", ("tank", "99 bar", "0 bar to 16 bar"), 7),
    "unknown key": ("seed: 5", "seed: 5\nsede: 6", ("'sede'", "did you mean 'seed'"), 5),
    "duplicate key": ("seed: 5", "seed: 5\nseed: 6", ("seed", "twice"), 5),
    "misspelt key": ("seed: 5", "sede: 5", ("'seed' is missing",), None),
    "missing key": ("seed: 5\n", "", ("'seed' is missing",), None),
    "not yaml": ("seed: 5", "seed: [5", ("YAML",), None),
    "unknown aircraft": ("curlew24.yaml", "curlew25.yaml", ("curlew25.yaml", "curlew24.yaml"), 3),
    "unknown requirement": ("SR-02 acts", "SR02 acts", ("SR02 acts",), 6),
    "beat out of order": ("at: 8 s, switch", "at: 2 s, switch", ("2 s",), 12),
    "unknown word": ("switch: up}", "switch: Up}", ("Up", "down, up"), 11),
    "unknown column": ("gear_command: up", "gear_comand: up", ("gear_comand",), 14),
    "claim after the end": ("by: 4.5 s", "by: 45 s", ("45 s",), 14),
    "unknown fault": ("claims:", "faults: [{what: bird strike, from: 1 s}]\nclaims:", ("bird strike",), 13),
    "setting breaks a rule": ("seed: 5", SETTINGS_OVER, ("force_below",), None),
}


@pytest.mark.parametrize("case", BROKEN)
def test_bad_scenario(run, scenario_file, case):
    old, new, words, line = BROKEN[case]
    path = scenario_file((old, new))
    status, out, err = run("fly", path)
    assert status == 2
    assert out == ""
    for word in words:
        assert word in one_line(err)
    if case == "setting breaks a rule":
        return
    assert str(path) in err
    if line:
        assert f"{path}:{line}:" in err


def test_not_text(run, tmp_path):
    path = tmp_path / "noise.yaml"
    path.write_bytes(b"title: \xff\xfe\n")
    status, _, err = run("fly", path)
    assert status == 2
    assert "UTF-8" in one_line(err) and f"{path}:1:" in err


def test_empty_file(run, tmp_path):
    path = tmp_path / "empty.yaml"
    path.write_text("")
    status, _, err = run("fly", path)
    assert status == 2
    assert "empty" in one_line(err)


COMMANDS = {
    "nothing": ((), "COMMAND"),
    "unknown command": (("flie",), "'flie'"),
    "no scenario": (("fly",), "SCENARIO"),
    "no such scenario": (("fly", "no_such_flight"), "no_such_flight"),
    "unknown unit": (("fly", "slow_leak_gear_up", "--unit", "mbar"), "'mbar'"),
    "unknown engine": (("fly", "slow_leak_gear_up", "--engine", "abacus"), "'abacus'"),
    "option without a value": (("fly", "slow_leak_gear_up", "--trace"), "--trace"),
    "unknown option": (("fly", "slow_leak_gear_up", "--fast"), "--fast"),
    "no such aircraft": (("check", "no_such_jet"), "no_such_jet"),
    "settings of nothing": (("settings",), "AIRCRAFT"),
    "report into no folder": (("fly", "slow_leak_gear_up", "--report", "/no/such/place/a.html"), "/no/such/place"),
    "full disk": (("settings", "curlew24", "-o", "/dev/full"), "No space left"),
    "settings into no folder": (("settings", "curlew24", "-o", "/no/such/place/a"), "/no/such/place/a"),
    "file for many flights": (("fly", "shipped", "--plot", "all.png"), "name a folder"),
}


@pytest.mark.parametrize("case", COMMANDS)
def test_bad_command(run, case):
    arguments, word = COMMANDS[case]
    status, out, err = run(*arguments)
    assert status == 2
    assert out == ""
    assert err.startswith("downlock")
    assert word in one_line(err)


def test_trace_that_cannot_be_written(run, scenario_file):
    status, _, err = run("fly", "-q", scenario_file(), "--trace", "/dev/full")
    assert status == 2
    assert "--trace /dev/full" in one_line(err)


def test_folder_without_scenarios(run, tmp_path):
    status, _, err = run("fly", tmp_path)
    assert status == 2
    assert str(tmp_path) in one_line(err)


def test_two_scenarios_of_one_name(run, scenario_file, tmp_path):
    first = scenario_file()
    other = tmp_path / "deeper" / "short.yaml"
    other.parent.mkdir()
    other.write_bytes(first.read_bytes())
    status, _, err = run("fly", first, other)
    assert status == 2
    assert "same name" in one_line(err)


def test_one_bad_file_of_a_folder_and_nothing_is_flown(run, scenario_file, tmp_path):
    scenario_file()
    bad = scenario_file(("7.2 bar", "7.2"), name="zz.yaml")
    status, out, err = run("fly", tmp_path)
    assert status == 2
    assert out == ""
    assert str(bad) in one_line(err)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_no_micropython(run, scenario_file, monkeypatch):
    monkeypatch.setenv("DOWNLOCK_MICROPYTHON", "/no/such/interpreter")
    status, _, err = run("fly", scenario_file(), "--engine", "micropython")
    assert status == 2
    assert "/no/such/interpreter" in one_line(err)
