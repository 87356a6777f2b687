"""An ESP32: what boards/common gets from this chip. From memory of its documents; run on no board yet.

    NAME, PINS
    capture()      pulses by pin interrupts, which this port runs between two steps of the interpreter
    Converter      an analogue input. The chip's converter is bent at both ends: its calibrated reading is used, and
                   dividers keep inputs below 2.45 V (WIRING.md). Codes are still those of 3.3 V, as settings expect them
    Retained       six bytes of the clock's memory: kept through every reset but power-on
    flash()        the second application slot, where the firmware has one
    cause()        why it has started
    restart()

Costs: at boot; a conversion: not measured.
"""

from esp32 import Partition
from machine import ADC, PWRON_RESET, RTC, WDT_RESET, Pin, reset, reset_cause

from boards.common.assemble import contact
from boards.common.edges import EdgeCapture

from . import pins

NAME = "esp32"
PINS = pins
# 3,300,000 uV over 4095 codes: 0.02 % off, and no product from 2**30 on.
_UV_A_CODE = 806
_PARTITION = "ota_1"
_WORDS_BYTES = 6


class Retained:
    """`count` and `check` are SR-32's two words, `service` the wish to start without watchdog (start.py)."""

    def __init__(self):
        self._memory = RTC().memory
        self._bytes = bytearray(_WORDS_BYTES)
        held = self._memory()
        if len(held) == _WORDS_BYTES:
            self._bytes[:] = held
        self.count = self._word(0)
        self.check = self._word(2)
        self.service = self._word(4)

    def keep(self, count, check):
        """Hold these through a reset."""
        self._put(0, count)
        self._put(2, check)
        self._memory(self._bytes)

    def ask_service(self, word):
        """Hold the service word through a reset, 0 to forget it."""
        self._put(4, word)
        self._memory(self._bytes)

    def _word(self, at):
        return self._bytes[at] | (self._bytes[at + 1] << 8)

    def _put(self, at, word):
        self._bytes[at] = word & 0xFF
        self._bytes[at + 1] = (word >> 8) & 0xFF


class Converter:
    """One of GPIO 32 to 39."""

    __slots__ = ("read",)

    def __init__(self, number):
        # The chip's own calibrated reading, in uV.
        self.read = ADC(Pin(number), atten=ADC.ATTN_11DB).read_uv

    def code(self, mean):
        """Nearest 12-bit code of 3.3 V for a mean of readings."""
        return (mean + _UV_A_CODE // 2) // _UV_A_CODE


def capture(numbers, pulses):
    """What measures the pulses."""
    return EdgeCapture([contact(number, Pin.PULL_DOWN) for number in numbers], pulses)


def flash():
    """The journal's block device, or None."""
    found = Partition.find(Partition.TYPE_APP, label=_PARTITION)
    if len(found) == 0:
        return None
    return found[0]


def cause():
    """Why the chip has started, in words."""
    found = reset_cause()
    if found == WDT_RESET:
        return "watchdog"
    if found == PWRON_RESET:
        return "power-on"
    return "program or reset pin"


def restart():
    """Reset the chip."""
    reset()
