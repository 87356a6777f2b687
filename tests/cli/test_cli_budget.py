"""`downlock size` and `downlock advise`, what `settings` and `check` make of the advice, and bad aircraft files."""

import re

import pytest

from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.budget.advice import advise
from host_sim.quantities import show_pressure

CURLEW = (AIRCRAFT_DIR / "curlew24.yaml").read_text()
UNITS = ("bar", "psi", "kPa")


@pytest.fixture
def file(tmp_path):
    """Writes the Curlew's file with texts replaced: file(old, new, ...)."""

    def write(*texts):
        text = CURLEW
        for old, new in zip(texts[::2], texts[1::2], strict=True):
            assert old in text, old
            text = text.replace(old, new, 1)
        path = tmp_path / "mine.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize("unit", ["psi", *(pytest.param(unit, marks=pytest.mark.deep) for unit in ("bar", "kPa"))])
def test_size_says_all_of_it_in_one_unit(run, unit):
    status, out, _ = run("size", "curlew24", "--unit", unit)
    assert status == 0
    for other in UNITS:
        assert other == unit or not re.search(rf"\b{other}\b", out)
    for words in ("retract", "extend", "brake application", "Stored in the full tank", "one more leg", "still air"):
        assert words in out
    # 7.5 bar in 0.75 L: (p - pa) V/(gamma - 1) = 1406 J
    assert "to 1406 J" in out
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml")
    assert show_pressure(aircraft.settings.retract_above_mbar / 1000.0, unit) in out


@pytest.mark.parametrize("unit", UNITS)
def test_advise_shows_every_term_and_how_the_file_stands(run, unit):
    status, out, _ = run("advise", "tern30", "--unit", unit)
    aircraft = load_aircraft(AIRCRAFT_DIR / "tern30.yaml")
    assert status == 0
    for other in UNITS:
        assert other == unit or not re.search(rf"\b{other}\b", out)
    for key, threshold in advise(aircraft.installed, aircraft.settings).thresholds.items():
        assert f"{key} {show_pressure(threshold.advised_bar, unit)}" in out
        for term in threshold.terms:
            assert term.name in out
    assert out.count("The file sets") == 4
    assert "does not fall to DOWN by itself" in out


def test_a_fill_that_cannot_do_it_is_refused_with_what_helps(run, file):
    status, out, _ = run("advise", file("cycles: 2", "cycles: 5"))
    assert status == 1
    assert "REFUSED  This tank can't give 5 cycles and a landing" in out
    assert "helps    A tank of" in out


def test_settings_take_the_advice_only_where_the_file_says_so(run, file, tmp_path):
    target = tmp_path / "mine.dlk"
    path = file("force_below: 4.4 bar gauge", "force_below: advised")
    status, out, _ = run("settings", path, "-o", target)
    assert status == 0
    # The advice builds on the file's lock minimum where that is higher: 3.80 + 0.15 + 0.304 bar, rounded up.
    assert "force_below: advised 4.30 bar gauge; the file takes the advice." in out
    assert "lock_min: advised 3.75 bar gauge; the file sets 3.80 bar gauge" in out
    aircraft = load_aircraft(path)
    assert aircraft.packed == target.read_bytes()


def test_a_threshold_below_the_advice_needs_its_reason(run, file, tmp_path):
    target = tmp_path / "mine.dlk"
    texts = ["lock_min: 3.8 bar gauge", "lock_min: 3.5 bar gauge"]
    status, out, err = run("settings", file(*texts), "-o", target)
    assert (status, out) == (2, "")
    assert not target.exists()
    assert "settings.lock_min: 3.50 bar gauge is below the advised 3.75 bar gauge" in err and err.count("\n") == 1
    assert run("settings", file(*texts))[0] == 1
    assert "WRONG" in run("check", file(*texts))[1]
    reason = "reasons: {lock_min: measured with weights on all legs}\n\n# Names of controller"
    status, out, _ = run("settings", file(*texts, "# Names of controller", reason), "-o", target)
    assert status == 0 and target.exists()
    assert "0.25 bar BELOW: reason given: measured with weights on all legs" in " ".join(out.split())
    status, out, _ = run("check", file(*texts, "# Names of controller", reason))
    assert status == 0 and "lock_min is lower than advised; measured with weights on all legs" in out


def test_check_names_an_error_smaller_than_its_parts(run, file):
    status, out, _ = run("check", file("worst_error: 150 mbar", "worst_error: 100 mbar"))
    assert status == 1
    assert "sensors.a.worst_error: 0.100 bar is less than its parts add up to" in " ".join(out.split())
    status, out, err = run("settings", file("worst_error: 150 mbar", "worst_error: 100 mbar"), "-o", "/tmp/never.dlk")
    assert (status, out) == (2, "") and "sensors.a.worst_error: 0.100 bar" in err


def test_check_names_an_extension_slower_than_stated(run, file):
    status, out, _ = run("check", file("extend: 2.5 s", "extend: 1.9 s"))
    assert status == 1
    assert re.search(r"settings.extend is 1.9 s; the slowest extension takes 2.\d\d s", " ".join(out.split()))


BAD = {
    "swapped units": (
        "bore: 14 mm",
        "bore: 14 m",
        "gear.legs.nose.bore: '14 m' is out of range; allowed: 4 mm to 60 mm",
    ),
    "psi and bar swapped": ("fill: 7.5 bar gauge", "fill: 7.5 psi gauge", "tank.fill: '7.5 psi gauge' is out of range"),
    "volume and pressure": ("volume: 750 mL", "volume: 7.5 bar", "tank.volume: '7.5 bar' is not a volume"),
    "gauge given as absolute": (
        "fill: 7.5 bar gauge",
        "fill: 8.5 bar absolute",
        "tank.fill: '8.5 bar absolute' is absolute; a gauge pressure is wanted here",
    ),
    "rod thicker than its bore": (
        "rod: 5 mm",
        "rod: 16 mm",
        "gear.legs.nose.rod: '16 mm' is not thinner than the bore",
    ),
    "a tank of 40 L": (
        "volume: 750 mL",
        "volume: 40 L",
        "tank.volume: '40 L' is out of range; allowed: 100 mL to 5000 mL",
    ),
    "a negative leak": ("leak_down: 0.05 bar", "leak_down: -0.05 bar", "tank.leak_down: '-0.05 bar' is out of range"),
    "a fill above a rating": (
        "fill: 7.5 bar gauge",
        "fill: 8.5 bar gauge",
        "tank.fill: '8.5 bar gauge' is more than the valve is rated for; allowed: up to 8.00 bar gauge",
    ),
    "a lock minimum without its load": (
        "load: full air load, ",
        "",
        "measured.lock_minimum: a lock minimum counts only with its load",
    ),
    "cycles of a half": ("cycles: 2", "cycles: 2.5", "use.cycles: '2.5' is not a whole number; allowed: 1 to 20"),
    "a reason for nothing": (
        "use:  ",
        "reasons: {extend: because}\nuse:  ",
        "reasons: unknown key 'extend'; allowed: lock_min, force_below, warn_below, retract_above",
    ),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["size", "advise"])
def test_bad_aircraft_gets_its_one_line(run, file, command, name):
    old, new, said = BAD[name]
    path = file(old, new)
    status, out, err = run(command, path)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert re.match(rf"downlock: {re.escape(str(path))}:\d+: ", err)
    assert said in err
    line = int(err.split(":")[2])
    assert new.split("\n")[0].strip() in path.read_text().split("\n")[line - 1]


@pytest.mark.parametrize(
    "arguments, said",
    [
        (("size", "curlew24", "--report", "/nowhere/page.html"), "the folder '/nowhere' does not exist"),
        (("advise", "curlew24", "--plot", "."), "is a folder; name a file"),
        (("advise", "curlew24", "--flights", "0"), "'0' is not a whole number from 1 to 1000000"),
        (("advise", "curlew24", "--flights", "many"), "'many' is not a whole number"),
        (("advise", "kite", "--flights", "10"), "kite"),
    ],
)
def test_bad_arguments_get_one_line(run, arguments, said):
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert said in err and err.count("\n") == 1
