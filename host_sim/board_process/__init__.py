"""What runs under MicroPython on the PC: `worker.py`, and `wire.py`, which both ends of the pipe share."""
