"""Failure modes: the cells of the flown campaign, one a failure, variant, aircraft and phase, put together over phases.

A mode is dangerous in a phase if it harms there with a plain link in the controller's place (tests/in_flight flies
that), or if it takes away what the controller protects with (`defeats` in failures.yaml) while the gear is up or may
still go up. It is detected only if every flight of every such phase shows it. Where some flight does not, and with the
controller in place none of them harmed or ended at a limit, the controller bears it: a glitch that is filtered out.
"""

import json
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path

from .coverage import BORNE, DETECTED, SAFE, UNDETECTED

HERE = Path(__file__).parent
CAMPAIGN = HERE.parents[1] / "out" / "evidence" / "in_flight.json"
COMMITTED = HERE / "cells.json"
LIMIT = "admitted limit: "
WRONG = "wrong"
# Phases after which no protection is needed any more.
DOWN_FOR_GOOD = ("extension", "approach, gear down", "roll-out with brakes", "filling on the ground")
NOTHING = "none"
# What a flight may do to the gear that is a top event of the trees, or would be at touchdown; words of tests/in_flight.
EFFECTS_OF_TOP = {
    "not_locked": ("gear not locked when it should be", "gear stays up against the pilot or without a link"),
    "moves_up": ("gear retracts without the pilot",),
}
HARM = [effect for effects in EFFECTS_OF_TOP.values() for effect in effects]
_NEEDED = ("failure", "variant", "aircraft", "phase", "flights", "outcomes", "effect", "dangerous", "detected")


@dataclass(frozen=True)
class Mode:
    """One way in which one thing fails.

    failure, variant      name in the catalogue; what is particular, "" where there is nothing
    aircraft              "curlew" or "tern"
    phases, flights       where it was flown, how often
    outcomes              {words: flights}
    effects               what it did to the gear in some flight; empty where nothing
    detection, reaction   words, those of different phases together
    slowest_ms, allowed_ms   of the phase that comes closest to what is allowed; None where nothing is timed
    verdict               of coverage.VERDICTS
    """

    failure: str
    variant: str
    aircraft: str
    phases: list
    flights: int
    outcomes: dict = field(default_factory=dict)
    effects: list = field(default_factory=list)
    detection: list = field(default_factory=list)
    reaction: list = field(default_factory=list)
    slowest_ms: int | None = None
    allowed_ms: int | None = None
    verdict: str = SAFE

    @property
    def label(self):
        """Failure and variant in one."""
        return f"{self.failure}, {self.variant}" if self.variant else self.failure

    @property
    def limits(self):
        """Names of the admitted limits that flights ended in."""
        return tuple(name.removeprefix(LIMIT) for name in self.outcomes if name.startswith(LIMIT))

    @property
    def wrong(self):
        """How many flights broke a requirement."""
        return self.outcomes.get(WRONG, 0)


def fits(words, text):
    """Whether every word stands in the text, and none of those that begin with "not "."""
    return all((word.removeprefix("not ") in text) != word.startswith("not ") for word in words)


def modes_of(cells, failures):
    """[Mode] of a list of cells (dicts of the campaign), in the order in which they first come; `failures` as in
    failures.yaml. ValueError names a cell that lacks something."""
    groups = {}
    for cell in cells:
        missing = [name for name in _NEEDED if name not in cell]
        if missing:
            raise ValueError(f"cell without {', '.join(missing)}: {cell}")
        groups.setdefault((cell["failure"], cell["variant"], cell["aircraft"]), []).append(cell)
    return [_put_together(*key, group, failures.get(key[0], {})) for key, group in groups.items()]


def _put_together(failure, variant, aircraft, cells, row):
    outcomes = {}
    for cell in cells:
        for name, count in cell["outcomes"].items():
            if count:
                outcomes[name] = outcomes.get(name, 0) + count
    slowest_ms, allowed_ms = _closest(cells)
    return Mode(
        failure,
        variant,
        aircraft,
        list(dict.fromkeys(cell["phase"] for cell in cells)),
        sum(cell["flights"] for cell in cells),
        dict(sorted(outcomes.items())),
        _joined(cells, "effect"),
        sorted(_joined(cells, "detection")),
        _joined(cells, "reaction"),
        slowest_ms,
        allowed_ms,
        _verdict(cells, _defeats(variant, aircraft, row.get("defeats"))),
    )


def _joined(cells, key):
    words = dict.fromkeys(part.strip() for cell in cells for part in (cell.get(key) or "").split(";"))
    return [word for word in words if word not in ("", NOTHING)]


def _defeats(variant, aircraft, defeats):
    if not defeats or defeats.get("needs", aircraft) != aircraft:
        return False
    return fits(defeats.get("forms", ()), variant)


def _closest(cells):
    timed = [
        (cell["worst_reaction_ms"], cell["allowed_ms"])
        for cell in cells
        if cell.get("worst_reaction_ms") is not None and cell.get("allowed_ms") is not None
    ]
    return max(timed, key=lambda pair: (pair[0] - pair[1], pair), default=(None, None))


def _verdict(cells, defeats):
    dangerous = [cell for cell in cells if cell["dangerous"] or defeats and cell["phase"] not in DOWN_FOR_GOOD]
    if not dangerous:
        return SAFE
    if all(cell["detected"] for cell in dangerous):
        return DETECTED
    return UNDETECTED if defeats or any(_harms(cell) for cell in dangerous) else BORNE


def _harms(cell):
    limits = any(name.startswith(LIMIT) and count for name, count in cell["outcomes"].items())
    return limits or cell["effect"] in HARM


def read_campaign(failures, path=CAMPAIGN):
    """[Mode] of the campaign's record. ValueError says what to do where there is none."""
    path = Path(path)
    if not path.exists():
        raise ValueError(f"no {path.name}: run python -m tests.in_flight first, or python -m tests.fmea --short")
    record = json.loads(path.read_text())
    if record["command"].endswith("--short"):
        raise ValueError(
            f"{path.name} is of a short run: run python -m tests.in_flight, or python -m tests.fmea --short"
        )
    return modes_of(record["cells"], failures)


def as_text(modes):
    """The committed form: one mode a line, so that a difference shows which one."""
    lines = [json.dumps(asdict(mode), ensure_ascii=False) for mode in modes]
    return "[\n" + ",\n".join(lines) + "\n]\n"


def read_committed(path=COMMITTED):
    """[Mode] of the committed file. ValueError for one that is not of this form."""
    if not Path(path).exists():
        raise ValueError(f"no {Path(path).name}: run python -m tests.fmea after python -m tests.in_flight")
    names = {item.name for item in fields(Mode)}
    rows = json.loads(Path(path).read_text())
    for row in rows:
        if set(row) != names:
            raise ValueError(f"{Path(path).name}: a row with {sorted(set(row) ^ names)}")
    return [Mode(**row) for row in rows]
