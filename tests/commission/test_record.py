"""Records: whole on disk, read back the same, refused in one line when they are none; and what they add up to."""

from pathlib import Path

import pytest

from host_sim.aircraft import load_aircraft
from host_sim.commission.plan import steps_for
from host_sim.commission.record import load_record, record_path, records_of
from host_sim.commission.status import MISSING, standings, status_lines
from host_sim.errors import InputError

from .rig import NOON, aircraft, record


def _ready(name, *records):
    lines, ready = status_lines(aircraft(name), list(records), False)
    return ready, "\n".join(lines)


def test_a_record_is_read_back_as_it_was(tmp_path):
    made = record("tern30", verdicts={"board": "passed", "zero": "not passed", "leak": "skipped"})
    made.steps[1].fail('sensor a: it\'s off, "10 %" # no comment')
    made.steps[0].by = "measured and operator"
    made.operator = "Ümit: Ö'Neil"
    made.save(tmp_path / "one.yaml")
    read = load_record(tmp_path / "one.yaml")
    assert read.file.endswith("one.yaml")
    read.file = made.file
    assert read == made
    assert [path.name for path in tmp_path.iterdir()] == ["one.yaml"]


def test_no_record_takes_the_place_of_another(tmp_path):
    one = aircraft("curlew24")
    first = record_path(tmp_path, one, NOON)
    record("curlew24").save(first)
    second = record_path(tmp_path, one, NOON)
    assert first.name == "curlew24-bench-2026-01-31-120000.yaml" and second != first
    record("curlew24", date="2026-02-01 12:00:00").save(second)
    record("tern30").save(tmp_path / "curlew24-bench-of-another.yaml")
    assert [found.date for found in records_of(tmp_path, one)] == ["2026-01-31 12:00:00", "2026-02-01 12:00:00"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("downlock_bench: 1", "downlock_bench: 2", "out of range; allowed: 1 to 1"),
        ("result: passed", "result: fine", "allowed: passed, not passed, skipped, accepted"),
        ("result: passed", "result: accepted", "accepted without a name"),
        ("date: '2026-01-31 12:00:00'", "date: yesterday", "is no date like"),
        ("simulated: 'no'", "", "the key 'simulated' is missing"),
        ("operator:", "operater:", "the key 'operator' is missing"),
    ],
)
def test_a_spoilt_record_is_named_by_line(tmp_path, old, new, said):
    path = tmp_path / "curlew24-bench-x.yaml"
    record("curlew24").save(path)
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        records_of(tmp_path, aircraft("curlew24"))
    assert said in str(caught.value) and "curlew24-bench-x.yaml:" in str(caught.value)


def test_ready_only_when_every_step_has_passed():
    assert _ready("curlew24", record("curlew24"))[0]
    assert not _ready("curlew24")[0]
    names = [step.name for step in steps_for(aircraft("curlew24"))]
    for name in names:
        ready, said = _ready("curlew24", record("curlew24", verdicts=dict.fromkeys(set(names) - {name}, "passed")))
        assert not ready and f"--from {name}" in said


def test_several_records_add_up_and_the_newest_word_counts():
    names = [step.name for step in steps_for(aircraft("curlew24"))]
    first = record("curlew24", "2026-01-01 12:00:00", dict.fromkeys(names[:9], "passed"))
    second = record("curlew24", "2026-01-02 12:00:00", dict.fromkeys(names[9:], "passed"))
    assert _ready("curlew24", first, second)[0]
    failed = record("curlew24", "2026-01-03 12:00:00", {"leak": "not passed"})
    ready, said = _ready("curlew24", first, second, failed)
    assert not ready and "NOT PASSED" in said
    skipped = record("curlew24", "2026-01-03 12:00:00", {"leak": "skipped"})
    assert _ready("curlew24", first, second, skipped)[0]
    again = record("curlew24", "2026-01-04 12:00:00", {"leak": "passed"})
    assert _ready("curlew24", first, second, failed, again)[0]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"settings": "0badf00d"}, "other settings (0badf00d; the file's are"),
        ({"wiring": "two-coil"}, "another wiring record (two-coil)"),
    ],
)
def test_what_was_proved_with_something_else_does_not_count(changed, said):
    ready, lines = _ready("curlew24", record("curlew24", **changed))
    assert not ready and said in lines


@pytest.mark.parametrize(
    ("changed", "said"),
    [({"board_id": "a11"}, "another board (a11)"), ({"version": "0.0.9"}, "another version (0.0.9)")],
)
def test_board_and_version_of_the_newest_record_count(changed, said):
    old = record("curlew24", "2026-01-01 12:00:00", **changed)
    new = record("curlew24", "2026-01-02 12:00:00", {"board": "passed"})
    found = {one.step.name: one for one in standings(aircraft("curlew24"), [old, new])}
    assert found["board"].verdict == "passed"
    assert found["leak"].verdict == MISSING and said in found["leak"].note


def test_simulated_records_never_count_for_a_model():
    ready, said = _ready("curlew24", record("curlew24", simulated=True))
    assert not ready and "1 simulated record(s)" in said
    lines, ready = status_lines(aircraft("curlew24"), [record("curlew24", simulated=True), record("curlew24")], True)
    assert ready and "SIMULATED" in lines[1]
    lines, ready = status_lines(aircraft("curlew24"), [record("curlew24")], True)
    assert not ready


def test_an_acceptance_counts_only_under_the_name_that_every_print_out_shows():
    made = record("tern30")
    (falls,) = [one for one in made.steps if one.step == "falls"]
    falls.verdict, falls.accepted_by = "accepted", "the invented owner"
    ready, said = _ready("tern30", made)
    assert ready and "accepted by the invented owner" in said
    falls.accepted_by = "Pat Builder"
    ready, said = _ready("tern30", made)
    assert not ready and "does not name" in said


def test_print_outs_show_whose_name_it_is(tmp_path):
    from host_sim.wording import admitted_limits

    text = Path(aircraft("tern30").file).read_text(encoding="utf-8")
    (said,) = admitted_limits(aircraft("tern30"))
    assert said.startswith("Limit accepted: the two-coil gear valve") and said.endswith("by the invented owner.")
    path = tmp_path / "tern30.yaml"
    path.write_text(text.replace("valve_does_not_fall: the invented owner", "valve_does_not_fall: Pat Builder"))
    assert admitted_limits(load_aircraft(path))[0].endswith("Accepted by Pat Builder.")
    start = text.index("accepted:  ")
    path.write_text(text[:start] + text[text.index("settings:", start) :])
    (said,) = admitted_limits(load_aircraft(path))
    assert said.startswith("Limit that nobody has accepted by name yet") and "does not fall to DOWN by itself" in said
    path.write_text(text.replace("valve_does_not_fall", "valve_does_not_fal"))
    with pytest.raises(InputError, match="valve_does_not_fall"):
        load_aircraft(path)
    assert admitted_limits(aircraft("curlew24")) == []
