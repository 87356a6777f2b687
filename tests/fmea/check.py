"""What must hold of the failure modes and of the trees; each question gives plain lines, none where all is well."""

from host_sim.faults import CATALOGUE

from .analysis import FULL, PLAIN, with_words
from .coverage import UNDETECTED
from .evidence import admissions, is_test, proof_breaks
from .modes import EFFECTS_OF_TOP, fits

BUILD_OF_AIRCRAFT = {"curlew": PLAIN, "tern": FULL}


def every_failure_has_a_row(modes, catalogue=CATALOGUE):
    """The catalogue's failures that nobody flew, and rows of failures that are not in it."""
    flown = {mode.failure for mode in modes}
    lines = [f"{name}: in the catalogue and in no row" for name in catalogue if name not in flown]
    return lines + [f"{name}: a row of no known failure" for name in sorted(flown - set(catalogue))]


def failures_are_described(failures, catalogue=CATALOGUE):
    """failures.yaml and the catalogue name the same failures, and each row has what it must have and nothing else."""
    lines = [f"{name}: not in failures.yaml" for name in catalogue if name not in failures]
    lines += [
        f"{name}: a row of failures.yaml with {', '.join(row)}"
        for name, row in failures.items()
        if not {"meets", "do"} <= set(row) <= {"meets", "do", "defeats"}
    ]
    return lines + [f"{name}: in failures.yaml and not in the catalogue" for name in failures if name not in catalogue]


def nothing_is_wrong(modes):
    """Flights that broke a requirement, reactions later than allowed, rows without flights."""
    lines = []
    for mode in modes:
        if mode.wrong:
            lines.append(f"{mode.label} ({mode.aircraft}): {mode.wrong} of {mode.flights} flights broke a requirement")
        if mode.flights < 1:
            lines.append(f"{mode.label} ({mode.aircraft}): not flown")
        if mode.slowest_ms is not None and mode.slowest_ms > mode.allowed_ms:
            lines.append(f"{mode.label} ({mode.aircraft}): {mode.slowest_ms} ms, allowed {mode.allowed_ms} ms")
    return lines


def undetected_is_answered(modes, failures):
    """Dangerous failures that nothing detects and about which failures.yaml has no advice."""
    return [
        f"{mode.label} ({mode.aircraft}): dangerous, not detected, and nothing says what to do about it"
        for mode in modes
        if mode.verdict == UNDETECTED and not failures.get(mode.failure, {}).get("do")
    ]


def limits_stand_in_safety(limits, text=None):
    """Limits whose sentence is not in "What it cannot do" of SAFETY.md."""
    said = admissions(text)
    return [
        f"{limit.name}: SAFETY.md does not say '{limit.sentence}'" for limit in limits if limit.sentence not in said
    ]


def single_failures_are_admitted(trees, found, limits, shared):
    """Cut sets of one event that no limit admits and that are no shared line of software with what rejects it."""
    refused = {}
    for one in found:
        for name in sorted(name for cut in one.of_size(1) for name in cut):
            evidence = trees.events[name].evidence
            held = name in shared and (evidence.get("proof") or evidence.get("test"))
            if not held and not any(limit.admits(name, one.build) for limit in limits):
                refused.setdefault((one.tree, name), []).append(one.build)
    lines = []
    for (top, name), when in refused.items():
        alone = f"'{trees.events[name].text}' is enough alone{with_words(when)}"
        lines.append(f"{trees.trees[top]['title']}: {alone}, and no limit admits it")
    unknown = {name for limit in limits for name in limit.events} | set(shared)
    return lines + [f"{name}: in limits.yaml and not an event" for name in sorted(unknown - set(trees.events))]


def evidence_exists(trees, catalogue=CATALOGUE):
    """Events whose evidence names what is not there."""
    breaks = proof_breaks()
    lines = []
    for event in trees.events.values():
        evidence = event.evidence
        known = [key for key in ("failure", "proof", "test", "none") if evidence.get(key)]
        if not known:
            lines.append(f"{event.name}: without evidence, and without a word why")
        lines += [f"{event.name}: no failure {name!r}" for name in event.failures if name not in catalogue]
        lines += [f"{event.name}: no break {name!r}" for name in evidence.get("proof", ()) if name not in breaks]
        lines += [f"{event.name}: no test {name}" for name in evidence.get("test", ()) if not is_test(name)]
    return lines


def modes_of_event(event, modes):
    """The flown failure modes that are this event."""
    words = event.evidence.get("cells", ())
    return [mode for mode in modes if mode.failure in event.failures and fits(words, mode.variant)]


def singles_of(found, top, aircraft):
    """Ids of the events that are enough alone in the tree of a build like that aircraft."""
    one = next(one for one in found if one.tree == top and one.build == BUILD_OF_AIRCRAFT[aircraft])
    return {name for cut in one.of_size(1) for name in cut}


def flights_agree_with_trees(trees, found, modes):
    """Failures of the catalogue against the trees: what flights showed to lead to a top event by itself must be enough
    alone in the tree of a build like that aircraft, and what an event stands for must have been flown."""
    lines = [
        f"{event.name}: no flown form of {', '.join(event.failures)} fits it"
        for event in trees.events.values()
        if event.failures and not modes_of_event(event, modes)
    ]
    for mode in modes:
        for top, effects in EFFECTS_OF_TOP.items():
            if not set(effects) & set(mode.effects):
                continue
            singles = singles_of(found, top, mode.aircraft)
            if not any(modes_of_event(trees.events[name], [mode]) for name in singles):
                title = trees.trees[top]["title"]
                lines.append(f"{mode.label} ({mode.aircraft}): flights ended in '{title}', and no single event says so")
    return lines
