"""After a session: what was measured goes into the aircraft file, an acceptance too, and what to change is said."""

from pathlib import Path

from ..aircraft import AIRCRAFT_DIR
from ..errors import InputError
from .board import fingerprint
from .edit import AircraftFile
from .record import good
from .results import agrees, rows_text
from .step import ACCEPTED, Skip, Stop

COMMENT = "on the bench; replaces what would be assumed"
ACCEPTED_COMMENT = "limits that the builder takes upon himself by name; every print-out shows them"
VALVE_KEY = "valve_does_not_fall"


def keep_results(aircraft, results, person, unit, folder, stamp, simulated):
    """Write what there is; lines for people. The file is changed only after a yes; a simulated session writes a copy."""
    lines = [f"For the file ({one.step}): {text}" for one in results for text in one.propose]
    if lines:
        lines.append(
            "A change of the file changes its settings: then 'downlock install' again, and every step counts anew."
        )
    rows = {key: value for one in results if good(one) for key, value in one.rows.items()}
    measured = aircraft.installed.measured
    new = {key: rows_text(key, value, unit) for key, value in rows.items() if not agrees(key, value, measured)}
    same = [key for key in rows if key not in new]
    if same:
        lines.append(f"Measured as the file has it: {', '.join(same)}.")
    names = [one.accepted_by for one in results if one.verdict == ACCEPTED]
    sections = [("measured", new, COMMENT)] if new else []
    if names:
        sections.append(("accepted", {VALVE_KEY: f"{_quoted(names[-1])}"}, ACCEPTED_COMMENT))
    if not sections:
        return lines
    if simulated:
        return lines + _copy(aircraft, sections, folder, stamp)
    return lines + _write(aircraft, sections, person, stamp)


def _quoted(name):
    return "'" + name.replace("'", "''") + "'"


def _shown(section, keys):
    for key, value in keys.items():
        for row in [value] if isinstance(value, str) else value:
            yield f"  {section}: {key}: {row}"


def _copy(aircraft, sections, folder, stamp):
    lines = ["A real session would write:"]
    lines += [line for section, keys, _ in sections for line in _shown(section, keys)]
    if folder is None:
        return [*lines, "Nothing is kept; name a folder with --record to keep the record and a copy of the file."]
    copy = Path(folder) / f"{Path(aircraft.file).stem}-simulated-{stamp}.yaml"
    source = aircraft.file
    for section, keys, comment in sections:
        AircraftFile(source).write(section, keys, comment, stamp, to=copy)
        source = copy
    return [*lines, f"A copy of the file with these values, invented: {copy}"]


def _write(aircraft, sections, person, stamp):
    lines = ["", "New for the aircraft file:"]
    lines += [line for section, keys, _ in sections for line in _shown(section, keys)]
    if Path(aircraft.file).absolute().parent == AIRCRAFT_DIR.absolute():
        return [*lines, "Not written: it is a shipped example. Put the lines into your own copy."]
    for line in lines:
        person.tell(line)
    try:
        if not person.yes(("write",), f"Write them into {aircraft.file}?"):
            return ["Not written. The record has what was seen."]
    except (Stop, Skip):
        return ["Not written. The record has what was seen."]
    file = AircraftFile(aircraft.file)
    try:
        for section, keys, comment in sections:
            now = file.write(section, keys, comment, stamp)
    except InputError as error:
        return [f"Not written: {error}"]
    said = [f"Written: {aircraft.file}. As it was: {file.kept}"]
    if fingerprint(now.packed) != fingerprint(aircraft.packed):
        said.append(
            f"The thresholds that the file leaves to the advice have changed with it: settings {fingerprint(now.packed)}. "
            "Run 'downlock install' again; then every step counts anew."
        )
    return said
