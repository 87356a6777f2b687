"""Pulse capture by pin interrupts, for chips without anything better.

Accuracy is that of the interrupt: on an emulated RP2040 with handlers that run at once, 2 us, and 10 us more for each other
channel whose edge comes at the same moment. An ESP32 runs them between two steps of the interpreter: not measured.

Costs: one call of `Pulses.edge` an edge. Memory: 100 bytes a channel.
"""

import time


class EdgeCapture:
    """`pins` are machine.Pin inputs in the order of the channels, None for one that is not connected."""

    __slots__ = ("pulses", "_lines")

    def __init__(self, pins, pulses, **options):
        """`options` go to Pin.irq, like hard=True where the chip knows it."""
        self.pulses = pulses
        self._lines = []
        for channel, pin in enumerate(pins):
            if pin is not None:
                self._lines.append(_Line(pin, channel, pulses, options))

    def take(self, pulse_us, fresh):
        """Fill Inputs.pulse_us and Inputs.fresh."""
        self.pulses.take(pulse_us, fresh)


class _Line:
    __slots__ = ("_edge", "_channel", "_ticks_us")

    def __init__(self, pin, channel, pulses, options):
        self._edge = pulses.edge
        self._channel = channel
        self._ticks_us = time.ticks_us
        pin.irq(self._changed, pin.IRQ_RISING | pin.IRQ_FALLING, **options)

    def _changed(self, pin):
        now_us = self._ticks_us()
        self._edge(self._channel, pin.value(), now_us)
