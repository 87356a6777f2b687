"""Analogue inputs: the mean of eight conversions, as a 12-bit code of 3.3 V.

`channel` is anything with `read()`, one conversion in the chip's own unit, and `code(mean)`, such a code for the mean of
some; boards/*/chip.py makes it. The mean takes out converter noise; what a sensor does wrong is for the controller's median
and grades. The rail is an input like the others.

Costs of `counts`: eight conversions, see python -m tests.boards.figures. Memory: 60 bytes.
"""

CONVERSIONS = 8
CODE_MAX = 4095


class Oversampled:
    """`counts()` is what goes into Inputs.counts, rail_counts or supply_counts."""

    __slots__ = ("_read", "_code")

    def __init__(self, channel):
        self._read = channel.read
        self._code = channel.code

    def counts(self):
        """0 .. 4095."""
        read = self._read
        total = 0
        for _ in range(CONVERSIONS):
            total += read()
        code = self._code((total + CONVERSIONS // 2) // CONVERSIONS)
        if code > CODE_MAX:
            return CODE_MAX
        return code


class NotConnected:
    """An input that the board does not have: code 0, which the controller grades as short where it expects a sensor."""

    __slots__ = ()

    def counts(self):
        """0."""
        return 0
