"""The loop on a board: a tick when it is due, then what is not the controller's: journal and status line.

A tick that comes too late is not caught up with: the next one is due a tick later, and the controller sees how late it was
(SR-31). Nothing here decides anything about the gear.

    n_ticks, worst_us, total_us    ticks, and what the longest and all of them took from sampling to feeding
    rest_us                        the longest step of journal and status line

Costs: see python -m tests.boards.figures. A step allocates nothing.
"""

import time

from .flashlog import Flashlog
from .flashlog_device import BlockFlash
from .flashlog_format import fingerprint_of
from .flashlog_leave import EraseLeave
from .flashlog_samples import Sampler
from .version import VERSION

# Ticks that are left out of the figures: names are looked up for the first time, the journal opens.
WARM_UP = 10
# total_us stops there: it stays a small integer.
LAST_US = 0x20000000


class Loop:
    """`board` is a board.Board, `cycle` a controller.cycle.Cycle that is not dead, `parts` a board.Parts."""

    __slots__ = (
        "n_ticks",
        "worst_us",
        "total_us",
        "rest_us",
        "log",
        "tick_ms",
        "_cycle",
        "_status",
        "_sampler",
        "_leave",
        "_journal",
        "_strokes",
        "_ticks_us",
        "_ticks_add",
        "_ticks_diff",
    )

    def __init__(self, board, cycle, parts):
        controller = cycle.controller
        self.tick_ms = controller.settings.tick_ms
        self.n_ticks = 0
        self.worst_us = 0
        self.total_us = 0
        self.rest_us = 0
        self.log = None
        self._cycle = cycle
        self._status = parts.status
        self._sampler = Sampler(self.tick_ms)
        self._leave = EraseLeave(self.tick_ms)
        self._journal = controller.scribe.journal
        self._strokes = controller.strokes
        self._ticks_us = time.ticks_us
        self._ticks_add = time.ticks_add
        self._ticks_diff = time.ticks_diff

    def open_log(self, flash):
        """The journal on that block device, None for none; before the first tick, since making it takes a while."""
        if flash is None:
            print("downlock: no journal: this firmware has no flash for it")
            return
        cycle = self._cycle
        fingerprint = fingerprint_of(cycle.inputs, cycle.controller.settings_state)
        self.log = Flashlog(BlockFlash(flash), self._journal, fingerprint, VERSION, self.tick_ms)

    def step(self):
        """One tick and what follows it."""
        began = self._ticks_us()
        cycle = self._cycle
        cycle.run_once()
        ticked = self._ticks_us()
        self._note(self._ticks_diff(ticked, began))
        outputs = cycle.outputs
        log = self.log
        if log is not None:
            in_stroke = self._strokes.in_progress
            self._sampler.step(self._journal, outputs, in_stroke, log.thin)
            log.step(outputs.gear_command, in_stroke, self._leave.step(outputs, cycle.inputs.now_ms))
        if self._status is not None:
            self._status.step(outputs, self.tick_ms)
        rest_us = self._ticks_diff(self._ticks_us(), ticked)
        if rest_us > self.rest_us:
            if self.n_ticks > WARM_UP:
                self.rest_us = rest_us

    def _note(self, took_us):
        self.n_ticks += 1
        if self.n_ticks <= WARM_UP:
            return
        if took_us > self.worst_us:
            self.worst_us = took_us
        if self.total_us < LAST_US:
            self.total_us += took_us

    def mean_us(self):
        """Of the ticks that count; not in the loop."""
        n = self.n_ticks - WARM_UP
        if n <= 0:
            return 0
        return self.total_us // n

    def run(self):
        """Tick until the controller stops. An interrupt from the console comes out of here."""
        period_us = self.tick_ms * 1000
        sleep_us = time.sleep_us
        due = self._ticks_us()
        while self._cycle.dead == 0:
            self.step()
            due = self._ticks_add(due, period_us)
            wait_us = self._ticks_diff(due, self._ticks_us())
            if wait_us <= 0:
                due = self._ticks_us()
                continue
            sleep_us(wait_us)
