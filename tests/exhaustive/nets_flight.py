"""The whole decision path: both paths, all of their parts, wired in the order of `Controller.tick`.

Slopes, filling, lateness and the clock are free letters here (any function of anything), so that nothing rests on
strokes.py, tank.py and health.py, which are searched apart. conformance.py holds this wiring against the real tick.
"""

from controller.channels import Link, Switch
from controller.codes import VALVE_SPRING
from controller.facts import Facts, Judge
from controller.frames import Inputs
from controller.gear import Gear
from controller.health import Health
from controller.interlock import Interlock
from controller.limits import Limits
from controller.pressure import Pressure
from controller.second_inputs import RawSensor, RawSwitch
from controller.strokes import Strokes
from controller.switches import Ground
from controller.tank import Tank
from controller.tick import Controller

from .made import Times
from .moves import Move, Port
from .nets_air import Air
from .nets_channel import Channel, only
from .network import Letter, Network
from .parts import Part, public
from .see_flight import Forcing, Moves, Permits
from .see_release import Release, Veto

# Outputs of what is left free; 0 is what a quiet flight has.
FREE = {
    "strokes.burst_now": 0,
    "strokes.loss_now": 0,
    "tank.charging": 0,
    "health.late_latch": 0,
    "health.clock_bad": 0,
}
FREE_WORDS = {
    "strokes.burst_now": "a burst is seen",
    "strokes.loss_now": "air is lost in the stroke",
    "tank.charging": "the tank is being filled",
    "health.late_latch": "the tick is far too late",
    "health.clock_bad": "the clock is wrong",
}


class Deaf:
    """Mixed into a class whose instance is only a port: its step is done elsewhere."""

    __slots__ = ()

    def step(self, *_):
        return


class DeafSensor(Deaf, RawSensor):
    __slots__ = ()


class DeafSwitch(Deaf, RawSwitch):
    __slots__ = ()


class Wire:
    """The command of the tick before."""

    def __init__(self):
        self.command = 0

    def set(self, command):
        self.command = command


def supply_letters(settings):
    """Supply codes at the edges, as `Controller` measures them."""
    meter = Controller.__new__(Controller)
    meter.settings = settings

    def letter(words, counts):
        meter._measure_supply(counts)
        return Letter(words, supply_mv=meter.supply_mv, supply_counts=counts)

    if settings.supply_fitted == 0:
        return [letter("", 0)]
    force = -(-settings.supply_force_mv * 4095 // settings.supply_full_mv)
    permit = -(-(settings.supply_force_mv + 300) * 4095 // settings.supply_full_mv)
    return [
        letter("", permit),
        letter("supply between forcing and permit", permit - 1),
        letter("supply low", force - 1),
        letter("supply reading out of range", 4096),
    ]


def ground_letters(settings):
    clear = settings.ground_clear_level
    letters = [Letter("", ground=clear)]
    if settings.ground_fitted:
        letters.append(Letter("on the ground", ground=1 - clear))
    return letters


def extras(settings, free=tuple(FREE)):
    """Letters that differ from a quiet tick in one thing each."""
    quiet = Letter("", **FREE) | ground_letters(settings)[0] | supply_letters(settings)[0]
    return [
        quiet,
        *(quiet | Letter(FREE_WORDS[name], **{name: 1}) for name in free),
        *(quiet | letter for letter in ground_letters(settings)[1:] + supply_letters(settings)[1:]),
    ]


class Path:
    """Judge, Gear and Interlock, with ports for all that they read of other parts."""

    def __init__(self, settings, valve_kind=VALVE_SPRING, settings_state=0, locked_out=0):
        limits = Limits(settings)
        self.settings = settings
        self.limits = limits
        self.inputs = Inputs()
        self.ground = Ground(settings, limits)
        self.judge = Judge(settings, limits, settings_state, valve_kind)
        self.gear = Gear(limits, settings.switch_frames, locked_out)
        self.interlock = Interlock(settings, settings_state)
        self.wire = Wire()
        fixed = (settings, limits)
        self.ground_part = Part("ground", {"ground": self.ground}, fixed)
        self.judge_part = Part("judge", {"judge": self.judge}, fixed)
        self.gear_part = Part("gear", {"gear": self.gear}, fixed)
        self.second_ports = self._cut_second_path()
        cut = [port.instance for port in self.second_ports]
        self.second_part = Part("second path", {"interlock": self.interlock, "wire": self.wire}, (*fixed, *cut))
        self.ports = {
            "link": Link(limits), "switch": Switch(settings), "pressure": Pressure(settings, limits),
            "strokes": Strokes(settings, limits), "tank": Tank(limits), "ground": Ground(settings, limits),
            "health": Health(settings.tick_ms),
        }  # fmt: skip
        self.facts = Facts()

    def _cut_second_path(self):
        """Its decoders become ports; they are run where the raw inputs are (nets_channel.py, nets_air.py)."""
        ports = []
        for container, key, raw in only(self.interlock, RawSwitch) + only(self.interlock, RawSensor):
            is_switch = isinstance(raw, RawSwitch)
            deaf = (DeafSwitch if is_switch else DeafSensor).__new__(DeafSwitch if is_switch else DeafSensor)
            for name, value in public("", raw).items():
                setattr(deaf, name[1:], getattr(*value))
            if isinstance(container, list):
                container[key] = deaf
            else:
                setattr(container, key, deaf)
            ports.append(Port("raw" if is_switch else f"raw{key}", deaf))
        return ports

    # the calls of Controller.tick, in its order

    def hear_second(self, ground):
        self.inputs.ground_level = ground
        self.interlock.step(self.inputs)
        return (self.wire.command,)

    def follow_ground(self, ground):
        self.ground.step(ground)

    def weigh(self, before, supply_mv, leave):
        p = self.ports
        self.judge.step(
            before, p["link"], p["switch"], p["pressure"], p["strokes"], p["tank"], supply_mv, p["ground"],
            p["health"], leave,
        )  # fmt: skip

    def decide(self):
        wanted = self.gear.step(self.facts)
        causes = sum(bit << cause for cause, bit in enumerate(self.gear.latched))
        return wanted, causes

    def gate(self, wanted):
        after = self.interlock.gate(wanted)
        self.wire.set(after)
        return (after,)

    def second_move(self):
        exports = public("second", self.interlock)
        return Move(self.second_part, self.hear_second, ("ground",), self.second_ports, ("before",), exports)

    def moves(self):
        return [self.second_move(), *self.mode_moves(), self.gate_move("wanted")]

    def mode_moves(self):
        ports = [Port(name, thing) for name, thing in self.ports.items()]
        return [
            Move(self.ground_part, self.follow_ground, ("ground",), (), (), public("ground", self.ground)),
            Move(
                self.judge_part, self.weigh, ("before", "supply_mv", "second.leave"), ports, (),
                public("facts", self.judge.facts),
            ),
            Move(
                self.gear_part, self.decide, (), [Port("facts", self.facts)], ("wanted", "causes"),
                public("gear", self.gear),
            ),
        ]  # fmt: skip

    def gate_move(self, wanted):
        return Move(self.second_part, self.gate, (wanted,), (), ("after",))


SEEN_MOVES = "before after causes hands.good hands.down_shown hands.up_moved hands.shows health.late_latch".split()
SEEN_PERMITS = (
    "before after causes hands.good hands.up_moved moves.sure gauge supply_mv ground tank.charging gear.refusal".split()
)
SEEN_FORCING = (
    "before after causes hands.lost hands.ever_good gauge doubted supply_mv strokes.burst_now strokes.loss_now "
    "health.late_latch health.clock_bad"
).split()
SEEN_RELEASE = "after causes hands.good hands.shows moves.woken gauge supply_mv".split()
SEEN_SECOND = "before after hands.good hands.down_shown hands.up_moved hands.shows".split()
SEEN_VETO = "before after wanted second.leave causes".split()


class Witnesses:
    """The observers of see_flight.py as moves of a tick: one before everything else, the others after it."""

    def __init__(self, settings, locked_out=0, spare=1):
        times = Times(settings)
        self.moves_seen = Moves(times, locked_out)
        self.permits = Permits(settings, times, 0 if locked_out else spare)
        self.forcing = Forcing(settings, times)
        self.release = Release(settings, times)
        named = {"moves": self.moves_seen, "permits": self.permits, "forcing": self.forcing, "release": self.release}
        self.parts = {name: Part(name, {name: thing}, (settings, times)) for name, thing in named.items()}
        self.parts["veto"] = Part("veto", {"veto": Veto()})

    def first(self):
        """What Moves knew before this tick."""
        moves = self.moves_seen
        return Move(self.parts["moves"], lambda: (moves.sure, moves.woken), (), (), ("moves.sure", "moves.woken"))

    def second_only(self):
        """For the second path alone, whose falls need no cause."""
        moves = self.moves_seen
        parts = {"moves": self.parts["moves"], "veto": self.parts["veto"]}
        return [
            Move(parts["veto"], parts["veto"].roots["veto"].see, SEEN_VETO, verdict=True),
            Move(parts["moves"], moves.see_any_wish, SEEN_SECOND, verdict=True),
        ]

    def last(self, veto=True):
        p = self.parts
        moves = [
            Move(p["permits"], self.permits.see, SEEN_PERMITS, verdict=True),
            Move(p["forcing"], self.forcing.see, SEEN_FORCING, verdict=True),
            Move(p["release"], self.release.see, SEEN_RELEASE, verdict=True),
            Move(p["moves"], self.moves_seen.see, SEEN_MOVES, verdict=True),
        ]
        if self.moves_seen.locked_out:
            # Nothing is latched any more, since nothing is let go any more.
            moves = [move for move in moves if move.part not in (p["forcing"], p["release"])]
        if veto:
            moves.append(Move(p["veto"], p["veto"].roots["veto"].see, SEEN_VETO, verdict=True))
        return moves


def flight(name, settings, letters, spare=1, **kinds):
    """The network of everything. `letters` as made by `product`; `spare` 0: a refusal is never called wrong."""
    seen = Witnesses(settings, kinds.get("locked_out", 0), spare)
    path = Path(settings, **kinds)
    moves = [seen.first(), Channel(settings).move(), Air(settings).move(), *path.moves(), *seen.last()]
    return Network(name, letters, moves)
