"""Landing light, alert lamp and tone: what the controller says at a tick, put on pins (SR-20, SR-22).

Tone is a machine.PWM at half of its period; the board's hardware makes it, so that it goes on between ticks.

Costs of `apply`: see python -m tests.boards.figures. Memory: 100 bytes.
"""

HALF = 32768


class Signals:
    """`light` and `lamp` are machine.Pin outputs, `tone` a machine.PWM; None for what is not connected."""

    __slots__ = ("tone_hz", "_light", "_lamp", "_tone")

    def __init__(self, light, lamp, tone):
        self._light = light
        self._lamp = lamp
        self._tone = tone
        self.tone_hz = 0

    def apply(self, outputs):
        """Outputs.light, lamp and tone_hz."""
        self.light(outputs.light)
        self.lamp(outputs.lamp)
        self.tone(outputs.tone_hz)

    def light(self, on):
        """The landing light: 0 or 1."""
        if self._light is not None:
            self._light.value(on)

    def lamp(self, on):
        """The alert lamp: 0 or 1."""
        if self._lamp is not None:
            self._lamp.value(on)

    def tone(self, hz):
        """A tone of `hz`, 0 for silence. Setting the same again does nothing."""
        if hz == self.tone_hz:
            return
        self.tone_hz = hz
        if self._tone is None:
            return
        if hz == 0:
            self._tone.duty_u16(0)
            return
        self._tone.freq(hz)
        self._tone.duty_u16(HALF)

    def off(self):
        """Dark and silent."""
        self.light(0)
        self.lamp(0)
        self.tone(0)
