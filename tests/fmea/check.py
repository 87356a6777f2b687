"""What must hold of the failure modes and of the trees; each question gives plain lines, none where all is well."""

from host_sim.faults import CATALOGUE

from .coverage import UNDETECTED
from .evidence import admissions, is_test, proof_breaks

SYSTEMATIC = ("software",)


def every_failure_has_a_row(modes, catalogue=CATALOGUE):
    """The catalogue's failures that nobody flew, and rows of failures that are not in it."""
    flown = {mode.failure for mode in modes}
    lines = [f"{name}: in the catalogue and in no row" for name in catalogue if name not in flown]
    return lines + [f"{name}: a row of no known failure" for name in sorted(flown - set(catalogue))]


def failures_are_described(failures, catalogue=CATALOGUE):
    """failures.yaml and the catalogue name the same failures."""
    lines = [f"{name}: not in failures.yaml" for name in catalogue if name not in failures]
    return lines + [f"{name}: in failures.yaml and not in the catalogue" for name in failures if name not in catalogue]


def nothing_is_wrong(modes):
    """Flights that broke a requirement, reactions later than allowed, rows without flights."""
    lines = []
    for mode in modes:
        if mode.wrong:
            lines.append(f"{mode.label}: {mode.wrong} of {mode.flights} flights broke a requirement")
        if mode.flights < 1:
            lines.append(f"{mode.label}: not flown")
        if mode.slowest_ms is not None and mode.slowest_ms > mode.allowed_ms:
            lines.append(f"{mode.label}: {mode.slowest_ms} ms, allowed {mode.allowed_ms} ms")
    return lines


def undetected_is_answered(modes, failures):
    """Dangerous failures that nothing detects and about which failures.yaml has no advice."""
    return [
        f"{mode.label}: dangerous, not detected, and nothing says what to do about it"
        for mode in modes
        if mode.verdict == UNDETECTED and not failures.get(mode.failure, {}).get("do")
    ]


def limits_stand_in_safety(limits, text=None):
    """Limits whose sentence is not in "What it cannot do" of SAFETY.md."""
    said = admissions(text)
    return [f"{limit.name}: SAFETY.md does not say '{limit.sentence}'" for limit in limits if limit.sentence not in said]


def single_failures_are_admitted(trees, found, limits):
    """Cut sets of one event that no limit admits. A line of software is not a part that wears out: it needs what rejects
    it instead, a break of the proofs or a test."""
    admitted = {name for limit in limits for name in limit.events}
    singles = dict.fromkeys((one.tree, next(iter(cut))) for one in found for cut in one.of_size(1))
    lines = []
    for tree, name in singles:
        event = trees.events[name]
        if name in admitted:
            continue
        if event.part in SYSTEMATIC and (event.evidence.get("proof") or event.evidence.get("test")):
            continue
        lines.append(f"{trees.trees[tree]['title']}: '{event.text}' is enough alone and no limit admits it")
    unknown = sorted(admitted - set(trees.events))
    return lines + [f"{name}: in limits.yaml and not an event" for name in unknown]


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
    """The flown failure modes that are this event: every word of `cells` stands in the variant, no "not" word does."""
    words = event.evidence.get("cells", ())
    wanted = [word for word in words if not word.startswith("not ")]
    unwanted = [word.removeprefix("not ") for word in words if word.startswith("not ")]
    return [
        mode
        for mode in modes
        if mode.failure in event.failures
        and all(word in mode.variant for word in wanted)
        and not any(word in mode.variant for word in unwanted)
    ]
