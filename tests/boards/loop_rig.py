"""Under MicroPython and CPython: the whole of a board's loop on stand-ins for its pins; does a step allocate (SR-34)?

    micropython loop_rig.py ROOT

Prints a line a finding: what, which heap, bytes or -1 for MemoryError, ticks, records saved, gear commands seen.
"""

import sys

if __name__ == "__main__":
    sys.path.append(sys.argv[1])

import gc
import time

try:
    import micropython
except ImportError:
    micropython = None

from boards.common.adc import Oversampled
from boards.common.board import Board, Parts
from boards.common.contacts import Contacts
from boards.common.loop import Loop
from boards.common.pulses import Pulses
from boards.common.signals import Signals
from boards.common.statusline import StatusLine
from boards.common.valve import ValveOutputs
from controller.codes import VALVE_SPRING
from controller.cycle import Cycle
from controller.packing import pack
from controller.settings import Settings
from tests.boards.fake_pins import FakeCapture, FakeConverter, FakePin, FakePwm, FakeRetained, RamBlocks

TICKS = 1500
SECTORS = 8


class Boot:
    """The boot fields of a board with default settings and a spring-return valve."""

    def __init__(self):
        self.settings_a = self.settings_b = pack(Settings())
        self.valve_kind = VALVE_SPRING
        self.servo_down_us = self.servo_up_us = 0
        self.retained_count = self.retained_check = -1


class Port:
    """A serial port that counts bytes."""

    def __init__(self):
        self.n_bytes = 0

    def write(self, line):
        """Count."""
        self.n_bytes += len(line)


class Clock:
    """Stands for `time` of MicroPython: moved by the test, and by 3 ms between two looks of the loop at it."""

    def __init__(self):
        self.now_us = 0
        self.slept = []

    def ticks_us(self):
        """Microseconds, wrapping."""
        return self.now_us & 0x3FFFFFFF

    def ticks_ms(self):
        """Milliseconds, wrapping."""
        return (self.now_us // 1000) & 0x3FFFFFFF

    def ticks_add(self, a, b):
        """The clock's sum."""
        return (a + b) & 0x3FFFFFFF

    def ticks_diff(self, a, b):
        """The clock's difference."""
        return ((a - b + 0x20000000) & 0x3FFFFFFF) - 0x20000000

    def sleep_us(self, n):
        """Move on."""
        self.slept.append(n)
        self.now_us += n


def make_parts():
    """Parts of stand-ins: tank at about 7 bar by the default settings, supply 6.6 V, idle sticks."""
    return Parts(
        capture=FakeCapture(Pulses()),
        sensors=(Oversampled(FakeConverter((2635, 2637))), Oversampled(FakeConverter((0,)))),
        rail=Oversampled(FakeConverter((3102,))),
        supply=Oversampled(FakeConverter((2048,))),
        contacts=Contacts(FakePin(1), FakePin(1), [FakePin(), FakePin(), FakePin(), FakePin()]),
        valve=ValveOutputs(FakePin(), FakePin(), FakePwm(), 0),
        signals=Signals(FakePin(), FakePin(), FakePwm()),
        retained=FakeRetained(),
        status=StatusLine(Port()),
        flash=RamBlocks(SECTORS, 0xFF),
    )


class Rig:
    """A board in its loop. `tick(gear_us)` is one of it, 20 ms after the last."""

    def __init__(self, clock, parts=None):
        self.clock = clock
        self.parts = parts or make_parts()
        self.board = Board(self.parts, Boot())
        self.board._ticks_ms = clock.ticks_ms
        self.cycle = Cycle(self.board)
        self.loop = Loop(self.board, self.cycle, self.parts)
        self.loop._ticks_us = clock.ticks_us
        self.loop._ticks_add = clock.ticks_add
        self.loop._ticks_diff = clock.ticks_diff

    def pulses(self, gear_us):
        """A frame has come."""
        pulses = self.parts.capture.pulses
        pulses.end(0, gear_us)
        for channel in (1, 2, 3):
            pulses.end(channel, 1500 if channel == 1 else 1100)

    def tick(self, gear_us):
        """A frame and a tick."""
        self.pulses(gear_us)
        self.loop.step()
        self.clock.now_us += 20000


def play(rig, leak):
    """Waking, then up and down every 4 s; returns how often the command changed."""
    changes = 0
    command = 0
    kept = None
    for number in range(TICKS):
        gear_us = 1100 if number < 200 or number // 200 % 2 == 0 else 1900
        rig.tick(gear_us)
        if rig.cycle.outputs.gear_command != command:
            command = rig.cycle.outputs.gear_command
            changes += 1
        if leak and number % 100 == 99:
            kept = (number, kept)
            kept = None
    return changes


def measure(leak, locked):
    """(bytes or -1, ticks, records saved, changes of the command)."""
    clock = Clock()
    rig = Rig(clock)
    rig.loop.open_log(rig.parts.flash)
    for _ in range(20):
        rig.tick(1100)
    gc.collect()
    gc.disable()
    changes = -1
    grown = 0
    before = gc.mem_alloc() if micropython else 0
    try:
        if locked:
            micropython.heap_lock()
        changes = play(rig, leak)
    except MemoryError:
        grown = -1
    finally:
        if locked:
            micropython.heap_unlock()
    if micropython and grown == 0:
        grown = gc.mem_alloc() - before
    gc.enable()
    return grown, rig.loop.n_ticks, rig.loop.log.saved, changes, rig.cycle.dead


def main():
    """All findings."""
    for name, leak in (("loop", False), ("leaky", True)):
        for locked in (False, True):
            if micropython or not locked:
                print(name, "locked" if locked else "free", *measure(leak, locked))


if __name__ == "__main__":
    if not hasattr(time, "ticks_us"):
        time.ticks_us = time.ticks_ms = time.ticks_add = time.ticks_diff = None
    main()
