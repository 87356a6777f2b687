"""Analogue inputs: the mean of eight conversions, as a 12-bit code of 3.3 V.

`channel` is anything with `read()` giving one conversion as such a code; boards/*/chip.py makes it. The mean takes out
converter noise; what a sensor does wrong is for the controller's median and grades. The rail is an input like the others.

Costs of `counts`: eight conversions, see python -m tests.boards.figures. Memory: 60 bytes.
"""

CONVERSIONS = 8
CODE_MAX = 4095


class Oversampled:
    """`counts()` is what goes into Inputs.counts, rail_counts or supply_counts."""

    __slots__ = ("_read",)

    def __init__(self, channel):
        self._read = channel.read

    def counts(self):
        """0 .. 4095."""
        total = 0
        for _ in range(CONVERSIONS):
            total += self._read()
        mean = (total + CONVERSIONS // 2) // CONVERSIONS
        if mean > CODE_MAX:
            return CODE_MAX
        return mean


class NotConnected:
    """An input that the board does not have: code 0, which the controller grades as short where it expects a sensor."""

    __slots__ = ()

    def counts(self):
        """0."""
        return 0
