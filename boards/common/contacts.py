"""Button, ground switch and lock switches: pin levels, and which way a broken wire reads.

The button connects to ground against a pull-up: a broken wire is a button that nobody presses. The switches get the pull
against the level that the settings call made (`pull_against`), so that a broken wire reads ground (SR-16) and not
locked (SR-14), whichever way round they are wired.

Costs of `read`: see python -m tests.boards.figures. Memory: 150 bytes.
"""

from controller.codes import N_LEGS


class Contacts:
    """`button`, `ground` and the entries of `locks` are machine.Pin inputs, None for what is not connected."""

    __slots__ = ("_button", "_ground", "_locks")

    def __init__(self, button, ground, locks):
        self._button = button
        self._ground = ground
        self._locks = locks

    def pull_against(self, settings):
        """Once, when the settings are known. An input without pull resistors of its own keeps what WIRING.md gives it."""
        self._pull(self._ground, settings.ground_clear_level)
        for leg in range(N_LEGS):
            self._pull(self._locks[leg], settings.lock_closed_level)

    def _pull(self, pin, made_level):
        if pin is None:
            return
        if made_level == 1:
            pin.init(pin.IN, pin.PULL_DOWN)
        else:
            pin.init(pin.IN, pin.PULL_UP)

    def read(self, inputs):
        """Fill lock_level, ground_level and button."""
        locks = self._locks
        levels = inputs.lock_level
        for leg in range(N_LEGS):
            pin = locks[leg]
            levels[leg] = 0
            if pin is not None:
                levels[leg] = pin.value()
        inputs.ground_level = 0
        if self._ground is not None:
            inputs.ground_level = self._ground.value()
        inputs.button = 0
        if self._button is not None:
            inputs.button = 1 - self._button.value()
