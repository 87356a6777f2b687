"""The program of an ESP32 board: DOWN, then everything else. main.py of its file system calls `main`."""

from boards.common.early import down

from . import clock, pins


def main():
    """From power-on to power-off; returns only into service (boards/common/start.py)."""
    wiring, servo = down(clock, pins)
    from boards.common.start import start

    from . import chip

    start(chip, wiring, servo)


def bench():
    """Commissioning over USB (boards/common/benchside.py); from the prompt in service. Returns at `end`."""
    wiring, servo = down(clock, pins)
    from boards.common.benchside import serve

    from . import chip

    serve(chip, wiring, servo)
