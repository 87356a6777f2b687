"""The clock of an ESP32: 240 MHz. Costs: once at boot."""

from machine import freq

from .pins import CPU_HZ


def speed_up():
    """Before anything else: PWM counts with it."""
    freq(CPU_HZ)
