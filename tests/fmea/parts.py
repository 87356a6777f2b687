"""The parts that failures are counted by."""

from host_sim.faults import CATALOGUE

# A device of the catalogue, and the part that it belongs to.
_PART_OF_DEVICE = {
    "sensor": "sensor",
    "rail": "sensor",
    "receiver": "receiver",
    "valve": "valve",
    "air": "air",
    "gear": "legs",
    "switch": "switches",
    "supply": "supply",
    "board": "controller",
}
PART_WORDS = {
    "sensor": "pressure sensors",
    "receiver": "receiver and radio",
    "valve": "valve",
    "supply": "supply",
    "air": "air",
    "legs": "legs",
    "switches": "switches",
    "controller": "controller",
}


def part_of(failure):
    """Part of a failure of the catalogue. KeyError for one that is not in it."""
    return _PART_OF_DEVICE[CATALOGUE[failure].device]
