"""Observers of SR-04: a fall that only a torn line explains, outside the stroke and in it."""

STANDARD_MBAR_ABS = 1013


class Falls:
    """Outside a stroke (a). Bounds that any smoothing between the samples has to keep, not the smoothing itself."""

    def __init__(self, settings, start_mbar, settle_ticks, quick_ticks):
        self.s = settings
        self.settle_ticks = settle_ticks
        self.quick_ticks = quick_ticks
        self.seen = (start_mbar,)
        self.braked_for = settle_ticks
        self.quick_for = 0

    def see(self, mbar, quick, braked, burst_now):
        """`quick`: this tick's sample fell as fast as only a torn line lets it."""
        s = self.s
        if mbar is not None:
            self.seen = (*self.seen[-31:], mbar)
        self.braked_for = 0 if braked else min(self.braked_for + 1, self.settle_ticks)
        self.quick_for = self.quick_for + 1 if quick and not braked and self.braked_for == self.settle_ticks else 0
        if self.quick_for >= self.quick_ticks and not burst_now:
            return ("SR-04: a torn line is not noticed",)
        if not burst_now:
            return ("",)
        if self.braked_for < self.settle_ticks:
            return ("SR-04: a burst is called within 0.6 s of the brake",)
        fall_mbar = max(self.seen) - min(self.seen)
        rate_mbar_s = fall_mbar * 1000 // s.burst_window_ms
        if rate_mbar_s < s.burst_floor_mbar_s:
            return ("SR-04: a burst is called on a fall that is too slow",)
        if min(self.seen) - rate_mbar_s * (s.extend_ms + s.burst_lead_ms) // 1000 >= s.lock_min_mbar:
            return ("SR-04: a burst is called with air enough",)
        return ("",)


class StrokeLoss:
    """In the up stroke (b): beyond 1.3 times the adiabatic cost + 50 mbar + one brake application, on 3 samples."""

    def __init__(self, settings, start_mbar, stroke_ticks):
        s = settings
        filled = (s.retract_swept_ul + s.retract_dead_ul) / s.tank_ml / 1000
        dead = s.retract_dead_ul / s.tank_ml / 1000
        cost_mbar = 1.4 * ((start_mbar + STANDARD_MBAR_ABS) * filled - STANDARD_MBAR_ABS * dead)
        self.most_mbar = 1.3 * cost_mbar + 50 + s.brake_mbar
        self.start_mbar = start_mbar
        self.stroke_ticks = stroke_ticks
        self.ticks = 0
        self.beyond = 0

    def see(self, mbar, loss_now):
        # Steps of the letters are far larger than what integers round away.
        if self.ticks >= self.stroke_ticks or (mbar is not None and self.start_mbar - mbar <= self.most_mbar):
            self.beyond = 0
        elif mbar is not None:
            self.beyond = min(self.beyond + 1, 3)
        self.ticks = min(self.ticks + 1, self.stroke_ticks)
        must = self.beyond == 3 and mbar is not None
        if loss_now != int(must):
            return ("SR-04: air lost in the stroke is not noticed on 3 samples, or is seen without them",)
        return ("",)
