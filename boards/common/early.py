"""The first thing that a board does: read its wiring record and put the valve to DOWN (SR-01, SR-18).

Loads nothing else, not even the controller, which takes half a second. A spring-return valve is at DOWN without power
anyway; a servo valve needs its pulse, and this is where it comes from.

Wiring record, 16 bytes in two copies: b"DLW1", kind (VALVE_ codes of controller/codes.py), 3 zero bytes, pulse of DOWN and
pulse of UP in us (2 bytes each, little-endian), CRC-32 of the 12 bytes before (4 bytes). No valid copy, or two that differ:
kind 0, which is invalid; nothing is energised and no pulse given. The controller judges kind and pulses once more.

Costs: python -m tests.boards.figures has the time from reset to DOWN. Memory: 200 bytes.
"""

from binascii import crc32

ROOT = "/"
FILES = ("wiring_a.dlw", "wiring_b.dlw")
MAGIC = b"DLW1"
RECORD_BYTES = 16
BODY_BYTES = 12
# controller/codes.py and controller/valve.py have the same numbers; a test compares.
INVALID = 0
TWO_COIL = 2
SERVO = 3
SERVO_LOW_US = 800
SERVO_HIGH_US = 2200
SERVO_HZ = 50


class Wiring:
    """`read` fills kind, down_us and up_us; safe_us is the pulse that is DOWN, 0 where that is none."""

    def __init__(self):
        self.kind = INVALID
        self.down_us = 0
        self.up_us = 0
        self.safe_us = 0

    def read(self, root):
        """From the two copies in the folder `root`."""
        first = _copy(root + FILES[0])
        second = _copy(root + FILES[1])
        if first == b"":
            first = second
        if second == b"":
            second = first
        if first == b"":
            return
        if first != second:
            return
        self.kind = first[4]
        self.down_us = first[8] + (first[9] << 8)
        self.up_us = first[10] + (first[11] << 8)
        if self.kind == SERVO:
            if self.down_us >= SERVO_LOW_US:
                if self.down_us <= SERVO_HIGH_US:
                    self.safe_us = self.down_us


def _copy(path):
    """A record that checks, else b""."""
    try:
        with open(path, "rb") as file:
            data = file.read(RECORD_BYTES + 1)
    except OSError:
        return b""
    if len(data) != RECORD_BYTES:
        return b""
    if data[:4] != MAGIC:
        return b""
    if data[5:8] != b"\0\0\0":
        return b""
    if crc32(data[:BODY_BYTES]) != int.from_bytes(data[BODY_BYTES:], "little"):
        return b""
    return data


def put_down(wiring, pins):
    """Start the pulse of DOWN, where there is one. Returns the machine.PWM of the servo pin, None for none.

    A two-coil valve stays where it was until the controller's first output, or the pulses of hold.py.
    """
    if pins.VALVE_SERVO is None:
        return None
    from machine import PWM, Pin

    return PWM(Pin(pins.VALVE_SERVO), freq=SERVO_HZ, duty_ns=wiring.safe_us * 1000)


def down(clock, pins):
    """The first act of a program: clock, wiring record, valve. (Wiring, PWM of the servo pin or None)."""
    clock.speed_up()
    wiring = Wiring()
    wiring.read(ROOT)
    return wiring, put_down(wiring, pins)
