"""Event and sample records in memory, 16 bytes each, every one with its own check (SR-35).

Writing a record touches 16 bytes of a ring made at boot: it cannot wait, fail or allocate. A full ring overwrites the
oldest. A reader takes `KEPT` slots, drops those whose check fails, and sorts by sequence number.

Record, little-endian: kind 1, code 1, sequence 2, tick 4, value 2 (two's complement), pressure mbar 2 (0xFFFF: not
known), mode and command 1 (mode * 2 + command), link and switch 1 (link * 4 + switch), CRC-16 2 (polynomial 0x1021,
start 0xFFFF: the one that CRC catalogues call IBM-3740 and older texts CCITT-FALSE).
"""

from .frames import NOT_KNOWN

RECORD_BYTES = 16
KEPT = 256

KIND_EMPTY = 0
KIND_BOOT = 1
KIND_MODE = 2
KIND_CAUSE = 3
KIND_REFUSAL = 4
KIND_ALERT = 5
KIND_LINK = 6
KIND_LATE = 7
KIND_SAMPLE = 8
KIND_COMMAND = 9
KIND_WORDS = ("empty", "boot", "mode", "cause", "refusal", "alert", "link", "late", "sample", "command")


def crc16(data, start, n_bytes):
    """CRC-16 of data[start : start + n_bytes].

    A byte at a time and without a table: the polynomial has the bits 12, 5 and 0, so that a byte that is shifted out
    comes back at those places, together with its upper half, which meets bit 12 on the way (x ^ x >> 4).
    """
    crc = 0xFFFF
    for index in range(start, start + n_bytes):
        out = (crc >> 8) ^ data[index]
        out = out ^ (out >> 4)
        crc = ((crc << 8) ^ (out << 12) ^ (out << 5) ^ out) & 0xFFFF
    return crc


class Journal:
    """`data` holds KEPT records; `written` counts them since boot and stops at 2**29."""

    __slots__ = ("data", "written", "_slot", "_sequence")

    def __init__(self):
        self.data = bytearray(RECORD_BYTES * KEPT)
        self.written = 0
        self._slot = 0
        self._sequence = 0

    def write(self, kind, code, value, outputs):
        """One record of `kind`, with the state that `outputs` shows."""
        data = self.data
        at = self._slot * RECORD_BYTES
        tick = outputs.tick
        data[at] = kind
        data[at + 1] = code & 0xFF
        data[at + 2] = self._sequence & 0xFF
        data[at + 3] = self._sequence >> 8
        data[at + 4] = tick & 0xFF
        data[at + 5] = (tick >> 8) & 0xFF
        data[at + 6] = (tick >> 16) & 0xFF
        data[at + 7] = (tick >> 24) & 0xFF
        value = self._clipped(value)
        data[at + 8] = value & 0xFF
        data[at + 9] = (value >> 8) & 0xFF
        self._put_pressure(at, outputs.pressure_mbar)
        data[at + 12] = outputs.mode * 2 + outputs.gear_command
        data[at + 13] = outputs.link * 4 + outputs.switch
        crc = crc16(data, at, RECORD_BYTES - 2)
        data[at + 14] = crc & 0xFF
        data[at + 15] = crc >> 8
        self._advance()

    def _clipped(self, value):
        if value > 32767:
            return 32767
        if value < -32768:
            return -32768
        return value

    def _put_pressure(self, at, pressure_mbar):
        word = pressure_mbar
        if pressure_mbar == NOT_KNOWN:
            word = 0xFFFF
        elif pressure_mbar < 0:
            word = 0
        self.data[at + 10] = word & 0xFF
        self.data[at + 11] = (word >> 8) & 0xFF

    def _advance(self):
        self._slot += 1
        if self._slot == KEPT:
            self._slot = 0
        self._sequence = (self._sequence + 1) & 0xFFFF
        if self.written < 0x20000000:
            self.written += 1


class Scribe:
    """Decides what is worth a record: every change, and one sample a second."""

    __slots__ = ("journal", "_mode", "_command", "_link", "_alert", "_ticks", "_second")

    def __init__(self, limits):
        self.journal = Journal()
        self._mode = -1
        self._command = 0
        self._link = -1
        self._alert = 0
        self._ticks = 0
        self._second = limits.second_ticks

    def step(self, outputs, new_cause, gear, health):
        """One tick, after all else; at most eight records."""
        journal = self.journal
        if outputs.tick == 1:
            journal.write(KIND_BOOT, outputs.settings_state, outputs.retained_count, outputs)
        if outputs.mode != self._mode:
            self._mode = outputs.mode
            journal.write(KIND_MODE, outputs.mode, 0, outputs)
        if new_cause == 1:
            journal.write(KIND_CAUSE, outputs.cause, outputs.cause_value, outputs)
        if outputs.gear_command != self._command:
            self._command = outputs.gear_command
            journal.write(KIND_COMMAND, outputs.gear_command, 0, outputs)
        if gear.refused_now == 1:
            journal.write(KIND_REFUSAL, outputs.refusal, outputs.refusal_value, outputs)
        if outputs.link != self._link:
            self._link = outputs.link
            journal.write(KIND_LINK, outputs.link, 0, outputs)
        if outputs.alert != self._alert:
            self._alert = outputs.alert
            journal.write(KIND_ALERT, outputs.alert, 0, outputs)
        if health.late == 1:
            journal.write(KIND_LATE, health.late_latch, health.late_ms, outputs)
        self._ticks += 1
        if self._ticks >= self._second:
            self._ticks = 0
            journal.write(KIND_SAMPLE, 0, outputs.supply_mv, outputs)
