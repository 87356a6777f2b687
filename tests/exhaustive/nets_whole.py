"""The unmodified `Controller.tick` as one part: no wiring of this package stands between its classes.

What never feeds back into the decision is taken away, not replaced: a read of it would raise. Slopes, filling,
lateness, clock and restarts stand still, as in a quiet flight.
"""

from controller.codes import VALVE_SPRING
from controller.frames import Inputs, Outputs
from controller.packing import pack
from controller.tick import Controller

from .conformance import FreeHealth, FreeStrokes, FreeTank
from .moves import Move
from .nets_air import SLOPES, SPANS, Air
from .nets_channel import Channel
from .nets_flight import Witnesses
from .network import Letter, Network, product
from .parts import Part

AFTERWARDS = ("valve", "aids", "alerts", "conditions", "explain", "scribe")


class Deciding(Controller):
    """`tick` runs as it is; driving the valve and telling people, which come after the decision, do nothing."""

    def _act(self, outputs):
        pass

    def _tell(self, inputs, outputs):
        pass


class Kept:
    """Stands for restarts.Restarts: none so far."""

    count = 0

    def step(self, healthy, tick_ms):
        pass


class AnyGear:
    """Stands for the mode logic: wants what it is told, and holds nothing."""

    mode = held = refusal = wanted = 0

    def __init__(self):
        self.latched = [0] * 9

    def step(self, facts):
        return self.wanted


class AnySecondPath:
    """Stands for the second path: gives leave when it is told to, and lets everything pass."""

    leave = 1

    def step(self, inputs):
        pass

    def gate(self, wanted):
        return wanted


def deciding(settings):
    inputs = Inputs()
    inputs.settings_a = inputs.settings_b = pack(settings)
    inputs.valve_kind = VALVE_SPRING
    controller = Deciding(inputs)
    controller.strokes = FreeStrokes(controller.settings, controller.limits)
    controller.tank = FreeTank(controller.limits)
    controller.health = FreeHealth()
    controller.restarts = Kept()
    for name in AFTERWARDS:
        delattr(controller, name)
    return controller, inputs


def whole_tick(name, settings, letters, any_gear=False, any_second=False):
    """`settings` without levers and lock switches, which have their own searches. With `any_gear` the mode logic wants
    whatever a letter says, with `any_second` the second path gives leave whenever a letter says so."""
    controller, inputs = deciding(settings)
    outputs = Outputs()
    fixed = [controller.settings, controller.limits, controller.interlock._s]
    choices = [Letter("", wish=0, leave=1)]
    if any_gear:
        controller.gear = AnyGear()
        fixed.append(controller.gear)
        choices = [Letter("the mode logic wants UP", wish=1, leave=1), Letter("it wants DOWN", wish=0, leave=1)]
    if any_second:
        controller.interlock = AnySecondPath()
        fixed.append(controller.interlock)
        choices.append(Letter("the second path gives no leave", wish=0, leave=0))

    def run(wish, leave, fresh, us, mark_fresh, mark_us, code_a, code_b, rail, ground, supply_counts):
        if any_gear:
            controller.gear.wanted = wish
        if any_second:
            controller.interlock.leave = leave
        before = controller.command
        inputs.fresh[0], inputs.pulse_us[0] = fresh, us
        if settings.signature_channel:
            inputs.fresh[settings.signature_channel] = mark_fresh
            inputs.pulse_us[settings.signature_channel] = mark_us
        inputs.counts[0], inputs.counts[1], inputs.rail_counts = code_a, code_b, rail
        inputs.ground_level, inputs.supply_counts = ground, supply_counts
        controller.pressure.smooth = 0
        controller.tick(inputs, outputs)
        causes = sum(bit << cause for cause, bit in enumerate(controller.gear.latched))
        given = controller.interlock.leave
        wanted = wish if any_gear else controller.command
        return before, controller.command, wanted, causes, given, controller.gear.refusal

    roots = {"controller": controller}
    # Smoothing is for slopes only, and those stand still here; the flight's search proves that nothing else reads it.
    pins = SPANS | {end: 0 for end in SLOPES}
    part = Part("controller", roots, fixed, pins)
    raw = "wish leave fresh us mark_fresh mark_us code_a code_b rail ground supply_counts".split()
    told = ("before", "after", "wanted", "causes", "second.leave", "gear.refusal")
    seen = Witnesses(settings, spare=int(not any_second))
    moves = [
        seen.first(),
        Channel(settings).move(),
        Air(settings).move(),
        Move(part, run, raw, (), told),
        *(seen.second_only() if any_gear else seen.last(veto=not any_second)),
    ]
    return Network(name, product(choices, letters), moves)
