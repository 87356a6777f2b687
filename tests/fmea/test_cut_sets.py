"""Cut sets: two ways and a third, by trying every set, agree; and known trees have the cut sets that they must have."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from .analysis import differences
from .cut_sets import confirmed, happens, minimal_cut_sets
from .tree import builds, events_of, for_build

NAMES = "abcdef"
EVENT = st.sampled_from(NAMES).map(lambda name: {"event": name})
GATE = st.sampled_from(("any", "all"))
NODES = st.recursive(
    EVENT,
    lambda below: st.builds(lambda gate, inputs: {gate: inputs}, GATE, st.lists(below, min_size=1, max_size=3)),
    max_leaves=10,
)


def by_trying(node):
    """Every set of events, the smaller first: a cut set is one that is enough and holds no other."""
    names, cuts = events_of(node), []
    for size in range(len(names) + 1):
        for chosen in itertools.combinations(names, size):
            if happens(node, set(chosen)) and not any(cut <= set(chosen) for cut in cuts):
                cuts.append(frozenset(chosen))
    return sorted(cuts, key=lambda cut: (len(cut), sorted(cut)))


@settings(max_examples=40, deadline=None)
@given(NODES)
def test_two_ways_and_trying_all_sets_agree(node):
    expected = by_trying(node)
    assert minimal_cut_sets(node) == expected
    assert confirmed(node) == (expected, True)


def test_bridge_network():
    # The bridge of five, of any textbook on reliability: it fails when each of its four paths is broken.
    paths = ("ad", "be", "ace", "bcd")
    node = {"all": [{"any": [{"event": name} for name in path]} for path in paths]}
    expected = [{"a", "b"}, {"d", "e"}, {"a", "c", "e"}, {"b", "c", "d"}]
    assert [set(cut) for cut in minimal_cut_sets(node)] == expected
    assert [set(cut) for cut in confirmed(node)[0]] == expected


@pytest.mark.parametrize("node, expected", [(False, []), (True, [frozenset()])])
def test_trees_that_a_build_decides(node, expected):
    assert minimal_cut_sets(node) == confirmed(node)[0] == expected


def test_real_trees_both_ways(trees, found):
    assert differences(trees, found, 2) == []


def test_a_lost_cut_set_is_seen(trees, found):
    broken = [type(one)(one.tree, one.build, one.cuts[1:]) for one in found[:1]]
    where = "not_locked, one sensor, spring-return valve, no lock switches"
    assert differences(trees, broken, 2) == [f"{where}: 1 cut sets on which the two ways differ"]


@pytest.mark.deep
def test_real_trees_both_ways_at_every_size(trees, found):
    assert differences(trees, found, None) == []


def test_every_cut_set_is_enough_and_none_of_its_parts_is(trees, found):
    for one in found:
        node = for_build(trees.trees[one.tree], one.build)
        for cut in one.cuts:
            assert happens(node, cut)
            assert not any(happens(node, cut - {name}) for name in cut)


def test_builds_differ_where_they_should(found):
    first = {tuple(one.build.values()): len(one.of_size(1)) for one in found if one.tree == "not_locked"}
    assert len(first) == len(builds())
    for _, valve, locks in first:
        assert first[1, valve, locks] == first[2, valve, locks] + 1
    for sensors, _, locks in first:
        assert first[sensors, "latching", locks] == first[sensors, "spring", locks] + 3
