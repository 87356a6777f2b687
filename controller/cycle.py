"""The loop around a tick: sample, tick, apply, feed. A board is five methods; this file is all that calls them.

    sample(inputs)   fill the raw values; the boot fields before the first tick
    apply(outputs)   drive the hardware
    now_ms()         board clock, 0 .. 2**30 - 1, wraps
    feed()           feed the watchdog
    make_safe()      de-energise everything, whatever the state

The only try in the controller is here: whatever is raised makes the outputs safe, and there is no further tick and no
feed until the watchdog resets the board (SR-31).
"""

from .frames import Inputs, Outputs
from .tick import Controller


class Cycle:
    """`run_once` at every tick; `dead` is 1 after anything was raised, for good."""

    __slots__ = ("inputs", "outputs", "controller", "dead", "_board")

    def __init__(self, board):
        self._board = board
        self.dead = 0
        self.inputs = Inputs()
        self.outputs = Outputs()
        self.controller = None
        try:
            board.sample(self.inputs)
            self.controller = Controller(self.inputs)
        except Exception:
            self._stop()

    def run_once(self):
        """One tick."""
        if self.dead == 1:
            return
        try:
            self._board.sample(self.inputs)
            self.inputs.now_ms = self._board.now_ms()
            self.controller.tick(self.inputs, self.outputs)
            self._board.apply(self.outputs)
            if self.outputs.feed == 1:
                self._board.feed()
        except Exception:
            self._stop()

    def _stop(self):
        self.dead = 1
        self._board.make_safe()
