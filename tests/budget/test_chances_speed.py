"""The benchmark of random days compares what it times, and says so when two ways differ."""

from types import SimpleNamespace

import pytest

from host_sim.budget import speed
from host_sim.errors import InputError

from .flown_days import CURLEW, advised


def test_every_way_has_a_line_with_its_ratio(monkeypatch):
    asked = []

    def fly_days(aircraft, advice, n, seed, jobs, cluster, progress):
        asked.append((n, jobs, cluster))
        progress(n)
        return SimpleNamespace(flights=3 * n)

    made = SimpleNamespace(flights=30)
    monkeypatch.setattr(speed, "fly_days", lambda *all_of_it: (fly_days(*all_of_it), made)[1])
    lines = speed.compare(*advised(CURLEW), 10, 2, "tcp://here:1")
    assert asked == [(10, 1, ""), (10, 2, ""), (10, 1, "tcp://here:1")]
    assert "1.00   one process: 3.00 flights a day" in lines[2] and len(lines) == 5


def test_two_ways_that_differ_are_an_error(monkeypatch):
    made = iter((SimpleNamespace(flights=30), SimpleNamespace(flights=31)))
    monkeypatch.setattr(speed, "fly_days", lambda *_: next(made))
    with pytest.raises(InputError, match="^2 processes: gives other chances than one process"):
        speed.compare(*advised(CURLEW), 10, 2, "")


@pytest.mark.deep
def test_the_command_prints_both_tables(monkeypatch, capsys):
    monkeypatch.setattr(speed, "DAYS", 1)
    monkeypatch.setattr(speed, "ROUNDS", 1)
    assert speed.main(["--flights", "1", "--jobs", "2"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "1 days of Curlew 24" and len(lines) == 9
    assert speed.main(["--flights", "0"]) == 2
