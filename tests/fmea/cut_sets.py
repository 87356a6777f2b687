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


def _term(node, variables):
    if "event" in node:
        return variables[node["event"]]
    join = z3.Or if gate_of(node) == "any" else z3.And
    return join([_term(child, variables) for child in children(node)])


def minimal_cut_sets(node):
    """Sorted list of frozensets of event ids, the smaller first. `node` is what tree.for_build left; False gives none,
    True gives the empty set alone."""
    if isinstance(node, bool):
        return [frozenset()] if node else []
    names = events_of(node)
    variables = {name: z3.Bool(name) for name in names}
    top = _term(node, variables)
    hunt, check = z3.Solver(), z3.Solver()
    hunt.add(top)
    check.add(top)
    found = []
    while hunt.check() == z3.sat:
        model = hunt.model()
        cut = _smallest(check, variables, [name for name in names if z3.is_true(model[variables[name]])])
        found.append(cut)
        hunt.add(z3.Or([z3.Not(variables[name]) for name in cut]))
    return _sorted(found)


def _smallest(check, variables, cut):
    """`cut` without the events that the top event does not need."""
    for name in list(cut):
        less = [other for other in cut if other != name]
        assumed = [variables[other] if other in less else z3.Not(variables[other]) for other in variables]
        if check.check(*assumed) == z3.sat:
            cut = less
    return frozenset(cut)


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
