"""Runs on the emulated board as its main.py: the real program, with a controller that falls ill after TICKS ticks."""

import controller.tick

TICKS = 20
HOW = "HOW_HERE"
count = 0
faults = controller.tick.Controller._gear_faults
weigh = controller.tick.Controller._weigh


def sick(self):
    """A stage that reports that it is not well."""
    global count
    count += 1
    if count > TICKS:
        return 1
    return faults(self)


def raising(self):
    """A stage that raises."""
    global count
    count += 1
    if count > TICKS:
        raise ValueError
    weigh(self)


def hanging(self):
    """A stage that does not come back."""
    global count
    count += 1
    while count > TICKS:
        pass
    weigh(self)


if HOW == "sick":
    controller.tick.Controller._gear_faults = sick
elif HOW == "raising":
    controller.tick.Controller._weigh = raising
else:
    controller.tick.Controller._weigh = hanging

from boards.rp2040.main import main  # noqa: E402

main()
