"""Pulse capture by the RP2040's programmable I/O: one state machine a channel, no interrupt, no processor time.

Each machine waits for a rise, counts microseconds until the fall and puts the count into its queue of four; `take` empties
the queues at every tick. Pulses that meet do not disturb each other. On the emulated chip: within 2 us
(tests/boards/test_emulated_pulses.py).

The count has 29 bits, so that it is a small integer; a line that stays high for longer than 536 s would begin anew, and what
it then gives is no servo pulse but for one chance in 250,000.

A full queue drops what comes. Only a loop that stood still for four frames gets there; its first pulse afterwards is as old
as the stall.

Costs: five state machines and 10 instructions in each of both blocks. `take`: see python -m tests.boards.figures.
"""
# The words of a PIO program are names only while rp2.asm_pio assembles it.
# ruff: noqa: F821
# mypy: disable-error-code="name-defined"

import rp2
from machine import Pin

QUEUE = 4
# Two instructions a microsecond.
MACHINE_HZ = 2_000_000


@rp2.asm_pio()
def _width():
    # A pulse that is on when the machine starts is passed over.
    wrap_target()
    mov(x, invert(null))
    wait(0, pin, 0)
    wait(1, pin, 0)
    label("high")
    jmp(x_dec, "next")
    label("next")
    jmp(pin, "high")
    mov(x, invert(x))
    in_(x, 29)
    push(noblock)
    wrap()


class PioCapture:
    """`numbers` are GPIO numbers in the order of the channels, None for one that is not connected."""

    __slots__ = ("pulses", "_machines", "_n")

    def __init__(self, numbers, pulses):
        self.pulses = pulses
        self._n = len(numbers)
        self._machines = [self._machine(channel, number) for channel, number in enumerate(numbers)]

    def _machine(self, channel, number):
        if number is None:
            return None
        # Pulled down: a broken wire is a line without pulses.
        pin = Pin(number, Pin.IN, Pin.PULL_DOWN)
        machine = rp2.StateMachine(channel, _width, freq=MACHINE_HZ, in_base=pin, jmp_pin=pin)
        machine.active(1)
        return machine

    def take(self, pulse_us, fresh):
        """Fill Inputs.pulse_us and Inputs.fresh."""
        pulses = self.pulses
        machines = self._machines
        for channel in range(self._n):
            machine = machines[channel]
            if machine is None:
                continue
            for _ in range(QUEUE):
                if machine.rx_fifo() == 0:
                    break
                pulses.end(channel, machine.get())
        pulses.take(pulse_us, fresh)
