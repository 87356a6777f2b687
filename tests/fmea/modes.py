"""Failure modes: the cells of the flown campaign, one a failure, variant and phase, put together over the phases.

A mode is dangerous if it is in any phase, and detected only if it is in every phase in which it is dangerous.
"""

import json
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path

from .coverage import DETECTED, SAFE, UNDETECTED

HERE = Path(__file__).parent
CAMPAIGN = HERE.parents[1] / "out" / "evidence" / "in_flight.json"
COMMITTED = HERE / "cells.json"
LIMIT = "admitted limit: "
WRONG = "wrong"
_NEEDED = ("failure", "variant", "phase", "flights", "outcomes", "dangerous", "detected")


@dataclass(frozen=True)
class Mode:
    """One way in which one thing fails.

    failure, variant      name in the catalogue; what is particular, "" where there is nothing
    phases, flights       where it was flown, how often
    outcomes              {words: flights}
    effect, detection, reaction   words, those of different phases joined
    slowest_ms, allowed_ms        of the cell that comes closest to what is allowed; None where nothing is timed
    verdict               of coverage.VERDICTS
    hazards               what the plant showed in some flight, words of tests/in_flight/expected.py
    """

    failure: str
    variant: str
    phases: list
    flights: int
    outcomes: dict = field(default_factory=dict)
    effect: str = ""
    detection: str = ""
    reaction: str = ""
    slowest_ms: int | None = None
    allowed_ms: int | None = None
    verdict: str = SAFE
    hazards: list = field(default_factory=list)

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


def modes_of(cells):
    """[Mode] of a list of cells (dicts of the campaign), in the order in which they first come. ValueError names a cell
    that lacks something."""
    groups = {}
    for cell in cells:
        missing = [name for name in _NEEDED if name not in cell]
        if missing:
            raise ValueError(f"cell without {', '.join(missing)}: {cell}")
        groups.setdefault((cell["failure"], cell["variant"]), []).append(cell)
    return [_put_together(failure, variant, group) for (failure, variant), group in groups.items()]


def _put_together(failure, variant, cells):
    outcomes = {}
    for cell in cells:
        for name, count in cell["outcomes"].items():
            if count:
                outcomes[name] = outcomes.get(name, 0) + count
    slowest_ms, allowed_ms = _closest(cells)
    return Mode(
        failure,
        variant,
        list(dict.fromkeys(cell["phase"] for cell in cells)),
        sum(cell["flights"] for cell in cells),
        dict(sorted(outcomes.items())),
        _joined(cells, "effect"),
        _joined(cells, "detection"),
        _joined(cells, "reaction"),
        slowest_ms,
        allowed_ms,
        _verdict(cells),
        sorted({hazard for cell in cells for hazard in cell.get("hazards", ())}),
    )


def _joined(cells, key):
    words = dict.fromkeys(part.strip() for cell in cells for part in (cell.get(key) or "").split(";"))
    return "; ".join(word for word in words if word)


def _closest(cells):
    timed = [
        (cell["worst_reaction_ms"], cell["allowed_ms"])
        for cell in cells
        if cell.get("worst_reaction_ms") is not None and cell.get("allowed_ms") is not None
    ]
    return max(timed, key=lambda pair: (pair[0] - pair[1], pair), default=(None, None))


def _verdict(cells):
    dangerous = [cell for cell in cells if cell["dangerous"]]
    if not dangerous:
        return SAFE
    return DETECTED if all(cell["detected"] for cell in dangerous) else UNDETECTED


def read_campaign(path=CAMPAIGN):
    """[Mode] of the campaign's record. ValueError says what to do where there is none."""
    path = Path(path)
    if not path.exists():
        raise ValueError(f"no {path.name}: run python -m tests.in_flight first, or python -m tests.fmea --short")
    return modes_of(json.loads(path.read_text())["cells"])


def as_text(modes):
    """The committed form: one mode a line, so that a difference shows which one."""
    lines = [json.dumps(asdict(mode), ensure_ascii=False) for mode in modes]
    return "[\n" + ",\n".join(lines) + "\n]\n"


def read_committed(path=COMMITTED):
    """[Mode] of the committed file. ValueError for one that is not of this form."""
    names = {item.name for item in fields(Mode)}
    rows = json.loads(Path(path).read_text())
    for row in rows:
        if set(row) != names:
            raise ValueError(f"{Path(path).name}: a row with {sorted(set(row) ^ names)}")
    return [Mode(**row) for row in rows]
