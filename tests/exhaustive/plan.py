"""What one search is made of."""

from dataclasses import dataclass

COMPLETE = "complete for its letters and settings"


@dataclass(frozen=True)
class Plan:
    """`build()` makes the Network; `asks(settings)` the liveness questions; `flown` lets conformance.py replay it.

    `scope` says what is complete about it and what is not; `limit` the same in one word, "" for complete.
    """

    name: str
    what: str
    scope: str
    requirements: tuple
    build: object
    settings: object = None
    asks: object = None
    flown: bool = False
    short: bool = True
    most_states: int = 6_000_000
    most_levels: int | None = None
    limit: str = ""
