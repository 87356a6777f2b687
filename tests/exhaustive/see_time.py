"""Observers of lateness, of the clock and of restarts: SR-31, SR-32, SR-33. Times in ms, as required."""


class Late:
    """SR-31: a tick later than 100 ms, or the third late one within a second, latches; a late one is never fed."""

    def __init__(self, tick_ms):
        self.tick_ms = tick_ms
        self.ago = (1000, 1000)

    def see(self, elapsed_ms, stages, late_latch, feed_leave):
        one, two = (min(age + elapsed_ms, 1000) for age in self.ago)
        over_ms = elapsed_ms - self.tick_ms
        is_late = over_ms > self.tick_ms // 2
        must = is_late and (over_ms > 100 or two < 1000)
        self.ago = (0, one) if is_late else (one, two)
        if late_latch != int(must):
            return ("SR-31: a tick that is far too late does not latch, or one that is not does",)
        if feed_leave and is_late:
            return ("SR-31: the watchdog is fed for a late tick",)
        if feed_leave != int(stages == "all" and not is_late):
            return ("SR-31: the watchdog is fed though a stage is missing or unwell, or not fed though all is well",)
        return ("",)


class Rate:
    """SR-33: the mean of 50 ticks off by more than 20 % holds the gear down for good."""

    def __init__(self, tick_ms):
        self.due_ms = 50 * tick_ms
        self.sum_ms = 0
        self.ticks = 0
        self.wrong = 0

    def see(self, elapsed_ms, clock_bad):
        self.sum_ms += elapsed_ms
        self.ticks += 1
        if self.ticks == 50:
            if abs(self.sum_ms - self.due_ms) * 5 > self.due_ms:
                self.wrong = 1
            self.sum_ms = self.ticks = 0
        if clock_bad != self.wrong:
            return ("SR-33: a clock that is wrong by more than 20 % is not noticed, or a right one is called wrong",)
        return ("",)


class Power:
    """SR-32: three resets in one power cycle without a minute of health between them lock out."""

    def __init__(self, tick_ms):
        self.tick_ms = tick_ms
        self.resets = 0
        self.well_ms = 0

    def see(self, event, locked_out, count):
        if event == "power":
            self.resets = self.well_ms = 0
        elif event == "reset":
            self.resets = min(self.resets + 1, 3)
            self.well_ms = 0
        elif event == "well":
            self.well_ms = min(self.well_ms + self.tick_ms, 60000 + self.tick_ms)
            if self.well_ms > 60000 and self.resets < 3:
                self.resets = 0
        else:
            self.well_ms = 0
        if locked_out != int(self.resets == 3):
            return ("SR-32: not locked out after the third reset, or locked out before it, or let go",)
        if count != self.resets:
            return ("SR-32: the count to keep is not the number of resets",)
        return ("",)
