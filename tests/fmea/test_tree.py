"""The tables as data: what is malformed is refused, and a build leaves of a tree what it should."""

import copy

import pytest
import yaml

from . import tree

A, B = {"event": "a"}, {"event": "b"}
ONE = {"sensors": 1, "valve": "spring", "locks": "no"}


@pytest.mark.parametrize(
    "node, expected",
    [
        ({"any": [A, {"given": "words", "when": {"locks": "no"}}]}, True),
        ({"all": [A, {"given": "words", "when": {"locks": "no"}}]}, {"all": [A]}),
        ({"all": [A, {"given": "words", "when": {"locks": "yes"}}]}, False),
        ({"any": [A, {"event": "b", "when": {"sensors": 2}}]}, {"any": [A]}),
        ({"any": [A, {"event": "b", "when": {"sensors": 1}}]}, {"any": [A, B]}),
        ({"all": [A, {"any": [{"event": "b", "when": {"valve": "latching"}}]}]}, False),
    ],
)
def test_what_a_build_leaves(node, expected):
    assert tree.for_build(node, ONE) == expected


def _broken(change, folder):
    data = yaml.safe_load(tree.FILE.read_text())
    change(copy.deepcopy(data), data)
    path = folder / "trees.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False))
    return path


@pytest.mark.parametrize(
    "change, message",
    [
        (lambda old, new: new["events"]["valve_stuck"].update(part="engine"), "'engine' is not one of"),
        (lambda old, new: new["events"]["valve_stuck"].pop("evidence"), "an event has evidence"),
        (lambda old, new: new["events"].pop("valve_stuck"), "valve_stuck is not an event"),
        (lambda old, new: new["events"].update(extra=old["events"]["valve_stuck"]), "events in no tree: extra"),
        (lambda old, new: new["trees"]["driven_up"].update(all=["valve_stuck"]), "not a node"),
        (lambda old, new: new["trees"]["driven_up"].update(whenn={}), "not a node"),
        (lambda old, new: new["trees"]["driven_up"].update(when={"sensors": 3}), "is no build"),
    ],
)
def test_malformed_tables_are_refused(change, message, tmp_path):
    with pytest.raises(ValueError, match=message):
        tree.load(_broken(change, tmp_path))
