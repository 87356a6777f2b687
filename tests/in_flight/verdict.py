"""The outcome of one flight with a failure in it."""

from dataclasses import dataclass, field

FORCED, REFUSED, ALERTED, NO_EFFECT, WRONG = "forced in time", "refused", "alerted", "no effect", "wrong"
LIMIT = "admitted limit: "


@dataclass
class Verdict:
    """Outcome of one case. `wrong` has a line for each thing that does not hold; `rests_on` requirement ids."""

    outcome: str
    reaction_ms: float | None
    allowed_ms: float | None
    hazards: set
    alerts: set
    causes: set
    refusals: set
    forced: bool
    wrong: list = field(default_factory=list)
    rests_on: set = field(default_factory=set)
