"""Many seeds, and the benchmark: both run, and both say what they are meant to say."""

import dataclasses

import pytest
from shipped import PATHS, shortest

from host_sim import campaign, speed

(SHORTEST,) = shortest(1)


def test_a_campaign_flies_each_seed_once_and_the_same_in_processes():
    seeds = range(50, 53)
    alone = list(campaign.campaign([SHORTEST], seeds))
    assert [(result.name, result.seed) for result in alone] == [(SHORTEST.stem, seed) for seed in seeds]
    assert list(campaign.campaign([SHORTEST], seeds, jobs=2)) == alone


def test_the_command_names_a_claim_that_fails(tmp_path, capsys):
    text = SHORTEST.read_text(encoding="utf-8")
    assert "\nclaims:\n" in text
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(
        text.replace("\nclaims:\n", "\nclaims:\n  - {at: end, is: {tank: above 15 bar}}\n"), encoding="utf-8"
    )
    assert campaign.main(["--seeds", "2", "--first", "7", "--jobs", "1", str(wrong)]) == 1
    out = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in out[:2]] == ["wrong, seed 7", "wrong, seed 8"]
    assert "15" in out[0]
    assert out[-1] == "2 flights, 2 with a claim that failed."


def test_the_command_refuses_a_bad_file_with_one_line(tmp_path, capsys):
    assert campaign.main(["--seeds", "1", str(tmp_path / "none.yaml")]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert len(captured.err.splitlines()) == 1


@pytest.mark.deep
@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_claims_do_not_hang_on_the_seed(path):
    for result in campaign.campaign([path], range(2000, 2010)):
        assert result.failed == (), f"seed {result.seed}"


def test_the_benchmark_measures_the_parts_of_one_flight():
    """No times are judged here: only that the parts do what the flight did."""
    scenario = dataclasses.replace(speed.load(), duration_s=3.0)
    ticks, demands, arguments = speed.keep(scenario)
    assert len(ticks) == scenario.n_ticks
    assert sum(dt_s for dt_s, _ in demands) == pytest.approx(3.0)
    found = speed.parts(scenario, None)
    lines = speed.report(found, speed.measure(found, 1), 3.0)
    assert len(lines) == 1 + len(found) == 5
    assert lines[1].split()[-1] == "1.00"


def test_the_outputs_played_back_fly_the_same_flight():
    scenario = dataclasses.replace(speed.load(), duration_s=27.0)
    ticks, _, _ = speed.keep(scenario)
    played = speed.fly(scenario, speed.Player(ticks))
    assert played.csv_text() == speed.fly(scenario).csv_text()
    assert "up" in played.column("gear_valve")
