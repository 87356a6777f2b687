"""One text line a second on a serial port, for whoever wants to listen: 9600 baud, 8 data bits, no parity, 1 stop bit.

    t=0001234 gear=0 mode=1 link=0 switch=0 air=06900 cause=9 refusal=00 alert=03

    t        seconds since boot          switch    0 down, 1 up, 2 unknown
    gear     0 down, 1 up                air       tank pressure, mbar gauge; ----- when no sensor is believed
    mode     controller/codes.py         cause     why the gear is held down; 9 nothing
    link     0 good, 1 degraded, 2 lost  refusal, alert   codes of controller/codes.py

Always the same length, ended by carriage return and line feed. Nothing is ever read from this port, and nobody waits for
it: a line that does not fit into the port's buffer is cut.

Costs: one write of LINE_BYTES bytes a second; the text is written digit by digit into a buffer made at boot. Time on a
board: not measured; the emulated chip has no such port.
"""

BAUD = 9600
PATTERN = b"t=0000000 gear=0 mode=0 link=0 switch=0 air=00000 cause=0 refusal=00 alert=00\r\n"
LINE_BYTES = len(PATTERN)
NO_READING = 0x2D
ZERO = 0x30


def _at(text):
    return PATTERN.index(text) + len(text)


AT_SECONDS = _at(b"t=")
AT_GEAR = _at(b"gear=")
AT_MODE = _at(b"mode=")
AT_LINK = _at(b"link=")
AT_SWITCH = _at(b"switch=")
AT_AIR = _at(b"air=")
AT_CAUSE = _at(b"cause=")
AT_REFUSAL = _at(b"refusal=")
AT_ALERT = _at(b"alert=")
AIR_DIGITS = 5


class StatusLine:
    """`port` is a machine.UART whose write does not wait."""

    __slots__ = ("line", "_port", "_since_ms", "_seconds")

    def __init__(self, port):
        self._port = port
        self.line = bytearray(PATTERN)
        self._since_ms = 0
        self._seconds = 0

    def step(self, outputs, tick_ms):
        """Once after each tick; sends when a second is over."""
        self._since_ms += tick_ms
        if self._since_ms < 1000:
            return
        self._since_ms -= 1000
        self._seconds += 1
        self._fill(outputs)
        self._port.write(self.line)

    def _fill(self, outputs):
        self._put(AT_SECONDS, 7, self._seconds)
        self._put(AT_GEAR, 1, outputs.gear_command)
        self._put(AT_MODE, 1, outputs.mode)
        self._put(AT_LINK, 1, outputs.link)
        self._put(AT_SWITCH, 1, outputs.switch)
        self._put(AT_CAUSE, 1, outputs.cause)
        self._put(AT_REFUSAL, 2, outputs.refusal)
        self._put(AT_ALERT, 2, outputs.alert)
        if outputs.pressure_mbar < 0:
            for index in range(AT_AIR, AT_AIR + AIR_DIGITS):
                self.line[index] = NO_READING
            return
        self._put(AT_AIR, AIR_DIGITS, outputs.pressure_mbar)

    def _put(self, at, digits, value):
        for index in range(at + digits - 1, at - 1, -1):
            self.line[index] = ZERO + value % 10
            value //= 10
