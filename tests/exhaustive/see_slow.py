"""Observer of the slow side of the tank: SR-15 (leak) and SR-19 (filling), one step a second."""

LEAK_MBAR = 100
# A second that brings no more than this is warming, not filling.
STILL_MBAR = 5


class Filling:
    """Spans in seconds, as searched. `None` is a second without a reading."""

    def __init__(self, charge_mbar, charge_span, hold, leak_span, quiet, fill):
        self.charge_mbar = charge_mbar
        self.charge_span = charge_span
        self.hold = hold
        self.quiet_need = quiet + leak_span
        self.fill_need = fill + leak_span
        self.past = (None,) * leak_span
        self.surely_for = 0
        self.perhaps_for = 0
        self.quiet_for = 0
        self.calm_for = 0
        self.leaking_before = 0

    def see(self, command, mbar, moving, stroke, charging, leaking):
        """`moving`: a stroke, brake or change of sensors began; `stroke`: one is in progress."""
        broken = self._filling(mbar, charging) or self._leak(command, mbar, moving, stroke, leaking)
        self.past = (*self.past[1:], mbar)
        self.leaking_before = leaking
        return (broken,)

    def _filling(self, mbar, charging):
        known = [past for past in self.past[-self.charge_span :] if past is not None]
        last = self.past[-1]
        rose = mbar is not None and bool(known) and mbar - min(known) > self.charge_mbar
        self.surely_for = max(0, self.surely_for - 1)
        self.perhaps_for = max(0, self.perhaps_for - 1)
        if rose and last is not None and mbar - last > STILL_MBAR:
            self.surely_for = self.hold
        # After a second without a reading it is not known whether the rise still goes on.
        if rose and (last is None or mbar - last > STILL_MBAR):
            self.perhaps_for = self.hold
            self.calm_for = -1
        if self.surely_for and not charging:
            return "SR-19: filling is not noticed, or forgotten too early"
        if charging and not self.perhaps_for:
            return "SR-19: filling is seen though the pressure did not rise, or for too long"
        return ""

    def _leak(self, command, mbar, moving, stroke, leaking):
        self.quiet_for = 0 if stroke else min((0 if moving else self.quiet_for) + 1, self.quiet_need)
        self.calm_for = min(self.calm_for + 1, self.fill_need)
        then = self.past[0]
        weighed = command == 1 and mbar is not None and then is not None
        weighed = weighed and self.quiet_for == self.quiet_need and self.calm_for == self.fill_need
        must = weighed and then - mbar >= LEAK_MBAR
        if must and not leaking:
            return "SR-15: a leak is not noticed"
        if leaking and not self.leaking_before and not must:
            return "SR-15: a leak is called without a fall in a quiet time"
        if leaking and command == 0:
            return "SR-15: a leak is called with the command DOWN"
        return ""
