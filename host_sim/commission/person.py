"""The operator: what is told, asked for and answered. Terminal here; the simulated one is in simulated_person.py.

Every call that asks carries a key, a tuple like ("fill", 7.5), that says the same as its text: the simulated hands act
by it. Any question takes "skip" (this step) and "stop" (the session); end of input and Ctrl-C are "stop".
"""

from ..quantities import QuantityError, quantity
from .step import Skip, Stop

TRIES = 5


class Operator:
    """A person at a terminal. `read(prompt)` gives a line of answer, `write(line)` shows one."""

    simulated = False

    def __init__(self, name="", read=input, write=print):
        self.name = name
        self._read = read
        self._write = write

    def tell(self, line):
        """Show a line."""
        self._write(line)

    def do(self, key, text):
        """Returns when it is done."""
        self._answer(f"  > {text} [Enter when done] ")

    def at_once(self, key, text):
        """Returns at the moment of Enter, in which it is done."""
        self._answer(f"  > {text} [Enter in that moment] ")

    def yes(self, key, text):
        """True or False."""
        while True:
            said = self._answer(f"  ? {text} [y/n] ").lower()
            if said in ("y", "yes", "n", "no"):
                return said[0] == "y"
            self._write("    Please answer y or n, or: skip, stop.")

    def amount(self, key, text, unit, low, high, example, reference=""):
        """A quantity as a float in `unit`."""
        while True:
            said = self._answer(f"  ? {text} [like {example}] ")
            try:
                value = quantity(said, unit, reference)
            except QuantityError as error:
                self._write(f"    {error}")
                continue
            if low <= value <= high:
                return value
            self._write(f"    '{said}' is out of range; allowed: {low:g} to {high:g} {unit}.")

    def pressure(self, key, text, unit):
        """A gauge pressure, bar; a bare number is in `unit`."""
        while True:
            said = self._answer(f"  ? {text} [in {unit}] ")
            try:
                value = quantity(said if not _bare(said) else f"{said} {unit}", "bar", "gauge")
            except QuantityError as error:
                self._write(f"    {error}")
                continue
            if -1.0 <= value <= 20.0:
                return value
            self._write(f"    '{said}' is out of range; allowed: -1 to 20 bar gauge.")

    def line(self, key, text):
        """A line as typed, may be empty."""
        return self._answer(f"  ? {text} ")

    def _answer(self, prompt):
        try:
            said = self._read(prompt).strip()
        except (EOFError, KeyboardInterrupt):
            self._write("")
            raise Stop from None
        if said.lower() == "skip":
            raise Skip
        if said.lower() == "stop":
            raise Stop
        return said


def _bare(text):
    try:
        float(text)
    except ValueError:
        return False
    return True
