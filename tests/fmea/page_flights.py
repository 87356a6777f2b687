"""The part of the page that holds the trees against the flights."""

from .check import BUILD_OF_AIRCRAFT, modes_of_event, singles_of
from .modes import EFFECTS_OF_TOP

SHORT = {"curlew": "Curlew", "tern": "Tern"}
HEAD = """\
### The trees against the flights

Each event that is a failure of the catalogue, alone in flight. *Alone, seen*: the tree says that it is enough alone,
and flights show it. *Alone, not seen*: the tree says so and no flight showed it; the tree is the stricter one, because
it takes for granted what a flight may not have had, such as air spent to the last stroke. *No*: the tree says that it
is not enough alone, and no flight showed that it is; one that did would be an error here.
"""


def text(trees, found, modes):
    """The section."""
    columns = [(top, aircraft) for top in EFFECTS_OF_TOP for aircraft in BUILD_OF_AIRCRAFT]
    names = {"not_locked": "not locked", "moves_up": "moves up"}
    heads = ["event", "flights", *(f"{names[top]}, {SHORT[aircraft]}" for top, aircraft in columns)]
    lines = [HEAD, "| " + " | ".join(heads) + " |", "|---" * len(heads) + "|"]
    for event in trees.events.values():
        ours = modes_of_event(event, modes)
        if ours:
            cells = [_word(event, ours, found, top, aircraft) for top, aircraft in columns]
            flights = f"{sum(mode.flights for mode in ours):,}"
            lines.append("| " + " | ".join([event.text, flights, *cells]) + " |")
    return "\n".join(lines) + "\n"


def _word(event, modes, found, top, aircraft):
    ours = [mode for mode in modes if mode.aircraft == aircraft]
    if not ours:
        return "not fitted"
    seen = any(set(EFFECTS_OF_TOP[top]) & set(mode.effects) for mode in ours)
    if event.name in singles_of(found, top, aircraft):
        return "alone, seen" if seen else "alone, not seen"
    return "**seen**" if seen else "no"
