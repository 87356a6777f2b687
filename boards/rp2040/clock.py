"""The clock of an RP2040: 200 MHz at 1.15 V is what its maker allows since 2025 (both from memory of the maker's SDK).

The flash runs at half of it, 100 MHz, which the usual chips take (from memory of data sheets); a board that does not come
up with it gets a lower CPU_HZ in pins.py. A supply that cannot carry it resets the chip, and that is DOWN. Costs: once
at boot.
"""

from machine import freq, mem32

from .pins import CPU_HZ

# VREG_AND_CHIP_RESET, bits 4 to 7: 0b1100 is 1.15 V, bit 0 keeps the regulator on.
_VREG = 0x40064000
_VREG_1V15 = 0xC1
_FASTEST_AT_1V10_HZ = 133_000_000


def speed_up():
    """Voltage, then clock. Before anything else: PWM and PIO count with it."""
    if CPU_HZ > _FASTEST_AT_1V10_HZ:
        mem32[_VREG] = _VREG_1V15
    freq(CPU_HZ)
