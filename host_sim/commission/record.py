"""The record of one session at the bench: a dated YAML file, written anew after every step, never over another one."""

import glob
import os
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from controller import codes

from ..errors import InputError
from ..yamlfile import Mapping, Sequence, read
from .board import fingerprint, wiring_of
from .step import ACCEPTED, PASSED, SAYERS, VERDICTS, Result

FORMAT = 1
DATE_FORM = "%Y-%m-%d %H:%M:%S"
HEAD = (
    "# What was proved at the bench, step by step. Written by downlock bench; it counts as long as board, wiring, version\n"
    "# and settings are the ones named here.\n"
)


def wiring_words(kind, down_us, up_us):
    """A wiring record in words."""
    word = codes.VALVE_WORDS[kind] if kind < len(codes.VALVE_WORDS) else f"kind {kind}"
    return f"{word}, {down_us} us down, {up_us} us up" if kind == codes.VALVE_SERVO else word


def wanted_wiring(aircraft):
    """The wiring that an aircraft file asks for, in words."""
    return wiring_words(aircraft.valve_kind, aircraft.servo_down_us, aircraft.servo_up_us)


@dataclass
class Record:
    """One session. `settings` is the fingerprint of what is on the board, `wiring` its record in words."""

    aircraft: str
    date: str
    simulated: bool
    operator: str
    board: str
    board_id: str
    firmware: str
    version: str
    settings: str
    wiring: str
    steps: list[Result] = field(default_factory=list)
    file: str = ""

    def add(self, result):
        """Keep a Result; a step that is repeated in one session counts as it ended."""
        self.steps = [one for one in self.steps if one.step != result.step] + [result]

    def save(self, path):
        """Write the file whole, by a new one that takes its place. InputError where it cannot be written."""
        steps = []
        for one in self.steps:
            row = {"step": one.step, "result": one.verdict, "by": one.by, "at": one.at, "seen": list(one.seen)}
            if one.why:
                row["why"] = list(one.why)
            if one.accepted_by:
                row["accepted_by"] = one.accepted_by
            steps.append(row)
        data = {
            "downlock_bench": FORMAT,
            "aircraft": self.aircraft,
            "date": self.date,
            "simulated": "yes" if self.simulated else "no",
            "operator": self.operator or "-",
            "board": {"kind": self.board, "id": self.board_id, "firmware": self.firmware, "version": self.version},
            "settings": self.settings,
            "wiring": self.wiring,
            "steps": steps,
        }
        write_whole(path, HEAD + yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=110))


def new_record(aircraft, stored, operator, simulated, now):
    """Record of a session that begins; `now` a datetime."""
    return Record(
        aircraft=aircraft.name,
        date=now.strftime(DATE_FORM),
        simulated=simulated,
        operator=operator,
        board=stored.kind,
        board_id=stored.board_id,
        firmware=stored.firmware,
        version=stored.version,
        settings=fingerprint(stored.settings_a),
        wiring=wiring_words(*wiring_of(stored)),
    )


def record_path(folder, aircraft, now):
    """A file name in `folder` that no record has yet."""
    stem = f"{Path(aircraft.file).stem}-bench-{now.strftime('%Y-%m-%d-%H%M%S')}"
    path, n = Path(folder) / f"{stem}.yaml", 1
    while path.exists():
        n += 1
        path = Path(folder) / f"{stem}-{n}.yaml"
    return path


def check_folder(folder):
    """Raises InputError for a folder in which no record can be written."""
    try:
        with tempfile.NamedTemporaryFile(dir=folder, prefix=".downlock-"):
            pass
    except OSError as error:
        raise InputError(str(folder), "", f"no record can be written there: {error.strerror or error}") from None


class Keeping:
    """Keeps results as they come: `add(result)` into a Record and its file. `path` None keeps no file.

    `whole` says whether the file has all of them.
    """

    def __init__(self, record, path):
        self._record = record
        self.path = path
        self.whole = False

    def add(self, result):
        """One more Result. Raises InputError where it cannot be written."""
        self._record.add(result)
        self.whole = False
        if self.path is not None:
            self._record.save(self.path)
            self.whole = True

    def lines(self):
        """Where the record is, for people; nothing where there is none."""
        if self.path is None or not self.path.exists():
            return []
        return [f"Record: {self.path}" + ("" if self.whole else " (the last step could not be written to it)")]


def records_of(folder, aircraft):
    """Records of an aircraft file in a folder, oldest first. Raises InputError for a file that is no record."""
    pattern = f"{glob.escape(Path(aircraft.file).stem)}-bench-*.yaml"
    found = [load_record(path) for path in sorted(Path(folder).glob(pattern))]
    return sorted((one for one in found if one.aircraft == aircraft.name), key=lambda one: (one.date, one.file))


def load_record(path):
    """Record of a file. Raises InputError."""
    top = read(path)
    top.take("downlock_bench").whole(FORMAT, FORMAT)
    board = top.take("board", Mapping)
    record = Record(
        aircraft=top.take("aircraft").string(60),
        date=_date(top.take("date")),
        simulated=top.take("simulated").flag(),
        operator=top.take("operator").string(60),
        board=board.take("kind").string(40),
        board_id=board.take("id").string(80),
        firmware=board.take("firmware").string(120),
        version=board.take("version").string(40),
        settings=top.take("settings").string(8),
        wiring=top.take("wiring").string(80),
        file=str(path),
    )
    board.close()
    for row in top.take("steps", Sequence).of(Mapping):
        record.steps.append(_read_step(row))
    top.close()
    return record


def _date(scalar):
    from datetime import datetime

    text = scalar.string(30)
    try:
        datetime.strptime(text, DATE_FORM)
    except ValueError:
        scalar.fail(f"'{text}' is no date like 2026-01-31 12:00:00")
    return text


def _read_step(row):
    result = Result(
        step=row.take("step").string(40),
        verdict=row.take("result").word(VERDICTS),
        by=row.take("by").word(SAYERS),
        at=row.take("at").string(20),
        seen=[one.text for one in row.take("seen", Sequence).items],
        why=[one.text for one in row.take("why", Sequence).items] if row.has("why") else [],
        accepted_by=row.take("accepted_by").string(60) if row.has("accepted_by") else "",
    )
    row.close()
    if result.verdict == ACCEPTED and not result.accepted_by:
        row.fail("is accepted without a name")
    return result


def good(result):
    """Whether a step counts as done."""
    return result.verdict in (PASSED, ACCEPTED)


def write_whole(path, text):
    """Text into a file by a new one beside it, so that a reader never finds half. Raises InputError."""
    path = Path(path)
    beside = path.with_name(path.name + ".new")
    try:
        with open(beside, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
    except OSError as error:
        raise InputError(str(path), "", f"cannot be written: {error.strerror or error}") from None
