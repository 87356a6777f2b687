"""Which alert shows, and its light and tone (SR-20, SR-24, SR-25).

One table, in the order of the alert codes, the most urgent first. A row is (severity, ending, lamp pattern, tone Hz).
Severities are those of 14 CFR / CS 25.1322: warning (act now), caution (act soon), advisory (know).

Ending: AT_ONCE alerts end with their condition (a lock, a switch, a refusal); LEVEL alerts, which follow a measured
value or a signal that can come and go, end when the condition has been absent for `alert_clear`, so that none rises
more than three times a minute.

A lamp pattern is 16 steps of an eighth of a second, first step in the lowest bit. No pattern has more than three
flashes in any second. The tone sounds while the lamp is lit.
"""

from .codes import ADVISORY, ALERT_NONE, CAUTION, N_ALERTS, SEVERITY_NONE, WARNING

AT_ONCE = 0
LEVEL = 1

STEP_MS = 125
STEPS = 16
# Not more than three flashes in this time, however alerts follow each other (SR-20).
FLASH_SPAN_MS = 1000

# Pattern names say what the eye sees in two seconds.
DARK = 0b0000000000000000
QUICK = 0b0001001100010011
LONG_PAIR = 0b0011001100110011
TRIPLE = 0b0000000000101010 << 1
PAIR = 0b0000000000001001
SLOW = 0b0000000011111111
BLINK = 0b0000000000000001

# fmt: off
TABLE = (
    (SEVERITY_NONE, AT_ONCE, DARK,         0),  # none
    (WARNING,       AT_ONCE, QUICK,     2400),  # gear forced down
    (WARNING,       AT_ONCE, LONG_PAIR, 2000),  # not locked
    (WARNING,       AT_ONCE, LONG_PAIR, 2800),  # gear not down
    (WARNING,       AT_ONCE, LONG_PAIR, 1600),  # brakes on
    (WARNING,       AT_ONCE, QUICK,     2400),  # locked out
    (WARNING,       AT_ONCE, QUICK,     2400),  # wiring record invalid
    (CAUTION,       LEVEL,   TRIPLE,    1200),  # air low
    (CAUTION,       AT_ONCE, PAIR,      1000),  # retract refused
    (CAUTION,       LEVEL,   TRIPLE,     800),  # pressure unknown
    (CAUTION,       LEVEL,   TRIPLE,     800),  # link lost
    (CAUTION,       LEVEL,   TRIPLE,     800),  # supply low
    (CAUTION,       AT_ONCE, TRIPLE,     800),  # no valid settings
    (CAUTION,       AT_ONCE, TRIPLE,     800),  # settings copies differ
    (CAUTION,       AT_ONCE, PAIR,       800),  # one settings copy bad
    (CAUTION,       LEVEL,   PAIR,       800),  # sensors disagree
    (CAUTION,       LEVEL,   PAIR,       800),  # one sensor failed
    (CAUTION,       AT_ONCE, SLOW,       800),  # gear held down
    (CAUTION,       LEVEL,   PAIR,      1200),  # leak
    (ADVISORY,      LEVEL,   BLINK,        0),  # stroke used too little air
    (ADVISORY,      LEVEL,   BLINK,        0),  # lock switch not trusted
    (ADVISORY,      LEVEL,   BLINK,        0),  # tank filling
    (ADVISORY,      LEVEL,   BLINK,        0),  # no throttle signal
    (ADVISORY,      LEVEL,   BLINK,        0),  # no brake signal
    (ADVISORY,      LEVEL,   BLINK,        0),  # no light signal
    (ADVISORY,      LEVEL,   BLINK,        0),  # restarted
    (ADVISORY,      LEVEL,   BLINK,        0),  # tick late
)
# fmt: on
SEVERITY = 0
ENDING = 1
PATTERN = 2
TONE_HZ = 3


class Alerts:
    """Set `wanted[a]` to 1 or 0 for every alert in every tick, then call `step`."""

    __slots__ = (
        "wanted",
        "active",
        "shown",
        "_absent",
        "_acked",
        "_clear_need",
        "_tick_ms",
        "_time_ms",
        "_button",
        "_button_was",
        "_lamp",
        "_flash_one",
        "_flash_two",
        "_flash_three",
    )

    def __init__(self, limits):
        self._clear_need = limits.alert_clear_ticks
        self._tick_ms = limits.tick_ms
        self.wanted = [0] * N_ALERTS
        self.active = [0] * N_ALERTS
        self._absent = [0] * N_ALERTS
        self._acked = [0] * N_ALERTS
        self.shown = ALERT_NONE
        self._time_ms = 0
        self._button = 0
        self._button_was = 0
        self._lamp = 0
        self._flash_one = FLASH_SPAN_MS
        self._flash_two = FLASH_SPAN_MS
        self._flash_three = FLASH_SPAN_MS

    def step(self, outputs, button):
        """One tick: conditions in `wanted`, light, tone and the alert that shows into `outputs`."""
        shown = ALERT_NONE
        wanted = self.wanted
        active = self.active
        told = outputs.active
        for alert in range(N_ALERTS - 1, 0, -1):
            # Nearly all are neither wanted nor active at nearly every tick, and then there is nothing to do.
            if wanted[alert] | active[alert] == 1:
                self._step_one(alert)
                if active[alert] == 1:
                    shown = alert
            told[alert] = active[alert]
        if shown != self.shown:
            self._time_ms = 0
        self.shown = shown
        self._acknowledge(button)
        self._show(outputs)

    def _step_one(self, alert):
        # One that is wanted or active, or both.
        if self.wanted[alert] == 1:
            self.active[alert] = 1
            self._absent[alert] = 0
            return
        if TABLE[alert][ENDING] == LEVEL:
            self._absent[alert] += 1
            if self._absent[alert] < self._clear_need:
                return
        self.active[alert] = 0
        self._absent[alert] = 0
        # An acknowledgement does not outlive its alert (SR-23).
        self._acked[alert] = 0

    def _acknowledge(self, button):
        # Two ticks of the button, so that a spike on its wire silences nothing.
        if button == 1:
            if self._button_was == 1:
                if self._button == 0:
                    self._button = 1
                    self._acked[self.shown] = 1
        else:
            self._button = 0
        self._button_was = button

    def _show(self, outputs):
        row = TABLE[self.shown]
        outputs.alert = self.shown
        outputs.severity = row[SEVERITY]
        outputs.lamp = self._allowed((row[PATTERN] >> (self._time_ms // STEP_MS)) & 1)
        outputs.tone_hz = 0
        if outputs.lamp == 1:
            if self._acked[self.shown] == 0:
                outputs.tone_hz = row[TONE_HZ]
        self._time_ms += self._tick_ms
        if self._time_ms >= STEP_MS * STEPS:
            self._time_ms -= STEP_MS * STEPS

    def _allowed(self, lit):
        """`lit`, or 0 where a fourth flash would begin within a second."""
        self._flash_one = self._aged(self._flash_one)
        self._flash_two = self._aged(self._flash_two)
        self._flash_three = self._aged(self._flash_three)
        if lit == 1:
            if self._lamp == 0:
                if self._flash_three < FLASH_SPAN_MS:
                    return 0
                self._flash_three = self._flash_two
                self._flash_two = self._flash_one
                self._flash_one = 0
        self._lamp = lit
        return lit

    def _aged(self, age_ms):
        age_ms += self._tick_ms
        if age_ms > FLASH_SPAN_MS:
            return FLASH_SPAN_MS
        return age_ms
