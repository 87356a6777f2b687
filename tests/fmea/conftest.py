"""What the tests share: the real tables, their cut sets, and an invented campaign in which no failure does harm."""

import pytest

from host_sim.faults import CATALOGUE

from . import evidence, modes, tree
from .analysis import analyse


def cell(failure, variant="", **changed):
    """One cell of an invented campaign; `changed` replaces its fields."""
    made = {
        "failure": failure,
        "variant": variant,
        "aircraft": "curlew",
        "phase": "up and cruising",
        "flights": 10,
        "outcomes": {"no effect": 10},
        "effect": "none",
        "detection": "",
        "reaction": "",
        "worst_reaction_ms": None,
        "allowed_ms": None,
        "dangerous": False,
        "detected": False,
    }
    return made | changed


@pytest.fixture(scope="session")
def trees():
    """The real trees."""
    return tree.load()


@pytest.fixture(scope="session")
def found(trees):
    """Their cut sets in every build."""
    return analyse(trees)


@pytest.fixture(scope="session")
def failures():
    """failures.yaml."""
    return evidence.load_failures()


@pytest.fixture(scope="session")
def limits():
    """The limits of limits.yaml."""
    return evidence.load_limits()[0]


@pytest.fixture
def cells(trees):
    """A cell for every failure, and one for every form that an event of the trees asks for."""
    made = {}
    for event in trees.events.values():
        words = [word for word in event.evidence.get("cells", ()) if not word.startswith("not ")]
        for failure in event.failures:
            made[failure, ", ".join(words)] = cell(failure, ", ".join(words))
    known = {failure for failure, _ in made}
    every = [*made.values(), *(cell(failure) for failure in CATALOGUE if failure not in known)]
    return every + [one | {"aircraft": "tern"} for one in every]


@pytest.fixture
def flown(cells, failures):
    """The failure modes of that campaign."""
    return modes.modes_of(cells, failures)
