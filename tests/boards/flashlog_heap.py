"""Under MicroPython: does a step of the journal in flash allocate (SR-35), and would the measurement see it if it did?

    micropython flashlog_heap.py ROOT

A controller, the sampler, the leave to erase and the log run together on a ring of flash in RAM, with the collector
off, and once more with the heap locked. The ring begins full of old sectors, so that it opens, erases, writes and moves
on from sector to sector. Prints one line a finding: what, which heap, bytes or -1 for MemoryError, erases, records
saved, CRC-32 of the flash.
"""

import sys

sys.path.append(sys.argv[1])

import gc  # noqa: E402

# Also run by CPython, which gives the CRC to compare with.
try:
    import micropython
except ImportError:
    micropython = None

from binascii import crc32  # noqa: E402

from boards.common.flashlog import Flashlog  # noqa: E402
from boards.common.flashlog_device import BlockFlash  # noqa: E402
from boards.common.flashlog_leave import EraseLeave  # noqa: E402
from boards.common.flashlog_samples import Sampler  # noqa: E402
from controller.codes import UP, WAKING  # noqa: E402
from controller.frames import Outputs  # noqa: E402
from controller.journal import KIND_ALERT, Journal  # noqa: E402
from tests.boards.fake_pins import RamBlocks  # noqa: E402

SECTORS = 8
STEPS = 12000
TICK_MS = 20


class Leaky(Flashlog):
    """A log that allocates in one step of a hundred, as a careless line would."""

    def __init__(self, *arguments):
        super().__init__(*arguments)
        self.number = 0
        self.kept = None

    def step(self, gear_command, in_stroke, may_erase):
        """One step, and now and then a pair."""
        super().step(gear_command, in_stroke, may_erase)
        self.number += 1
        if self.number % 100 == 0:
            self.kept = (self.number, self.number)


def play(log, journal, outputs, sampler, leave, steps):
    """Ticks as a board has them: waking for 3 s, then up and down."""
    for number in range(steps):
        outputs.tick += 1
        outputs.feed = 1
        outputs.mode = WAKING if number < 150 else 2
        outputs.gear_command = 0 if number < 150 else number // 700 % 2
        outputs.pressure_mbar = 5000 + number % 1500
        if number % 37 == 0:
            journal.write(KIND_ALERT, number % 27, number, outputs)
        sampler.step(journal, outputs, number // 350 % 2, log.thin)
        may_erase = leave.step(outputs, number * TICK_MS)
        log.step(outputs.gear_command, 0, may_erase)
        if outputs.gear_command == UP and number % 900 == 0:
            # More than RAM holds.
            for _ in range(300):
                journal.write(KIND_ALERT, 1, number, outputs)


def made(make, blocks):
    """(log, journal, outputs, sampler, leave) of one more boot."""
    journal = Journal()
    log = make(BlockFlash(blocks), journal, b"\x01\x02\x03\x04", b"\x00\x01\x00", TICK_MS)
    return log, journal, Outputs(), Sampler(TICK_MS), EraseLeave(TICK_MS)


def measure(make, locked):
    """(bytes allocated or -1, erases, records saved, CRC-32 of the flash) of the second of two boots."""
    blocks = RamBlocks(SECTORS, 0)
    play(*made(make, blocks), STEPS)
    log, journal, outputs, sampler, leave = made(make, blocks)
    erases = blocks.erases
    gc.collect()
    gc.disable()
    grown = 0
    before = gc.mem_alloc() if micropython else 0
    try:
        if locked:
            micropython.heap_lock()
        play(log, journal, outputs, sampler, leave, STEPS)
    except MemoryError:
        grown = -1
    finally:
        if locked:
            micropython.heap_unlock()
    if micropython and grown == 0:
        grown = gc.mem_alloc() - before
    gc.enable()
    return grown, blocks.erases - erases, log.saved, crc32(blocks.data), log.lost, log.failures


def main():
    """All findings."""
    for name, make in (("log", Flashlog), ("leaky", Leaky)):
        for locked in (False, True):
            if micropython or not locked:
                found = measure(make, locked)
                print(name, "locked" if locked else "free", *found)


main()
