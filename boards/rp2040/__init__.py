"""What only an RP2040 has: pins, pulse capture by its programmable I/O, its flash, the words that survive a reset."""
