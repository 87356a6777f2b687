"""The searches hold; a few seconds of them in the quick suite, all of them deep."""

import numpy as np
import pytest

from .liveness import Forced
from .moves import Move
from .network import Letter, Network
from .parts import Part
from .plans_parts import plans
from .results import run_plan
from .search import Search

PLANS = {plan.name: plan for plan in plans()}
QUICK = (
    "valve, two-coil",
    "lock switches",
    "landing light",
    "gear channel, runs of 10",
    "warning of low air",
    "clear of the ground",
)


def holds(name):
    result = run_plan(PLANS[name])
    assert not result["broken"], "\n".join(result["broken"][0])
    assert result["states"] > 1
    return result


@pytest.mark.sr("SR-06", "acts")
@pytest.mark.sr("SR-08", "acts")
@pytest.mark.sr("SR-12", "acts")
@pytest.mark.sr("SR-13", "acts")
@pytest.mark.sr("SR-14", "acts")
@pytest.mark.sr("SR-14", "spares")
@pytest.mark.sr("SR-16", "acts")
@pytest.mark.sr("SR-18", "acts")
@pytest.mark.sr("SR-22", "acts")
@pytest.mark.parametrize("name", QUICK)
def test_small_search_holds(name):
    holds(name)


@pytest.mark.deep
@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-02", "acts")
@pytest.mark.sr("SR-02", "spares")
@pytest.mark.sr("SR-03", "acts")
@pytest.mark.sr("SR-04", "acts")
@pytest.mark.sr("SR-04", "spares")
@pytest.mark.sr("SR-05", "acts")
@pytest.mark.sr("SR-07", "acts")
@pytest.mark.sr("SR-07", "spares")
@pytest.mark.sr("SR-09", "acts")
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-11", "acts")
@pytest.mark.sr("SR-11", "spares")
@pytest.mark.sr("SR-15", "acts")
@pytest.mark.sr("SR-15", "spares")
@pytest.mark.sr("SR-17", "acts")
@pytest.mark.sr("SR-19", "acts")
@pytest.mark.sr("SR-19", "spares")
@pytest.mark.sr("SR-31", "acts")
@pytest.mark.sr("SR-32", "acts")
@pytest.mark.sr("SR-33", "acts")
@pytest.mark.parametrize("name", [name for name in PLANS if name not in QUICK])
def test_search_holds(name):
    holds(name)


class Counter:
    """Counts to three, and forgets on a zero; `shown` is written before it is read, `count` is not."""

    def __init__(self):
        self.count = 0
        self.shown = 0

    def step(self, one):
        self.shown = one
        self.count = min(self.count + 1, 3) if self.shown else 0


def counting(limit):
    counter = Counter()
    part = Part("counter", {"counter": counter})

    def run(one):
        counter.step(one)
        return ("too many" if counter.count >= limit else "",)

    letters = [Letter("zero", one=0), Letter("one", one=1)]
    return Network("counter", letters, [Move(part, run, ("one",), verdict=True)]), part


def test_all_states_and_only_those_are_found():
    network, part = counting(9)
    search = Search(network)
    assert search.run() == []
    assert (search.states, search.transitions) == (4, 8)
    assert sorted(part.values("counter.count")) == [0, 1, 2, 3]


def test_a_field_written_before_it_is_read_is_no_state_and_one_that_is_read_is():
    network, part = counting(9)
    Search(network).run()
    assert part.followed == {"counter.count"}


def test_the_shortest_trace_is_told():
    network, _ = counting(3)
    (violation,) = Search(network).run()
    assert violation.letters == ["one", "one", "one"]
    assert violation.lines()[-1] == "  ticks 1 to 3: one"


def test_a_bound_that_is_too_short_is_told():
    network, part = counting(9)
    network.moves[0].exports["after"] = (part.roots["counter"], "count")
    network = Network("counter", network.letters, network.moves)
    search = Search(network)
    search.run()
    zero = Forced("SR-00: zeros", lambda letter: letter.values["one"] == 0, 1)
    assert zero.ask(search) == ("", 1)
    one = Forced("SR-00: ones", lambda letter: letter.values["one"] == 1, 5)
    assert one.ask(search) == ("SR-00: ones does not put the gear down within 5 ticks", 5)


def test_tables_step_as_the_objects_do():
    """Many rows at once against the plain object, letter by letter."""
    network, part = counting(9)
    Search(network).run()
    dice = np.random.default_rng(7)
    letters = dice.integers(0, 2, (40, 16)).astype(np.int32)
    columns = [np.zeros(16, np.int32)]
    plain = [Counter() for _ in range(16)]
    for row in letters:
        columns, _, _ = network.step(columns, row)
        for counter, letter in zip(plain, row, strict=True):
            counter.step(int(letter))
        assert [part.states[state][0] for state in columns[0]] == [counter.count for counter in plain]
