"""Both decoders of the gear channel side by side, on raw pulses."""

from controller.channels import Frames, Link, Switch
from controller.frames import Inputs
from controller.interlock import Interlock
from controller.limits import Limits
from controller.second_inputs import RawSwitch

from .made import Times
from .moves import Move
from .network import Letter, Network, product
from .parts import Part, fields_of, public
from .see_channel import Hands, judge_decoders


def only(owner, cls):
    """The objects of class `cls` that hang on `owner`, as (container, key, object)."""
    found = []
    for name, value in fields_of(owner):
        if isinstance(value, cls):
            found.append((owner, name, value))
        if isinstance(value, list):
            found += [(value, index, item) for index, item in enumerate(value) if isinstance(item, cls)]
    return found


def gear_letters(settings, wild=True):
    """Pulses of the gear channel at every edge: both positions, the dead zone, silence; with `wild` the limits too."""
    down = settings.gear_low_us if settings.gear_up_high else settings.gear_high_us
    up = settings.gear_high_us if settings.gear_up_high else settings.gear_low_us
    letters = [
        Letter("no gear pulse", fresh=0, us=up),
        Letter("gear pulse DOWN", fresh=1, us=down),
        Letter("gear pulse UP", fresh=1, us=up),
        Letter("gear pulse in the dead zone", fresh=1, us=(settings.gear_low_us + settings.gear_high_us) // 2),
    ]
    if wild:
        letters += [
            Letter(f"gear pulse of {us} us", fresh=1, us=us)
            for us in (799, 800, 2200, 2201, settings.gear_low_us + 1, settings.gear_high_us - 1)
        ]
    return letters


def mark_letters(settings, wild=True):
    """Pulses of the signature channel; only silence where there is none."""
    if settings.signature_channel == 0:
        return [Letter("", mark_fresh=0, mark_us=0)]
    inside = (settings.signature_low_us + settings.signature_high_us) // 2
    outside = settings.signature_low_us - 1
    return [
        Letter("signature channel silent", mark_fresh=0, mark_us=outside),
        Letter("signature pulse outside the window", mark_fresh=1, mark_us=outside),
        Letter("signature pulse inside the window", mark_fresh=1, mark_us=inside),
    ] + [Letter("signature pulse too wide", mark_fresh=1, mark_us=2201)] * wild


class Channel:
    """Frames, Link, Switch as `Controller` makes them, the RawSwitch that Interlock made, and the observer."""

    def __init__(self, settings, name="channel"):
        limits = Limits(settings)
        self.channel = settings.signature_channel
        self.inputs = Inputs()
        self.frames = Frames(settings, limits)
        self.link = Link(limits)
        self.switch = Switch(settings)
        ((_, _, self.raw),) = only(Interlock(settings, 0), RawSwitch)
        self.hands = Hands(settings, Times(settings))
        roots = {
            "frames": self.frames, "link": self.link, "switch": self.switch,
            "raw": self.raw, "hands": self.hands,
        }  # fmt: skip
        self.part = Part(name, roots, fixed=(settings, limits, self.hands.t))

    def fill(self, fresh, us, mark_fresh, mark_us):
        inputs = self.inputs
        inputs.fresh[0], inputs.pulse_us[0] = fresh, us
        if self.channel != 0:
            inputs.fresh[self.channel], inputs.pulse_us[self.channel] = mark_fresh, mark_us

    def run(self, fresh, us, mark_fresh, mark_us):
        self.fill(fresh, us, mark_fresh, mark_us)
        self.raw.step(self.inputs)
        self.frames.step(self.inputs)
        self.link.step(self.frames.valid)
        self.switch.step(self.frames.valid, self.link.broke, us)
        self.hands.see(fresh, us, mark_fresh, mark_us)
        return (judge_decoders(self.hands, self.frames, self.link, self.switch, self.raw),)

    def move(self):
        """Exports all public fields of the decoders, and what the observer saw."""
        exports = {}
        for name in ("link", "switch", "raw", "hands"):
            exports |= public(name, getattr(self, name))
        return Move(self.part, self.run, ("fresh", "us", "mark_fresh", "mark_us"), exports=exports, verdict=True)


def channel_network(name, settings, wild=True):
    letters = product(gear_letters(settings, wild), mark_letters(settings, wild))
    return Network(name, letters, [Channel(settings).move()])
