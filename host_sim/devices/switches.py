"""Contacts: a state of the world in, a pin level with bounce out."""

from .streams import stream


class Switch:
    """One contact. `stuck` None, True (made) or False (not made); `wire_off` reads the level of a broken wire."""

    __slots__ = ("spec", "stuck", "wire_off", "_made", "_bounce_until_us", "_random")

    def __init__(self, spec, seed, name):
        self.spec = spec
        self._random = stream(seed, f"switch {name}")
        self._made = None
        self._bounce_until_us = 0
        self.repair()

    def repair(self):
        """Back to the switch without faults."""
        self.stuck = None
        self.wire_off = False

    def sample(self, made, t_us):
        """Pin level, 0 or 1, at a time, us. After a change the level is random while the contact bounces."""
        spec = self.spec
        if self.wire_off:
            return spec.wire_off_level
        if self.stuck is not None:
            made = self.stuck
        if made is not self._made:
            if self._made is not None:
                self._bounce_until_us = t_us + int(self._random.uniform(0.0, 2000.0) * spec.bounce_ms)
            self._made = made
        level = spec.made_level if made else 1 - spec.made_level
        if t_us < self._bounce_until_us and self._random.random() < 0.5:
            return 1 - level
        return level
