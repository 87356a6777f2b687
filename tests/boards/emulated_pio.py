"""Keeps the PIO state machines of an emulated chip in step while its processor sleeps.

The emulator lets a state machine take at most one step for each instruction of the processor. While the processor
sleeps it jumps to the next event of its clock, and the steps in between are written off. Here the next step is made an
event itself, for as long as a state machine runs; one that waits for a pin or a FIFO costs nothing.
"""

from math import ceil

CYCLE_NS = 8.0
# The emulator counts cycles for its clock dividers in parts of 256.
PARTS = 256


class PioPace:
    """The pace of both PIO blocks of `chip`. `kick()` after anything from outside that can wake a state machine."""

    def __init__(self, chip, clock):
        self._clock = clock
        self._pios = chip.pio
        self._step = clock.create_alarm(self.kick)
        # For each block: its cycles, and the time at which it had that many. While an event is handled a block has not
        # been told yet of the time that led to it, so its own count is only right when the processor looks at it.
        self._known = [(pio.cycle_fp, clock.nanos) for pio in self._pios]
        for base, peripheral in list(chip.peripherals.items()):
            if peripheral in chip.pio:
                chip.peripherals[base] = _Watched(peripheral, self._seen)

    def _seen(self):
        self._known = [(pio.cycle_fp, self._clock.nanos) for pio in self._pios]
        self.kick()

    def kick(self):
        """Plan the next step, if any state machine runs."""
        wait_fp = None
        for pio, (cycle_fp, at_ns) in zip(self._pios, self._known, strict=True):
            if pio.stopped:
                continue
            now_fp = cycle_fp + (self._clock.nanos - at_ns) * PARTS / CYCLE_NS
            for machine in pio.machines:
                if machine.enabled and not machine.waiting:
                    due_fp = machine.next_due_fp - now_fp
                    # One that is due takes its step right after this.
                    ahead_fp = due_fp if due_fp > 0 else due_fp + machine.div_fp
                    if wait_fp is None or ahead_fp < wait_fp:
                        wait_fp = ahead_fp
        if wait_fp is not None:
            self._step.schedule(max(1, ceil(wait_fp / PARTS)) * CYCLE_NS)


class _Watched:
    """A PIO block as the bus sees it: every access can start a state machine or wake one."""

    def __init__(self, pio, seen):
        self._pio = pio
        self._seen = seen

    def read_uint32(self, offset):
        """The register at `offset`."""
        value = self._pio.read_uint32(offset)
        self._seen()
        return value

    def write_uint32(self, offset, value):
        """Write the register at `offset`."""
        self._pio.write_uint32(offset, value)
        self._seen()

    def write_uint32_atomic(self, offset, value, kind):
        """Write, set, clear or flip bits of the register at `offset`."""
        self._pio.write_uint32_atomic(offset, value, kind)
        self._seen()

    def __getattr__(self, name):
        return getattr(self._pio, name)
