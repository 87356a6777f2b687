"""Cells: all flights of one variant, one aircraft and one phase, in one record.

{"failure": name in the catalogue, "variant": ..., "aircraft": "curlew" or "tern", "phase": ..., "flights": n,
 "outcomes": {"forced in time" | "refused" | "alerted" | "no effect" | "admitted limit: NAME" | "wrong": n},
 "effect": the worst effect on the gear, of EFFECTS,
 "detection": how the controller noticed: causes, refusals and alerts, "none" where it did not,
 "reaction": of REACTIONS, "worst_reaction_ms", "allowed_ms": n or null,
 "dangerous": would harm without the controller (dangers.py says how that is found), "detected": in every flight}
"""

from collections import Counter
from dataclasses import dataclass, field

from .expected import LINK_UNSEEN, STAYS_UP, UNHEEDED, UNLOCKED, UP_UNASKED
from .verdict import WRONG

# From the worst on.
EFFECTS = (
    "gear not locked when it should be",
    "gear retracts without the pilot",
    "gear stays up against the pilot or without a link",
    "gear does not follow a move to up",
    "gear comes down early and locks",
    "retraction refused, gear stays down",
    "pilot is told, gear as commanded",
    "none",
)
_OF_HAZARD = {UNLOCKED: 0, UP_UNASKED: 1, STAYS_UP: 2, LINK_UNSEEN: 2, UNHEEDED: 3}
REACTIONS = ("gear forced down", "retraction refused", "alert", "none")


@dataclass
class Cell:
    """Sums up verdicts; `record` is the form above."""

    failure: str
    variant: str
    aircraft: str
    phase: str
    dangerous: bool
    flights: int = 0
    outcomes: Counter = field(default_factory=Counter)
    effect: int = len(EFFECTS) - 1
    reaction: int = len(REACTIONS) - 1
    seen: set = field(default_factory=set)
    undetected: int = 0
    worst_reaction_ms: float | None = None
    allowed_ms: float | None = None

    def add(self, verdict):
        """One judge.Verdict."""
        self.flights += 1
        self.outcomes[verdict.outcome] += 1
        self.effect = min(self.effect, _effect(verdict))
        self.reaction = min(self.reaction, _reaction(verdict))
        words = {f"cause {word}" for word in verdict.causes} | {f"refusal {word}" for word in verdict.refusals}
        words |= {f"alert {word}" for word in verdict.alerts}
        self.seen |= words
        self.undetected += not (words or verdict.forced)
        self.worst_reaction_ms = _larger(self.worst_reaction_ms, verdict.reaction_ms)
        self.allowed_ms = _larger(self.allowed_ms, verdict.allowed_ms)

    def record(self):
        """JSON form."""
        return {
            "failure": self.failure,
            "variant": self.variant,
            "aircraft": self.aircraft,
            "phase": self.phase,
            "flights": self.flights,
            "outcomes": dict(sorted(self.outcomes.items())),
            "effect": EFFECTS[self.effect],
            "detection": "; ".join(sorted(self.seen)) or "none",
            "reaction": REACTIONS[self.reaction],
            "worst_reaction_ms": None if self.worst_reaction_ms is None else round(self.worst_reaction_ms),
            "allowed_ms": None if self.allowed_ms is None else round(self.allowed_ms),
            "dangerous": self.dangerous,
            "detected": self.undetected == 0,
        }


def _larger(one, other):
    if one is None or other is None:
        return other if one is None else one
    return max(one, other)


def _effect(verdict):
    found = [_OF_HAZARD.get(hazard, 3) for hazard in verdict.hazards]
    if verdict.forced:
        found.append(4)
    if verdict.refusals:
        found.append(5)
    if verdict.alerts:
        found.append(6)
    return min(found, default=7)


def _reaction(verdict):
    if verdict.forced or verdict.causes:
        return 0
    if verdict.refusals:
        return 1
    return 2 if verdict.alerts else 3


def is_wrong(cell):
    """Whether any flight of a cell is wrong."""
    return cell.outcomes[WRONG] > 0
