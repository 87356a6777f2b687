"""downlock's onboard controller: integers in, integers out, the same files on a board and on a PC.

The safety argument, in reading order:

tick.py       the story of one tick
gear.py       the only file that changes the mode; one line leads to UP, every path to DOWN is always open
interlock.py  the second path: its own view of the raw inputs, and the last word, which is only ever DOWN
facts.py      what the mode logic may know, and how long it must be true
persist.py    missing data never clears a fault and never ripens a permit
channels.py   what a valid frame is; how its absence adds up
pressure.py   what a believed reading is
health.py     feeding the watchdog has to be earned
SAFETY.md     hazard -> requirement -> file -> evidence
"""

from .frames import Inputs, Outputs
from .tick import Controller

__all__ = ["Controller", "Inputs", "Outputs"]
