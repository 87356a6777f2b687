"""The table of dangers as it is kept beside this file; dangers.py flies it."""

import functools
import json
from pathlib import Path

FILE = Path(__file__).with_name("dangers.json")


@functools.cache
def load_dangers():
    """{aircraft: {variant label: {phase: dangerous}}}."""
    return json.loads(FILE.read_text())


def danger_of(case):
    """Whether the kept table calls the failure of a case dangerous in its phase."""
    return load_dangers()[case.aircraft][case.variant.label][case.phase]
