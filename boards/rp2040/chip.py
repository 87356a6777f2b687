"""An RP2040: what boards/common gets from this chip.

    NAME, PINS
    capture()      pulses by programmable I/O
    Converter      an analogue input
    Retained       the watchdog's scratch registers 0 to 2: kept through every reset but power-on (datasheet 4.7, from
                   memory; on the emulated chip: tests/boards)
    flash()        the journal's blocks
    cause()        why it has started
    restart()

Costs: at boot; a conversion: see python -m tests.boards.figures.
"""

import rp2
from machine import ADC, WDT_RESET, Pin, mem32, reset, reset_cause

from . import pins
from .capture import PioCapture

NAME = "rp2040"
PINS = pins
_SCRATCH = 0x4005800C
# The journal's place in the flash behind the firmware; the file system ends before it (boot.py).
_FLASH_START = 100 * 4096
_FLASH_BYTES = 252 * 4096


class Retained:
    """`count` and `check` are SR-32's two words, `service` the wish to start without watchdog (start.py)."""

    def __init__(self):
        self.count = _small(mem32[_SCRATCH])
        self.check = _small(mem32[_SCRATCH + 4])
        self.service = _small(mem32[_SCRATCH + 8])

    def keep(self, count, check):
        """Hold these through a reset."""
        mem32[_SCRATCH] = count
        mem32[_SCRATCH + 4] = check

    def ask_service(self, word):
        """Hold the service word through a reset, 0 to forget it."""
        mem32[_SCRATCH + 8] = word


def _small(word):
    """The word, or -1 for what no program here has written."""
    if word > 0xFFFF:
        return -1
    return word


class Converter:
    """One of GPIO 26 to 29."""

    __slots__ = ("read",)

    def __init__(self, number):
        # The chip's own function: one of ours around it would cost more than the conversion.
        self.read = ADC(Pin(number)).read_u16

    def code(self, mean):
        """Nearest 12-bit code of a mean of 16-bit readings: the chip's 12 bits come with their highest repeated below."""
        return (mean - (mean >> 12) + 8) >> 4


def capture(numbers, pulses):
    """What measures the pulses."""
    return PioCapture(numbers, pulses)


def flash():
    """The journal's block device."""
    return rp2.Flash(start=_FLASH_START, len=_FLASH_BYTES)


def cause():
    """Why the chip has started, in words. A reset from its own program is the watchdog's too."""
    if reset_cause() == WDT_RESET:
        return "watchdog or program"
    return "power-on or reset pin"


def restart():
    """Reset the chip."""
    reset()
