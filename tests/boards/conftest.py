"""No __init__.py in this folder: pytest puts tests/ on the path, and a package tests/boards would then be found as `boards`.

For the tests on the emulated board: the image that it boots.
"""

import os

import pytest

from tests.boards.firmware import NoFirmware, find_firmware, load_image

MUST = "DOWNLOCK_MUST_EMULATE"


@pytest.fixture(scope="session")
def image():
    """What lies in the flash of a new board. Skips where there is none; fails under DOWNLOCK_MUST_EMULATE=1."""
    try:
        return load_image(find_firmware())
    except NoFirmware as error:
        if os.environ.get(MUST) == "1":
            pytest.fail(f"{MUST}=1: {error}", pytrace=False)
        pytest.skip(str(error))
