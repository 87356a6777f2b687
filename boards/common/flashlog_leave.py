"""When erasing the journal's flash may stall the loop: in the first seconds after power-on (SR-35, SR-31).

An erase stalls the processor for 45 ms, up to 400 ms (data sheets of the usual chips, from memory), so that the next
tick is late. What SR-31 sees of it:

    tick up to half a tick late            nothing
    later, up to 100 ms                    a record, the advisory "tick late", no leave to feed; the third one within a
                                           second latches DOWN until the sequence of SR-01 has been gone through again
    later than that                        latches at once

None of that can raise or keep the gear, but in flight it would take a retraction from the pilot, and it holds back the
watchdog. So leave is given only where nothing is taken from anybody:

    the command has been DOWN since        the first UP ends it until the next power-on. Until SR-01's sequence is over
    power-on                               the gear cannot be raised anyway, and each stall but a few short ones makes it
                                           begin anew
    the restart count is 0                 after a reset the aircraft may be flying, and what caused the reset may be the
                                           flash: an erase that outlasts the watchdog happens once
    no coil is energised                   a stall would make its pulse longer than it may be (SR-18)
    this tick was fed                      two stalls are never without a tick on time between them. From one feed to the
                                           next it takes at most a program, an erase and two ticks: 3 + 400 + 2 * 20 ms
                                           at 20 ms, 503 ms at the longest tick of 50 ms; the watchdog is 500 ms, so
                                           that there is no leave at ticks beyond 40 ms (3 + 400 + 2 * 40 = 483 ms)
    within 5 s of the first tick           the stated bound. The first outputs are out before, since leave is asked for
                                           after a tick

A gear that comes down by itself at power-on is no stroke that the controller knows of; nothing in it waits for a tick.

In 5 s about 65 sectors of 45 ms are erased, or 12 of 400 ms (ticks of 20 ms; tests/boards/test_flashlog_leave.py). A
flight of ten minutes with the gear up takes 24, a new store a few power-ons. Sectors are erased only up to what
flashlog.ahead_for says, so that mostly the window is not used up. The price, which the pilot sees: after a power-on that
had to erase, waking ends that much later, "gear held down" shows until then, and "tick late" for as long as alerts stay
(SR-24). A supply that fails in flight for so long that retained memory is lost looks like a power-on: DOWN is out first,
and the way back to UP takes up to 5.4 s longer.

Rejected: erasing before the first tick (a latching valve would wait for its DOWN pulse), erasing without ticks
afterwards (the watchdog would have to be fed without leave, or started late), erasing whenever the gear is down at rest
(without a ground switch nobody knows rest from an approach).

Costs: a dozen comparisons a tick, 100 bytes. Time on a board: not measured.
"""

from controller.codes import DOWN
from controller.health import CLOCK_MASK

WINDOW_MS = 5000
LONGEST_TICK_MS = 40


class EraseLeave:
    """Ask `step` after each tick, with what the tick put out and the board's clock; hand its answer to Flashlog.step."""

    __slots__ = ("closed", "_started", "_start_ms")

    def __init__(self, tick_ms):
        self.closed = 0
        if tick_ms > LONGEST_TICK_MS:
            self.closed = 1
        self._started = 0
        self._start_ms = 0

    def step(self, outputs, now_ms):
        """1 when an erase may begin now, else 0."""
        if self.closed == 1:
            return 0
        if self._started == 0:
            self._started = 1
            self._start_ms = now_ms
        self._close(outputs, now_ms)
        if self.closed == 1:
            return 0
        if outputs.coil_up + outputs.coil_down != 0:
            return 0
        return outputs.feed

    def _close(self, outputs, now_ms):
        if ((now_ms - self._start_ms) & CLOCK_MASK) >= WINDOW_MS:
            self.closed = 1
        if outputs.gear_command != DOWN:
            self.closed = 1
        if outputs.retained_count != 0:
            self.closed = 1
