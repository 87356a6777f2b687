"""Under MicroPython: prints the CRC of every block of a hostile run; with two more arguments, the outputs of those ticks.

micropython run_hostile.py ROOT WIRE_FOLDER SEED TICKS [FIRST LAST]
"""

import sys

sys.path.append(sys.argv[2])
sys.path.append(sys.argv[1])

import hostile  # noqa: E402


def print_crc(crc):
    """One line a block."""
    print(crc)


def print_words(number, _outputs, words):
    """One line a tick that was asked for."""
    if FIRST <= number <= LAST:
        print(" ".join([str(word) for word in words]))


def nothing(*_):
    """No line."""


FIRST = LAST = -1
if len(sys.argv) > 5:
    FIRST = int(sys.argv[5])
    LAST = int(sys.argv[6])
    hostile.run(int(sys.argv[3]), LAST + 1, nothing, print_words)
else:
    hostile.run(int(sys.argv[3]), int(sys.argv[4]), print_crc, nothing)
