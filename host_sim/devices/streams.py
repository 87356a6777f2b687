"""Random streams: one a device, from the scenario's seed and the device's name."""

import random


def stream(seed, name):
    """A `random.Random` of its own. Text seeds are hashed with SHA-512 by the library, so no process differs."""
    return random.Random(f"{seed}/{name}")
