"""Measurements into the text of an aircraft file: its comments stay, a conflict is refused, nothing is ever half written."""

import pytest

from host_sim.aircraft import load_aircraft
from host_sim.commission.edit import AircraftFile, with_keys
from host_sim.commission.keep import keep_results
from host_sim.commission.results import agrees, rows_text
from host_sim.commission.step import Result
from host_sim.errors import InputError

from .rig import aircraft

ROWS = {
    "zero": 0.012,
    "gauge": [(3.71, 3.75), (7.48, 7.5)],
    "lock_minimum": (3.55, 1.0, 0.15),
    "leak_down": [(7.5, 7.45, 600.0, 292.15, 291.15)],
    "drops": [("retraction", 7.5, 7.1), ("extension", 7.1, 6.7)],
    "extensions": [(7.1, 1.5, 0.6)],
}


def _text(name):
    with open(aircraft(name).file, encoding="utf-8") as file:
        return file.read()


def _lines(name, unit):
    return {key: rows_text(key, value, unit) for key, value in ROWS.items()}


def test_block_section_keeps_comments_order_and_everything_else():
    old = _text("curlew24")
    new = with_keys(old, "measured", _lines("curlew24", "bar"))
    kept = [line for line in old.splitlines() if "lock_minimum: {" not in line]
    assert [line for line in new.splitlines() if line in kept] == kept
    assert "lock_minimum: {tank: 3.550 bar gauge, load: full air load, within: 0.150 bar}" in new
    assert new.count("lock_minimum: {") == 1
    assert new.index("  gauge:\n    - {reads: 3.710") < new.index("\ngear:")


@pytest.mark.parametrize("unit", ["bar", "psi", "kPa"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_what_is_written_is_read_back_as_measured(tmp_path, unit, end):
    path = tmp_path / "mine.yaml"
    text = _text("tern30").replace("unit: psi", f"unit: {unit}")
    path.write_bytes(text.replace("\n", end).encode())
    lines = {key: rows_text(key, value, unit) for key, value in ROWS.items()}
    found = AircraftFile(path).write("measured", lines, "why", "stamp").installed.measured
    assert path.read_bytes().count(b"\r") == (path.read_bytes().count(b"\n") if end == "\r\n" else 0)
    close = 0.006 if unit == "psi" else 0.004
    assert found.zero_bar == pytest.approx(0.012, abs=close)
    assert found.gauge[1].reads_bar == pytest.approx(7.48, abs=close)
    assert (found.lock_minimum.tank_bar, found.lock_minimum.load_share) == (pytest.approx(3.55, abs=close), 1.0)
    assert found.lock_minimum.within_bar == pytest.approx(0.15, abs=close)
    assert (found.leak_down[0].over_s, found.leak_down[0].end_k) == (600.0, pytest.approx(291.15))
    assert [row.stroke for row in found.drops] == ["retraction", "extension"]
    assert (found.extensions[0].takes_s, found.extensions[0].load_share) == (1.5, pytest.approx(0.6))


def test_line_ends_of_a_file_from_another_system_stay():
    new = with_keys(_text("curlew24").replace("\n", "\r\n"), "measured", _lines("curlew24", "bar"))
    assert new.replace("\r\n", "") == new.replace("\r", "").replace("\n", "")
    assert new.replace("\r\n", "\n") == with_keys(_text("curlew24"), "measured", _lines("curlew24", "bar"))


FLOW = "name: X\nmeasured: {zero: {reads: 0 bar}, drops: [{a: 1}, {a: 2}]}  # said\nlast: 1\n"


def test_flow_sections_and_comments_behind_lists():
    new = with_keys(FLOW, "measured", {"zero": "{reads: 1 bar}", "gauge": ["{r: 1}", "{r: 2}"]})
    assert new == (
        "name: X\nmeasured: {zero: {reads: 1 bar}, drops: [{a: 1}, {a: 2}], gauge: [{r: 1}, {r: 2}]}  # said\nlast: 1\n"
    )
    text = "m:\n    list:       # of old\n      - {a: 1}  # one\n      - {a: 2}\n\n    # on b\n    b: 2  # two\n\n# end\nlast: 1\n"
    assert with_keys(text, "m", {"list": ["{a: 3}"], "c": "4"}) == (
        "m:\n    list:\n      - {a: 3}\n\n    # on b\n    b: 2  # two\n    c: 4\n\n# end\nlast: 1\n"
    )
    assert with_keys("a: 1", "m", {"c": "4"}, "why").endswith("\n\nm:                              # why\n  c: 4\n")


def test_the_file_as_it_was_is_kept_once(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    file = AircraftFile(path)
    file.write("measured", {"zero": "{reads: 0.01 bar}"}, "why", "s1")
    file.write("measured", {"zero": "{reads: 0.02 bar}"}, "why", "s1")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["mine.yaml", "mine.yaml.s1.bak"]
    assert (tmp_path / "mine.yaml.s1.bak").read_text() == _text("curlew24")
    assert load_aircraft(path).installed.measured.zero_bar == pytest.approx(0.02)


def test_a_file_that_has_changed_meanwhile_is_not_written(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    file = AircraftFile(path)
    changed = _text("curlew24") + "# by someone else\n"
    path.write_text(changed)
    with pytest.raises(InputError, match="has changed since it was read"):
        file.write("measured", {"zero": "{reads: 0.01 bar}"}, "why", "s1")
    assert path.read_text() == changed and [one.name for one in tmp_path.iterdir()] == ["mine.yaml"]


def test_values_that_the_file_would_be_refused_for_are_not_written(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    with pytest.raises(InputError, match="would be refused"):
        AircraftFile(path).write("measured", {"zero": "{reads: 5 bar}"}, "why", "s1")
    assert path.read_text() == _text("curlew24") and [one.name for one in tmp_path.iterdir()] == ["mine.yaml"]


def test_a_measurement_that_agrees_leaves_the_file_alone(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    lines = {key: rows_text(key, value, "bar") for key, value in ROWS.items()}
    measured = AircraftFile(path).write("measured", lines, "why", "s1").installed.measured
    assert all(agrees(key, value, measured) for key, value in ROWS.items())
    other = {
        "zero": 0.05,
        "gauge": [(3.55, 3.75)],
        "lock_minimum": (3.8, 1.0, 0.15),
        "leak_down": [(7.5, 7.3, 600.0, 292.15, 291.15)],
        "drops": [("retraction", 7.5, 6.9)],
        "extensions": [(7.1, 2.0, 0.6)],
    }
    assert not any(agrees(key, value, measured) for key, value in other.items())
    assert not any(agrees(key, value, None) for key, value in ROWS.items())
    assert not agrees("lock_minimum", (3.55, 0.0, 0.15), measured)


class Yes:
    """An operator who answers the one question."""

    def __init__(self, answer):
        self.answer, self.told = answer, []

    def tell(self, line):
        self.told.append(line)

    def yes(self, key, text):
        return self.answer


def _result(step, verdict="passed", **fields):
    return Result(step, verdict, **fields)


def test_results_go_in_after_a_yes_only(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    one, results = (
        load_aircraft(path),
        [_result("zero", rows={"zero": 0.05}), _result("leak", "not passed", rows={"gauge": [(1, 1)]})],
    )
    keep_results(one, results, Yes(False), "bar", tmp_path, "s", False)
    assert path.read_text() == _text("curlew24")
    said = keep_results(one, results, Yes(True), "bar", tmp_path, "s", False)
    measured = load_aircraft(path).installed.measured
    assert measured.zero_bar == pytest.approx(0.05) and measured.gauge == ()
    assert "As it was:" in said[-1]


def test_an_acceptance_goes_into_the_file_and_onto_every_print_out(tmp_path):
    from host_sim.aircraft_print import check_lines

    path = tmp_path / "mine.yaml"
    path.write_text(_text("tern30"))
    accepted = _result("falls", "accepted", accepted_by="Pat O'Neil")
    keep_results(load_aircraft(path), [accepted], Yes(True), "psi", tmp_path, "s", False)
    assert "Accepted by Pat O'Neil." in " ".join(" ".join(check_lines(load_aircraft(path), "psi")[0]).split())


@pytest.mark.deep
def test_thresholds_left_to_the_advice_that_move_are_said(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24").replace("lock_min: 3.8 bar gauge", "lock_min: advised"))
    results = [_result("lock_minimum", rows={"lock_minimum": (3.4, 1.0, 0.05)})]
    said = keep_results(load_aircraft(path), results, Yes(True), "bar", tmp_path, "s", False)
    assert "every step counts anew" in said[-1]
    again = keep_results(load_aircraft(path), results, Yes(True), "bar", tmp_path, "s", False)
    assert again == ["Measured as the file has it: lock_minimum."]


def test_an_invented_session_never_touches_the_file(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text(_text("curlew24"))
    said = keep_results(
        load_aircraft(path), [_result("zero", rows={"zero": 0.05})], Yes(True), "bar", tmp_path, "s", True
    )
    assert path.read_text() == _text("curlew24")
    assert load_aircraft(tmp_path / "mine-simulated-s.yaml").installed.measured.zero_bar == pytest.approx(0.05)
    assert "invented" in said[-1]
    said = keep_results(load_aircraft(path), [_result("zero", rows={"zero": 0.05})], Yes(True), "bar", None, "s", True)
    assert "Nothing is kept" in said[-1]
