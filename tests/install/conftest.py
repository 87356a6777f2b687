"""Sets for a stand-in board, and an image of one that they lie on."""

import shutil
from pathlib import Path

import pytest

from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft

from .standins import PROMPT, StandIn, install, interpreter, later_set, sample_set


@pytest.fixture(scope="session")
def curlew():
    """A shipped aircraft with a spring-return valve."""
    return load_aircraft(AIRCRAFT_DIR / "curlew24.yaml")


@pytest.fixture(scope="session")
def mine(tmp_path_factory):
    """Path of an aircraft file of one's own: a copy."""
    return shutil.copy(AIRCRAFT_DIR / "curlew24.yaml", tmp_path_factory.mktemp("mine") / "mine.yaml")


@pytest.fixture(scope="session")
def old_set(curlew):
    """A set for the stand-in."""
    return sample_set(curlew.packed, 1)


@pytest.fixture(scope="session")
def new_set():
    """The next version, for another aircraft with another valve."""
    return later_set(load_aircraft(AIRCRAFT_DIR / "tern30.yaml").packed, 2)


@pytest.fixture(scope="session")
def _installed(tmp_path_factory, old_set):
    if not Path(interpreter()).is_file():
        pytest.skip("No MicroPython interpreter: pip install -e '.[dev]' on Linux x86_64 or macOS arm64.")
    image = tmp_path_factory.mktemp("board") / "installed.flash"
    with StandIn(image) as board:
        board.listen(PROMPT)
        install(board.link(), old_set)
    return image


@pytest.fixture
def installed(_installed, tmp_path):
    """Path of the flash of a stand-in that has the old set."""
    return shutil.copy(_installed, tmp_path / "board.flash")
