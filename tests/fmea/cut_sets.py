"""Minimal cut sets, found with a solver (z3) and confirmed with a fault tree library (faultree, on decision diagrams).

z3: while the top event can happen, take a set of events that makes it happen, leave out what it does not need, keep the
rest as a cut set, and forbid it and all that contain it. When nothing is left, the list is complete; gates are AND and
OR only, so every minimal set is found so.
"""

import faultree
import z3

from .tree import children, events_of, gate_of

# Far beyond these trees; the library asks for bounds.
MOST = 100_000_000


def _term(node, failed, bits):
    if "event" in node:
        return failed & bits[node["event"]] != 0
    join = z3.Or if gate_of(node) == "any" else z3.And
    return join([_term(child, failed, bits) for child in children(node)])


def happens(node, failed):
    """Whether the top event happens when exactly the events in `failed` have."""
    if "event" in node:
        return node["event"] in failed
    join = any if gate_of(node) == "any" else all
    return join(happens(child, failed) for child in children(node))


def minimal_cut_sets(node):
    """Sorted list of frozensets of event ids, the smaller first. `node` is what tree.for_build left; False gives none,
    True gives the empty set alone."""
    if isinstance(node, bool):
        return [frozenset()] if node else []
    bits = {name: 1 << place for place, name in enumerate(events_of(node))}
    # One bit for each event: a model is one number, and a forbidden set one comparison.
    failed = z3.BitVec("failed", len(bits))
    hunt = z3.Solver()
    hunt.add(_term(node, failed, bits))
    found = []
    while hunt.check() == z3.sat:
        number = hunt.model().eval(failed, model_completion=True).as_long()
        cut = {name for name, bit in bits.items() if number & bit}
        for name in bits:
            if name in cut and happens(node, cut - {name}):
                cut.remove(name)
        found.append(frozenset(cut))
        whole = sum(bits[name] for name in cut)
        hunt.add(failed & whole != whole)
    return _sorted(found)


def confirmed(node, most_events=None):
    """(cut sets, complete) from the fault tree library, which shares nothing with the above. `complete` is its own word
    on whether the sets cover the top event; with `most_events` it looks at sets up to that size only."""
    if isinstance(node, bool):
        return ([frozenset()] if node else []), True
    made = faultree.minimal_cut_sets(
        _as_library_tree(node, "TOP", iter(range(MOST))),
        max_order=most_events or len(events_of(node)),
        max_candidates=MOST,
        max_sets=MOST,
        max_basic_events=MOST,
    )
    return _sorted(frozenset(cut) for cut in made["cut_sets"]), made["complete"]


def _as_library_tree(node, name, numbers):
    if "event" in node:
        # The library asks for a probability; cut sets do not depend on it.
        return {"id": node["event"], "event_type": "basic", "prob": 0.5}
    gate = "OR" if gate_of(node) == "any" else "AND"
    below = [_as_library_tree(child, f"gate {next(numbers)}", numbers) for child in children(node)]
    return {"id": name, "gate": gate, "children": below}


def _sorted(cuts):
    return sorted(cuts, key=lambda cut: (len(cut), sorted(cut)))
