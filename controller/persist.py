"""How long a condition must hold before it counts. Three counters in ticks, each bounded, each with one rule.

A fact is YES, NO or UNKNOWN. For a fault, YES is the fault seen; for a permit, YES is the permit seen. Missing data
never helps: it does not clear a fault, and it does not let a permit ripen (SR-17, SR-02).
"""

from .codes import NO, YES


class Persist:
    """For faults. YES advances, UNKNOWN freezes, only NO for `heal` ticks without a break clears."""

    __slots__ = ("count", "clear", "need", "heal")

    def __init__(self, need, heal):
        self.need = need
        self.heal = heal
        self.count = 0
        self.clear = 0

    def step(self, fact):
        """One tick; returns 1 while the fault is confirmed, else 0."""
        if fact == NO:
            self.clear += 1
            if self.clear >= self.heal:
                self.clear = self.heal
                self.count = 0
        else:
            self.clear = 0
            if fact == YES:
                self.count += 1
                if self.count > self.need:
                    self.count = self.need
        if self.count == self.need:
            return 1
        return 0

    def reset(self):
        """For a condition that has no meaning now; never called because data is missing."""
        self.count = 0
        self.clear = 0


class Steady:
    """For permits. YES advances, anything else starts again."""

    __slots__ = ("count", "need")

    def __init__(self, need):
        self.need = need
        self.count = 0

    def step(self, fact):
        """One tick; returns 1 once YES has held for `need` ticks without a break, else 0."""
        if fact != YES:
            self.count = 0
            return 0
        self.count += 1
        if self.count >= self.need:
            self.count = self.need
            return 1
        return 0

    def reset(self):
        self.count = 0


class Consecutive:
    """For events measured on samples. YES advances, NO starts again at once, UNKNOWN is no sample and freezes."""

    __slots__ = ("count", "need")

    def __init__(self, need):
        self.need = need
        self.count = 0

    def step(self, fact):
        """One tick; returns 1 in a tick whose YES completes or continues `need` of them, else 0."""
        if fact == NO:
            self.count = 0
            return 0
        if fact != YES:
            return 0
        self.count += 1
        if self.count >= self.need:
            self.count = self.need
            return 1
        return 0

    def reset(self):
        self.count = 0
