"""Cut sets of every tree for every build, and what they say of parts."""

from dataclasses import dataclass

from .cut_sets import confirmed, minimal_cut_sets
from .tree import builds, for_build

# The two top events, and the first one unnoticed.
TOPS = ("not_locked", "moves_up", "untold")
# The builds of the two shipped aircraft, and the one with fewest ways to fail.
PLAIN = {"sensors": 1, "valve": "spring", "locks": "no"}
FULL = {"sensors": 2, "valve": "latching", "locks": "yes"}
BEST = {"sensors": 2, "valve": "spring", "locks": "yes"}
# Up to this size the fault tree library tries all sets; beyond it the solver's word stands alone.
CONFIRMED_UP_TO = 3


@dataclass(frozen=True)
class Found:
    """Cut sets of one tree in one build, the smaller first."""

    tree: str
    build: dict
    cuts: tuple

    def of_size(self, size):
        """[frozenset] of that size."""
        return [cut for cut in self.cuts if len(cut) == size]


def analyse(trees, tops=TOPS):
    """[Found] of all top events and builds."""
    known = {}
    made = []
    for top in tops:
        for build in builds():
            left = for_build(trees.trees[top], build)
            # Many builds leave the same tree.
            if repr(left) not in known:
                known[repr(left)] = tuple(minimal_cut_sets(left))
            made.append(Found(top, build, known[repr(left)]))
    return made


def differences(trees, found, most=CONFIRMED_UP_TO):
    """Plain lines: where the fault tree library sees other cut sets, up to the size `most` (None: all)."""
    lines, known = [], {}
    for one in found:
        left = for_build(trees.trees[one.tree], one.build)
        if repr(left) not in known:
            known[repr(left)] = confirmed(left, most)
        again, complete = known[repr(left)]
        mine = [cut for cut in one.cuts if most is None or len(cut) <= most]
        if again != mine or (most is None and not complete):
            odd = set(again) ^ set(mine)
            lines.append(f"{one.tree}, {build_words(one.build)}: {len(odd)} cut sets on which the two ways differ")
    return lines


def build_words(build):
    """A build in plain words."""
    sensors = "one sensor" if build["sensors"] == 1 else "two sensors"
    valve = "spring-return valve" if build["valve"] == "spring" else "latching valve"
    return f"{sensors}, {valve}, {'lock switches' if build['locks'] == 'yes' else 'no lock switches'}"


def alone(found, tree):
    """{event: [build]} of the cut sets of one event."""
    made = {}
    for one in found:
        if one.tree == tree:
            for cut in one.of_size(1):
                made.setdefault(next(iter(cut)), []).append(one.build)
    return made


def pairs_by_part(one, events):
    """{part: number of cut sets of two events that it has a hand in}, the largest first."""
    counts = {}
    for cut in one.of_size(2):
        for part in {events[name].part for name in cut}:
            counts[part] = counts.get(part, 0) + 1
    return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def with_words(some):
    """What the builds of a list share, in words: " with a latching valve"; "" for all builds."""
    if len(some) == len(builds()):
        return ""
    words = {
        ("sensors", 1): "one sensor",
        ("sensors", 2): "two sensors",
        ("valve", "spring"): "a spring-return valve",
        ("valve", "latching"): "a latching valve",
        ("locks", "yes"): "lock switches",
        ("locks", "no"): "no lock switches",
    }
    shared = [item for item in some[0].items() if all(build[item[0]] == item[1] for build in some)]
    return " with " + " and ".join(words[item] for item in shared)
