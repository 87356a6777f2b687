"""The program of an ESP32 board: nothing but which chip it is. main.py of its file system calls `main`."""

from boards.common.start import start

from . import chip


def main():
    """From power-on to power-off; returns only into service (boards/common/start.py)."""
    start(chip)


def bench():
    """Commissioning over USB (boards/common/benchside.py); from the prompt in service. Returns at `end`."""
    from boards.common.benchside import serve

    serve(chip)
