"""Filling and leak (tank.py), second by second.

SCALED: the spans of 60, 30 and 180 seconds are a few seconds here, put into the module while the search runs; the code
is as it is. Thresholds in mbar are not scaled. With the spans as shipped the ring alone has more states than atoms.
"""

from contextlib import contextmanager
from types import SimpleNamespace

import controller.tank as tank_module
from controller.limits import Limits
from controller.tank import Tank

from .nets_outputs import COMMANDS, together
from .network import Letter, product
from .see_slow import Filling

SPANS = {"LEAK_SPAN_S": 3, "CHARGE_SPAN_S": 2, "CHARGE_HOLD_S": 3, "LEAK_QUIET_S": 1, "LEAK_FILL_S": 2}


@contextmanager
def scaled():
    """The spans of tank.py as SPANS has them."""
    before = {span: getattr(tank_module, span) for span in SPANS}
    vars(tank_module).update(SPANS)
    try:
        yield
    finally:
        vars(tank_module).update(before)


def slow_network(name, settings, few=False):
    limits = Limits(settings)
    with scaled():
        tank = Tank(limits)
    assert len(tank._ring) == SPANS["LEAK_SPAN_S"]
    limits.second_ticks = 1
    low = 4000
    filling = Filling(
        limits.charge_mbar, SPANS["CHARGE_SPAN_S"], SPANS["CHARGE_HOLD_S"], SPANS["LEAK_SPAN_S"],
        SPANS["LEAK_QUIET_S"], SPANS["LEAK_FILL_S"],
    )  # fmt: skip
    strokes, pressure = SimpleNamespace(), SimpleNamespace()

    def run(command, mbar, moving, stroke):
        pressure.read = int(mbar is not None)
        pressure.smooth = (mbar or 0) * 16
        pressure.jumped = int(moving == "sensors")
        strokes.since_change = 0 if moving == "stroke" else 9
        strokes.brake_age = 0 if moving == "brake" else 9
        strokes.in_progress = stroke
        with scaled():
            tank.step(command, pressure, strokes)
        return filling.see(command, mbar, moving != "", stroke, tank.charging, tank.leaking)

    levels = {"low": low, "up by the limit": low + limits.charge_mbar, "up by more": low + limits.charge_mbar + 1}
    levels |= {"a leak's fall lower": low - 100, "hardly more than low": low + 5}
    if few:
        del levels["hardly more than low"], levels["up by the limit"]
    airs = [Letter(f"pressure {words}", mbar=mbar) for words, mbar in levels.items()] + [
        Letter("no reading", mbar=None)
    ]
    quiet = Letter("", moving="", stroke=0)
    moves = [quiet, quiet | Letter("brake", moving="brake"), quiet | Letter("stroke goes on", stroke=1)]
    return together(name, product(COMMANDS, airs, moves[: 2 if few else 3]), {"tank": tank, "filling": filling},
                    ("command", "mbar", "moving", "stroke"), run, (limits,))  # fmt: skip
