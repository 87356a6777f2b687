"""`downlock settings`, `check`, `faults`, `scenarios`, `--version`."""

import re

import pytest

from controller import packing
from controller.settings import FIELDS, NAME, UNIT, Settings
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.aircraft_print import settings_rows
from host_sim.faults import CATALOGUE
from host_sim.meanings import MEANINGS
from host_sim.scenario import SCENARIO_DIR, shipped_scenarios


def test_settings_file_is_what_the_board_loads(run, tmp_path):
    target = tmp_path / "curlew24.dlk"
    status, out, _ = run("settings", "curlew24", "-o", target)
    assert status == 0
    assert f"Written: {target} (" in out
    loaded = Settings()
    assert packing.unpack(target.read_bytes(), loaded) == 0
    wanted = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml").settings
    assert vars(loaded) == vars(wanted)


def test_checksum_is_the_one_that_the_file_carries(run):
    shown = set()
    for name in ("curlew24", "tern30"):
        packed = load_aircraft(AIRCRAFT_DIR / f"{name}.yaml").packed
        carried = int.from_bytes(packed[-4:], "little")
        assert f"checksum {carried:08x}" in run("settings", name)[1]
        shown.add(carried)
    assert len(shown) == 2


def test_every_setting_has_a_row_a_requirement_and_a_meaning(run):
    _, out, _ = run("settings", "curlew24")
    rows = settings_rows(load_aircraft(AIRCRAFT_DIR / "curlew24.yaml").settings, "bar")
    assert len(rows) == len(FIELDS)
    assert set(MEANINGS) == {row[NAME] for row in FIELDS}
    for name, value, _, _, _, requirement, meaning in rows:
        line = next(line for line in out.splitlines() if re.match(rf"{name} +{re.escape(value)} ", line))
        assert requirement in line
        assert meaning.split()[0] in line


def test_pressures_of_the_settings_are_in_the_users_unit():
    settings = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml").settings
    rows = dict(zip((row[NAME] for row in FIELDS), settings_rows(settings, "psi"), strict=True))
    name, value, unit, allowed, *_ = rows["retract_above_mbar"]
    # 1 psi = 68.94757 mbar (NIST SP 811, appendix B)
    assert float(value) == pytest.approx(settings.retract_above_mbar / 68.94757, abs=0.006)
    assert unit == "psi gauge" and allowed == "14.50 to 217.56"
    assert rows["sensor_error_mbar"][2] == "psi"
    assert rows["burst_floor_mbar_s"][2] == "psi/s"
    assert not [row for row in FIELDS if row[UNIT].startswith("mbar") and "psi" not in rows[row[NAME]][2]]


def test_settings_without_a_file_says_that_none_was_written(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, out, _ = run("settings", "curlew24")
    assert status == 0 and "Not written" in out
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["settings", "check"])
def test_an_admitted_limit_is_in_every_print_out(run, command):
    out = " ".join(run(command, "tern30")[1].split())
    assert "the two-coil gear valve does not fall to DOWN by itself" in out
    assert "does not fall" not in run(command, "curlew24")[1]


def test_check_of_a_good_file(run):
    status, out, _ = run("check", "curlew24", "--unit", "kPa")
    assert status == 0
    assert "the settings pack and load again" in out
    assert "No lock switches" in out
    assert "not ready before the bench" in " ".join(out.split())
    assert "kPa gauge" in out and " bar" not in out


def edited(tmp_path, name, *replacements):
    text = (AIRCRAFT_DIR / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new)
    path = tmp_path / "edited.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_check_names_a_receiver_that_holds(run, tmp_path):
    status, out, _ = run("check", edited(tmp_path, "curlew24", ("on_loss: silent", "on_loss: hold")))
    assert status == 1
    assert "WRONG" in out and "holds its last pulses" in " ".join(out.split())
    assert "1 thing to mend" in out


def test_check_names_a_gear_preset_of_up(run, tmp_path):
    status, out, _ = run("check", edited(tmp_path, "tern30", ("preset: {gear: 1900 us", "preset: {gear: 1100 us")))
    assert status == 1
    assert "1100 us, means up" in " ".join(out.split())


def test_check_names_a_preset_that_brakes_or_opens_the_throttle(run, tmp_path):
    text = (AIRCRAFT_DIR / "tern30.yaml").read_text()
    path = tmp_path / "made.yaml"
    for old, new, said in (
        ("brake: 1900 us, light", "brake: 1100 us, light", "1100 us, puts the brakes on"),
        ("brake: 1900 us, light", "brake: 1800 us, light", "1800 us, puts the brakes on"),
        ("brake: 1900 us, light", "brake: 1850 us, light", ""),
        ("throttle: 1100 us, brake", "throttle: 1180 us, brake", "1180 us, is above idle"),
    ):
        assert text.count(old) == 1
        path.write_text(text.replace(old, new))
        status, out, _ = run("check", str(path))
        assert (status, said in " ".join(out.split())) == (1 if said else 0, True)


def test_check_of_a_bad_file_names_the_line(run, tmp_path):
    path = edited(tmp_path, "curlew24", ("volume: 750 mL", "volume: 75 L"))
    status, out, err = run("check", path)
    assert status == 2
    assert out == ""
    assert re.search(rf"{re.escape(str(path))}:\d+: .*75 L.*100 mL to 5000 mL", err)
    assert err.count("\n") == 1


def test_faults_lists_the_whole_catalogue(run):
    status, out, _ = run("faults")
    assert status == 0
    for name, kind in CATALOGUE.items():
        assert re.search(rf"^{re.escape(name)}  \[{kind.device}\]$", out, re.MULTILINE), name
        for parameter in kind.parameters:
            assert f"    {parameter.name}: " in out
    assert f"{len(CATALOGUE)} kinds of fault" in out


def test_scenarios_lists_every_shipped_one(run):
    status, out, _ = run("scenarios")
    assert status == 0
    for path in shipped_scenarios():
        assert re.search(rf"^{path.stem} ", out, re.MULTILINE), path.stem
    assert "Slow leak with the gear up" in out
    assert len(list(SCENARIO_DIR.glob("*.yaml"))) == len(out.splitlines()) - 1


def test_version(capsys):
    from host_sim.cli import main

    with pytest.raises(SystemExit) as end:
        main(["--version"])
    assert end.value.code == 0
    assert re.fullmatch(r"downlock \S.*\n", capsys.readouterr().out)
