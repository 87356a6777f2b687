"""The part of the page about fault trees: pictures, cut sets in words, what a choice of parts changes."""

from .analysis import BEST, FULL, PLAIN, TOPS, alone, build_words, pairs_by_part, with_words
from .tree import builds

INTRODUCTION = """\
## Fault trees

What must break, alone or together, for one of two things to happen. Symbols as in IEC 61025 (from memory). A *cut set*
is a smallest set of failures that is enough. The sets were found with a solver (z3) and confirmed with a fault tree
library (faultree, which works on decision diagrams). No probability is computed: no rates are known. Only gates of
*any* and *all* are used; conditions that every flight has, air spent by strokes and brakes among them, count as given.
"""
NAMES = {"not_locked": "first tree", "moves_up": "second tree", "untold": "third tree"}


def _of(found, tree, build):
    return next(one for one in found if one.tree == tree and one.build == build)


def in_short(trees, found):
    """Lines of the summary: how many single failures each top event has."""
    lines = []
    for tree in ("not_locked", "moves_up"):
        counts = [len(one.of_size(1)) for one in found if one.tree == tree]
        span = f"{min(counts)}" if min(counts) == max(counts) else f"{min(counts)} to {max(counts)}"
        lines.append(f"- {trees.trees[tree]['title']}: {span} things that are enough alone, by build; all named below.")
    return lines


def text(trees, found, limits):
    """The whole part."""
    parts = [
        INTRODUCTION,
    ]
    for tree in TOPS:
        parts.append(_one_tree(tree, trees, found, limits))
    parts.append(_choices(trees, found))
    parts.append(_parts(trees, found))
    return "\n".join(parts)


def _one_tree(tree, trees, found, limits):
    title = trees.trees[tree]["title"]
    lines = [f"### {NAMES[tree].capitalize()}: {_small(title)}\n", f"![Fault tree: {title}]({tree}.svg)\n"]
    lines += _singles(tree, trees, found, limits)
    if tree != "untold":
        lines += _pairs(tree, trees, found)
    else:
        lines.append(
            "Its pairs are mostly one of the failures above with a lamp, a switch or a pilot that fails too; how"
        )
        lines.append("many there are stands in the next table.\n")
    return "\n".join(lines) + "\n"


def _singles(tree, trees, found, limits):
    lines = ["Enough alone:\n"]
    admitted = {name: (limit, why) for limit in limits for name, why in limit.events.items()}
    singles = alone(found, tree)
    for name in sorted(singles, key=list(trees.events).index):
        when = singles[name]
        event = trees.events[name]
        where = _where(when)
        if name in admitted:
            limit, why = admitted[name]
            lines.append(f"- {event.text}{where}. Limit *{limit.name}*: {why}.")
        else:
            held = [f"proof break '{one}'" for one in event.evidence.get("proof", ())]
            held += [f"`{one.split('::')[1]}`" for one in event.evidence.get("test", ())]
            lines.append(f"- {event.text}{where}. One line of software; rejected by {', '.join(held)}.")
    return lines + [""]


def _where(when):
    """Some of the builds in brackets, nothing for all."""
    words = with_words(when)
    return f" ({words.strip()})" if words else ""


def _pairs(tree, trees, found):
    """Cut sets of two events in some build, grouped by the one that is in most of them."""
    where = {}
    for one in found:
        if one.tree == tree:
            for cut in one.of_size(2):
                where.setdefault(cut, []).append(one.build)
    if not where:
        return ["No two failures together are enough that are not enough alone.\n"]
    lines = [f"Enough together, two of them ({len(where)} pairs over all builds):\n"]
    left = dict(where)
    while left:
        counts = {}
        for cut in left:
            for name in cut:
                counts[name] = counts.get(name, 0) + 1
        first = min(counts, key=lambda name: (-counts[name], list(trees.events).index(name)))
        group = {cut: when for cut, when in left.items() if first in cut}
        others = sorted(
            ((next(iter(cut - {first})), when) for cut, when in group.items()),
            key=lambda item: list(trees.events).index(item[0]),
        )
        said = "; ".join(f"{_small(trees.events[name].text)}{_where(when)}" for name, when in others)
        with_words = "with any of" if len(others) > 1 else "with"
        lines.append(f"- **{trees.events[first].text}**, {with_words}: {said}.")
        left = {cut: when for cut, when in left.items() if cut not in group}
    return [*lines, ""]


def _small(words):
    return words[0].lower() + words[1:]


def _choices(trees, found):
    lines = ["### What a choice of parts changes\n", _build_table(found)]
    for what, (key, old, new) in {
        "A second pressure sensor": ("sensors", 1, 2),
        "A valve that falls to DOWN by itself": ("valve", "latching", "spring"),
        "Lock switches": ("locks", "no", "yes"),
    }.items():
        lines.append(_change(what, key, old, new, trees, found))
    return "\n".join(lines) + "\n"


def _build_table(found):
    rows = ["| build | " + " | ".join(f"{NAMES[tree]}" for tree in TOPS) + " |", "|---|---|---|---|"]
    for build in builds():
        cells = []
        for tree in TOPS:
            one = _of(found, tree, build)
            cells.append(f"{len(one.of_size(1))} alone, {len(one.of_size(2))} pairs")
        rows.append(f"| {build_words(build)} | " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def _change(what, key, old, new, trees, found):
    """One line for each tree that changes: what is no longer enough alone, what newly is, pairs before and after."""
    said = []
    for tree in TOPS:
        before, after = _of(found, tree, BEST | {key: old}), _of(found, tree, BEST | {key: new})
        gone = [cut for cut in before.of_size(1) if cut not in after.of_size(1)]
        come = [cut for cut in after.of_size(1) if cut not in before.of_size(1)]
        if before.cuts == after.cuts:
            continue
        words = f"{NAMES[tree]}: "
        words += _listed("no longer enough alone", gone, trees) + _listed("newly enough alone", come, trees)
        words += f"pairs {len(before.of_size(2))} before, {len(after.of_size(2))} after"
        said.append(f"  - {words}.")
    if not said:
        return f"- **{what}** changes no cut set."
    return "\n".join([f"- **{what}** (the other two choices at their best):", *said])


def _listed(words, cuts, trees):
    if not cuts:
        return ""
    names = sorted((next(iter(cut)) for cut in cuts), key=list(trees.events).index)
    return f"{words}: {'; '.join(_small(trees.events[name].text) for name in names)}; "


def _parts(trees, found):
    lines = [
        "\n### Which part has a hand in most pairs\n",
        "Number of cut sets of two failures in which a part has a hand; without rates it says where a second failure\n"
        "matters, not how likely it is.\n",
        "| tree | build | parts |",
        "|---|---|---|",
    ]
    for tree in TOPS:
        for build in (PLAIN, BEST, FULL):
            counts = pairs_by_part(_of(found, tree, build), trees.events)
            said = ", ".join(f"{part} {count}" for part, count in counts.items())
            lines.append(f"| {NAMES[tree]} | {build_words(build)} | {said} |")
    return "\n".join(lines) + "\n"
