"""Valve, lock switches, ground switch and light, each for any sequence of commands."""

from types import SimpleNamespace

from controller.aids import Aids
from controller.frames import Inputs, Outputs
from controller.limits import Limits
from controller.switches import Ground, Locks
from controller.valve import Valve

from .made import Times
from .moves import Move
from .nets_flight import supply_letters
from .network import Letter, Network, product
from .parts import Part
from .see_outputs import Clear, Coils, Lamp, Legs

COMMANDS = [Letter("command DOWN", command=0), Letter("command UP", command=1)]
DOWN_US, UP_US = 1000, 2000


def together(name, letters, roots, args, run, fixed=(), remade=False):
    """One part with one move: real objects and their observer."""
    return Network(name, letters, [Move(Part(name, roots, fixed, remade=remade), run, args, verdict=True)])


def valve_network(name, settings, kind):
    valve, outputs = Valve(settings, kind, DOWN_US, UP_US), Outputs()
    coils = Coils(kind, settings, DOWN_US, UP_US)

    def run(command):
        valve.step(command, outputs)
        return coils.see(command, outputs.coil_up, outputs.coil_down, outputs.valve_us)

    return together(name, COMMANDS, {"valve": valve, "coils": coils}, ("command",), run, (settings,))


class Clock:
    """Ticks since the command changed, as strokes.py counts them; a boot is a settled end."""

    def __init__(self, most):
        self.most = most
        self.since_change = most
        self.last = 0

    def step(self, command):
        self.since_change = 0 if command != self.last else min(self.since_change + 1, self.most)
        self.last = command


def locks_network(name, settings):
    limits = Limits(settings)
    locks, inputs = Locks(settings, limits), Inputs()
    n, tick_ms = settings.lock_count, settings.tick_ms
    stroke = -(-(settings.stroke_ms + settings.stroke_settle_ms) // tick_ms)
    clock = Clock(stroke + 1)
    due = (settings.extend_ms + settings.lock_margin_ms) // tick_ms
    legs = Legs(settings, due, stroke, Times(settings).lock_confirm)

    def run(command, *levels):
        clock.step(command)
        for index, level in enumerate(levels):
            inputs.lock_level[index] = level
        locks.step(inputs, command, SimpleNamespace(since_change=clock.since_change))
        return legs.see(command, clock.since_change, levels, locks.leg[:n], locks.all, locks.overdue)

    closed = settings.lock_closed_level
    groups = [
        [
            Letter(f"leg {leg} open", **{f"level{leg}": 1 - closed}),
            Letter(f"leg {leg} closed", **{f"level{leg}": closed}),
        ]
        for leg in range(n)
    ]
    args = ("command", *(f"level{leg}" for leg in range(n)))
    roots = {"locks": locks, "clock": clock, "legs": legs}
    return together(name, product(COMMANDS, *groups), roots, args, run, (settings, limits))


def ground_network(name, settings):
    limits = Limits(settings)
    ground = Ground(settings, limits)
    clear = Clear(settings, Times(settings).ground_clear)

    def run(level):
        ground.step(level)
        return clear.see(level, ground.clear)

    letters = [Letter(f"ground pin {level}", level=level) for level in (0, 1)]
    return together(name, letters, {"ground": ground, "watch": clear}, ("level",), run, (settings, limits))


def light_network(name, settings):
    limits = Limits(settings)
    aids = Aids(settings, limits)
    lever = SimpleNamespace(permille=-2)
    switch = SimpleNamespace(permille=0)
    lamp = Lamp(settings, -(-(settings.stroke_ms + settings.stroke_settle_ms) // settings.tick_ms))

    def run(command, supply_mv, switched):
        switch.permille = 1000 * switched
        aids.step(command, lever, lever, switch, SimpleNamespace(all=0), supply_mv)
        return lamp.see(command, supply_mv, switched, aids.light)

    supplies = [
        *supply_letters(settings),
        Letter("supply good", supply_mv=settings.supply_force_mv + 400, supply_counts=0),
    ]
    switches = [Letter("light switch off", switched=0), Letter("light switch on", switched=1)]
    letters = product(COMMANDS, supplies, switches)
    return together(name, letters, {"aids": aids, "lamp": lamp}, ("command", "supply_mv", "switched"), run,
                    (settings, limits))  # fmt: skip
