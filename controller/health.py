"""Did every stage run, in order, and in good health; was the tick on time; how often has the board restarted?

feed_leave   1 if the watchdog may be fed for this tick (SR-31)
late_latch   1 in a tick that came far too late, or is the third late one in a second (SR-31)
clock_bad    1 once the mean period of 50 ticks was off by more than 20 % (SR-33)
locked_out   1 after three restarts without a minute of healthy running between them (SR-32)
"""

CLOCK_MASK = 0x3FFFFFFF
LATE_LATCH_MS = 100
LATE_SPAN_MS = 1000
MEAN_TICKS = 50
RESTART_LIMIT = 3
HEALTHY_MS = 60000
CHECK_WORD = 0x2D5B

STAGE_SECOND_PATH = 0
STAGE_CHANNELS = 1
STAGE_PRESSURE = 2
STAGE_SLOW = 3
STAGE_FACTS = 4
STAGE_GEAR = 5
STAGE_OUTPUTS = 6
STAGE_ALERTS = 7
N_STAGES = 8


def check_word(count):
    """The word that must stand beside a retained count; the two together are lost when power is removed."""
    return CHECK_WORD ^ count


class Restarts:
    """SR-32. The count of restarts in this power cycle, as retained memory held it, and what to hold from now on."""

    __slots__ = ("count", "locked_out", "_healthy_ms")

    def __init__(self, retained_count, retained_check):
        self.count = 0
        if self._is_kept(retained_count, retained_check) == 1:
            self.count = retained_count + 1
        self.locked_out = 0
        if self.count >= RESTART_LIMIT:
            self.count = RESTART_LIMIT
            self.locked_out = 1
        self._healthy_ms = 0

    def _is_kept(self, count, check):
        if count < 0:
            return 0
        if count > RESTART_LIMIT:
            return 0
        if check != check_word(count):
            return 0
        return 1

    def step(self, healthy, tick_ms):
        """One tick: a minute of healthy running forgives the restarts so far, but not a lock-out."""
        if self.locked_out == 1:
            return
        if healthy == 0:
            self._healthy_ms = 0
            return
        if self._healthy_ms < HEALTHY_MS:
            self._healthy_ms += tick_ms
            return
        self.count = 0


class Health:
    """Call `begin` first in a tick, `mark` after each stage, `finish` last."""

    __slots__ = (
        "feed_leave",
        "late_latch",
        "clock_bad",
        "late",
        "late_ms",
        "period_sum_ms",
        "_tick_ms",
        "_last_ms",
        "_started",
        "_next",
        "_sick",
        "_since_one",
        "_since_two",
        "_sum_ms",
        "_n",
    )

    def __init__(self, tick_ms):
        self._tick_ms = tick_ms
        self._last_ms = 0
        self._started = 0
        self._next = 0
        self._sick = 0
        self._since_one = LATE_SPAN_MS
        self._since_two = LATE_SPAN_MS
        self._sum_ms = 0
        self._n = 0
        self.feed_leave = 0
        self.late_latch = 0
        self.clock_bad = 0
        self.late = 0
        self.late_ms = 0
        self.period_sum_ms = 0

    def begin(self, now_ms):
        """The one place that compares clocks; the mask makes it right across the wrap at 2**30 ms."""
        self._next = 0
        self._sick = 0
        self.late = 0
        self.late_latch = 0
        elapsed_ms = (now_ms - self._last_ms) & CLOCK_MASK
        self._last_ms = now_ms
        if self._started == 0:
            self._started = 1
            return
        self._judge_late(elapsed_ms)
        if self.late == 0:
            self._judge_rate(elapsed_ms)

    def _judge_late(self, elapsed_ms):
        self._since_one = self._aged(self._since_one, elapsed_ms)
        self._since_two = self._aged(self._since_two, elapsed_ms)
        late_ms = elapsed_ms - self._tick_ms
        # Half a tick is the jitter of a board that also answers interrupts.
        if late_ms <= self._tick_ms // 2:
            return
        self.late = 1
        self.late_ms = late_ms
        if late_ms > LATE_LATCH_MS:
            self.late_latch = 1
        if self._since_two < LATE_SPAN_MS:
            self.late_latch = 1
        self._since_two = self._since_one
        self._since_one = 0

    def _aged(self, age_ms, elapsed_ms):
        if elapsed_ms > LATE_SPAN_MS:
            return LATE_SPAN_MS
        age_ms += elapsed_ms
        if age_ms > LATE_SPAN_MS:
            return LATE_SPAN_MS
        return age_ms

    def _judge_rate(self, elapsed_ms):
        self._sum_ms += elapsed_ms
        self._n += 1
        if self._n < MEAN_TICKS:
            return
        due_ms = MEAN_TICKS * self._tick_ms
        self.period_sum_ms = self._sum_ms
        if self._sum_ms * 5 > due_ms * 6:
            self.clock_bad = 1
        if self._sum_ms * 5 < due_ms * 4:
            self.clock_bad = 1
        self._sum_ms = 0
        self._n = 0

    def mark(self, stage, state, highest):
        """A stage has run; what it left behind has to be within 0 .. `highest`."""
        if stage != self._next:
            self._sick = 1
        if state < 0:
            self._sick = 1
        if state > highest:
            self._sick = 1
        self._next += 1

    def finish(self):
        self.feed_leave = 0
        if self._next != N_STAGES:
            return
        if self._sick == 1:
            return
        if self.late == 1:
            return
        self.feed_leave = 1
