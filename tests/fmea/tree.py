"""Fault trees as data (trees.yaml): events, gates, and what is left of a tree for one build.

A node is one of
  {"event": id}                      a basic event
  {"any": [node], "text": words}     OR gate
  {"all": [node], "text": words}     AND gate
  {"given": words}                   a condition that the build makes true
and may have `when`, a dict that keeps it to some builds. In the file an event may stand as its bare id, and
{"tree": id} stands for another tree, whole; with `box` a picture shows one box for it.
"""

import itertools
from dataclasses import dataclass
from pathlib import Path

import yaml

FILE = Path(__file__).with_name("trees.yaml")
BUILD = {"sensors": (1, 2), "valve": ("spring", "latching"), "locks": ("no", "yes")}
PARTS = ("sensor", "receiver", "valve", "supply", "air", "legs", "switches", "controller", "software", "pilot")
GATES = ("any", "all")
_EVENT_KEYS = {"part", "text", "evidence"}
_NODE_KEYS = {"event", "any", "all", "given", "tree", "box", "text", "when", "title", "about"}


@dataclass(frozen=True)
class Event:
    """A basic event: id, part, words, and `evidence`: a dict with failure and cells, proof, test, or none."""

    name: str
    part: str
    text: str
    evidence: dict

    @property
    def failures(self):
        """Names of the catalogue's faults that this event is; empty where it is none of them."""
        named = self.evidence.get("failure", ())
        return (named,) if isinstance(named, str) else tuple(named)


@dataclass(frozen=True)
class Trees:
    """events   {id: Event}; trees   {id: node with title and about}"""

    events: dict
    trees: dict


def builds():
    """Every build, a dict each: sensors, valve, locks."""
    return [dict(zip(BUILD, values, strict=True)) for values in itertools.product(*BUILD.values())]


def load(path=FILE):
    """Trees of a file. ValueError names what is wrong in it."""
    data = yaml.safe_load(Path(path).read_text())
    events = {name: _event(name, row) for name, row in data["events"].items()}
    trees = {name: _node(row, events, data["trees"]) for name, row in data["trees"].items()}
    unused = set(events) - {name for node in trees.values() for name in events_of(node)}
    if unused:
        raise ValueError(f"events in no tree: {', '.join(sorted(unused))}")
    return Trees(events, trees)


def _event(name, row):
    if set(row) != _EVENT_KEYS:
        raise ValueError(f"{name}: an event has {', '.join(sorted(_EVENT_KEYS))}")
    if row["part"] not in PARTS:
        raise ValueError(f"{name}: {row['part']!r} is not one of {', '.join(PARTS)}")
    return Event(name, row["part"], row["text"], row["evidence"])


def _node(row, events, trees):
    if isinstance(row, str):
        row = {"event": row}
    strange = set(row) - _NODE_KEYS
    kinds = [key for key in (*GATES, "event", "given", "tree") if key in row]
    if strange or len(kinds) != 1:
        raise ValueError(f"not a node of a fault tree: {row}")
    for key, value in row.get("when", {}).items():
        if value not in BUILD.get(key, ()):
            raise ValueError(f"when {key}: {value} is no build")
    kind, node = kinds[0], dict(row)
    if kind == "event" and row["event"] not in events:
        raise ValueError(f"{row['event']} is not an event")
    if kind in GATES:
        node[kind] = [_node(child, events, trees) for child in row[kind]]
    if kind == "tree":
        whole = _node(trees[row["tree"]], events, trees)
        node = whole | {"tree": row["tree"], "text": whole["title"], "box": row.get("box", False)}
    return node


def gate_of(node):
    """ "any", "all" or "" for a leaf."""
    return next((kind for kind in GATES if kind in node), "")


def children(node):
    """The inputs of a gate; empty for a leaf."""
    return node.get(gate_of(node), [])


def events_of(node):
    """Ids of all basic events below a node, in the order in which they stand."""
    if "event" in node:
        return [node["event"]]
    return list(dict.fromkeys(name for child in children(node) for name in events_of(child)))


def for_build(node, build):
    """What is left of a tree for one build: nested nodes without `when` and `given`, True, or False."""
    if any(build[key] != value for key, value in node.get("when", {}).items()):
        return False
    if "given" in node:
        return True
    if "event" in node:
        return {"event": node["event"]}
    kind = gate_of(node)
    # What decides the gate by itself, and what has no say in it.
    decides = kind == "any"
    left = [for_build(child, build) for child in children(node)]
    if any(part is decides for part in left):
        return decides
    left = [part for part in left if part is not (not decides)]
    return {kind: left} if left else not decides
