"""Whether an installation is ready: every step passed with this file's settings and wiring, on one board, one version.

The rule is the simplest that is honest: what was proved with other settings, another wiring record, another board or
another version of the program does not count. Of the rest the newest word on a step counts; a skipped step is no word.
"""

from dataclasses import dataclass

from .board import fingerprint
from .plan import steps_for
from .record import good, wanted_wiring
from .step import ACCEPTED, NOT_PASSED, SKIPPED

MISSING = "missing"


@dataclass(frozen=True)
class Standing:
    """One step: `verdict` of step.VERDICTS or MISSING; `note` says where it comes from, or why nothing counts."""

    step: object
    verdict: str
    note: str
    accepted_by: str = ""


def standings(aircraft, records):
    """A Standing for every step of an aircraft, from its records, oldest first."""
    own, wiring = fingerprint(aircraft.packed), wanted_wiring(aircraft)
    same = [one for one in records if (one.settings, one.wiring) == (own, wiring)]
    newest = same[-1] if same else None
    found = []
    for step in steps_for(aircraft):
        verdict, note, name = MISSING, "", ""
        for record in records:
            for result in record.steps:
                if result.step != step.name or result.verdict == SKIPPED:
                    continue
                why = _other(record, own, wiring, newest)
                if why and (verdict == MISSING):
                    note = f"{result.verdict} on {record.date[:10]}, but with {why}"
                elif not why:
                    verdict, note, name = result.verdict, record.date[:16], result.accepted_by
        found.append(Standing(step, verdict, note, name))
    return found


def _other(record, own, wiring, newest):
    if record.settings != own:
        return f"other settings ({record.settings}; the file's are {own})"
    if record.wiring != wiring:
        return f"another wiring record ({record.wiring})"
    if record.board_id != newest.board_id:
        return f"another board ({record.board_id})"
    if record.version != newest.version:
        return f"another version ({record.version})"
    return ""


def status_lines(aircraft, records, simulated, typed="downlock bench AIRCRAFT"):
    """(lines for people, whether it is ready). `typed` is the command that goes on, "" where the file must be copied."""
    counted = [one for one in records if one.simulated == simulated]
    lines = [f"{aircraft.name}: bench, settings {fingerprint(aircraft.packed)}, {wanted_wiring(aircraft)} valve"]
    if simulated:
        lines.append("SIMULATED records only: they say nothing about a model.")
    elif len(counted) < len(records):
        lines.append(f"{len(records) - len(counted)} simulated record(s) in this folder: they do not count.")
    found = standings(aircraft, counted)
    width = max(len(one.step.name) for one in found)
    for one in found:
        lines.append(f"  {_WORDS[one.verdict]:<10}  {one.step.name:<{width}}  {one.note}".rstrip())
        if one.accepted_by:
            lines.append(f"  {'':<10}  {'':<{width}}  accepted by {one.accepted_by}")
        if one.accepted_by and one.accepted_by != aircraft.accepted_by and not simulated:
            lines.append(
                f"  {'':<10}  {'':<{width}}  but the file's section 'accepted' does not name him or her: not shown, not done"
            )
    n_open = sum(not _done(one, aircraft, simulated) for one in found)
    if n_open:
        first = next(one.step.name for one in found if not _done(one, aircraft, simulated))
        way = (
            f"go on with: {typed} --from {first}" if typed else "it is a shipped example: copy it, go on with the copy"
        )
        lines.append(f"NOT READY: {n_open} of {len(found)} steps to do; {way}")
    else:
        lines.append("Ready as far as the bench can tell: every step passed with these settings. No certification.")
        lines.append("Local codes and club rules come first. The first flight is still a first flight.")
    return lines, not n_open


def _done(one, aircraft, simulated):
    """Passed; or accepted by the name that every print-out shows, which an invented session does not write."""
    return good(one) and (one.verdict != ACCEPTED or simulated or one.accepted_by == aircraft.accepted_by)


_WORDS = {"passed": "passed", ACCEPTED: "ACCEPTED", NOT_PASSED: "NOT PASSED", MISSING: "missing"}
