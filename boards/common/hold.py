"""A board that cannot run the controller: it holds DOWN, flashes why, and says it once a second.

One long light of two seconds, a group of short flashes, then a pause of two seconds; no alert looks like that. From 3 m away:

    1   no complete set of files: an installation was not finished
    2   a file is damaged
    3   the program stopped

There is no watchdog here and no way back but power or Ctrl-C, which gives the prompt for an installation. A two-coil valve
gets its DOWN pulse again and again, as from the controller.

Costs: nothing else runs.
"""

import time

from .early import TWO_COIL

NO_SET = 1
DAMAGED = 2
STOPPED = 3

STEP_MS = 100
LONG_STEPS = 20
GAP_STEPS = 6
COIL_STEPS = 3
COIL_REPEAT_STEPS = 100
SECOND_STEPS = 10
FLASH_STEPS = 4
PAUSE_STEPS = 20


def lamp_at(step, code):
    """1 where the lamp is on at that step of 100 ms: 2 s, dark 0.6 s, `code` flashes of 0.2 s, 0.2 s apart, and the pause."""
    at = step % cycle_steps(code)
    if at < LONG_STEPS:
        return 1
    at -= LONG_STEPS + GAP_STEPS
    if at < 0:
        return 0
    if at >= code * FLASH_STEPS:
        return 0
    if at % FLASH_STEPS < FLASH_STEPS // 2:
        return 1
    return 0


def cycle_steps(code):
    """Steps until it begins again."""
    return LONG_STEPS + GAP_STEPS + code * FLASH_STEPS + PAUSE_STEPS


class Hold:
    """`valve`, `signals`: the outputs; `kind`: the wiring record's; `code`, `reason`: why."""

    def __init__(self, valve, signals, kind, code, reason):
        self._valve = valve
        self._signals = signals
        self._kind = kind
        self._code = code
        self._reason = reason
        self._step = 0
        signals.off()
        valve.hold_down()

    def step(self):
        """What belongs to one step of 100 ms."""
        if self._kind == TWO_COIL:
            at = self._step % COIL_REPEAT_STEPS
            if at == 0:
                self._valve.coils(0, 1)
            if at == COIL_STEPS:
                self._valve.coils(0, 0)
        self._signals.lamp(lamp_at(self._step, self._code))
        if self._step % SECOND_STEPS == 0:
            print("downlock: held DOWN:", self._reason)
        self._step += 1

    def forever(self):
        """Until power-off, or an interrupt from the console, which leaves the coils off."""
        try:
            while True:
                self.step()
                time.sleep_ms(STEP_MS)
        finally:
            self._valve.coils(0, 0)
            self._signals.off()
