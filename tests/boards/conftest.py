"""No __init__.py in this folder: pytest puts tests/ on the path, and a package tests/boards would then be found as `boards`.

For the tests on the emulated board: the image that it boots.
"""

import os

import pytest

from tests.boards.firmware import NoFirmware, find_firmware, load_image

MUST = "DOWNLOCK_MUST_EMULATE"


def image_or_sentence():
    """(image, None), or (None, why there is none)."""
    try:
        import rp2040py.native  # noqa: F401
    except (ImportError, Warning) as error:
        return None, f"No emulator for the board: {error}."
    try:
        return load_image(find_firmware()), None
    except NoFirmware as error:
        return None, str(error)


@pytest.fixture(scope="session")
def image():
    """What lies in the flash of a new board. Skips where there is none; fails under DOWNLOCK_MUST_EMULATE=1."""
    found, sentence = image_or_sentence()
    if found is None:
        if os.environ.get(MUST) == "1":
            pytest.fail(f"{MUST}=1: {sentence}", pytrace=False)
        pytest.skip(sentence)
    return found
