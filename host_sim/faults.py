"""The closed catalogue of what can break in a scenario, as data.

A fault has a kind, an onset and an end (the whole flight where none is given) and the kind's parameters, each in the
unit of the catalogue. What a fault does to a device stands in fault_effects.py; a test holds the two together.
"""

from dataclasses import dataclass, field

from controller import codes

WHOLE_FLIGHT_S = float("inf")
CHANNELS = codes.CHANNEL_WORDS
SENSORS = ("a", "b")


@dataclass(frozen=True)
class Parameter:
    """One number or word of a fault. `unit` "" is a plain number; `words` lists the choices of a word instead.

    `low`, `high` and `default` are in `unit`; `whole` asks for an integer.
    """

    name: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    default: float | int | str = 0.0
    words: tuple[str, ...] = ()
    whole: bool = False


@dataclass(frozen=True)
class FaultKind:
    """One thing that can break: its name, the device it hits, a sentence for a pilot, its parameters.

    `at_start` marks a kind that acts on how the flight begins and therefore takes no times.
    """

    name: str
    device: str
    sentence: str
    parameters: tuple[Parameter, ...] = ()
    at_start: bool = False

    def parameter(self, name):
        """The parameter of that name, or None."""
        for parameter in self.parameters:
            if parameter.name == name:
                return parameter
        return None


@dataclass(frozen=True)
class Fault:
    """A fault of one scenario: kind, active for from_s <= t < until_s, and values by parameter name."""

    kind: FaultKind
    from_s: float = 0.0
    until_s: float = WHOLE_FLIGHT_S
    values: dict = field(default_factory=dict)

    def __getitem__(self, name):
        """Value of a parameter, the default where the scenario gives none. KeyError for a name the kind lacks."""
        if name in self.values:
            return self.values[name]
        parameter = self.kind.parameter(name)
        if parameter is None:
            raise KeyError(name)
        return parameter.default


def make_fault(name, from_s=0.0, until_s=WHOLE_FLIGHT_S, **values):
    """A checked Fault. ValueError names the kind, the parameter, the value and what is allowed."""
    kind = CATALOGUE.get(name)
    if kind is None:
        raise ValueError(f"{name!r} is not a known fault; known are {', '.join(CATALOGUE)}")
    if kind.at_start and (from_s != 0.0 or until_s != WHOLE_FLIGHT_S):
        raise ValueError(f"{name}: acts on the start of the flight and takes no times")
    if not 0.0 <= from_s < until_s:
        raise ValueError(f"{name}: starts at {from_s} s, which is not before its end at {until_s} s")
    for key, value in values.items():
        parameter = kind.parameter(key)
        if parameter is None:
            allowed = ", ".join(p.name for p in kind.parameters) or "none"
            raise ValueError(f"{name}: {key!r} is not a parameter; allowed are {allowed}")
        _check_value(name, parameter, value)
    return Fault(kind, float(from_s), float(until_s), dict(values))


def _check_value(name, parameter, value):
    if parameter.words:
        if value not in parameter.words:
            raise ValueError(f"{name}: {parameter.name} {value!r} is not one of {', '.join(parameter.words)}")
        return
    if isinstance(value, (bool, str)) or not isinstance(value, (int, float)):
        raise ValueError(f"{name}: {parameter.name} {value!r} is not a number")
    if not parameter.low <= value <= parameter.high:
        unit = f" {parameter.unit}" if parameter.unit else ""
        allowed = f"{parameter.low:g} to {parameter.high:g}{unit}"
        raise ValueError(f"{name}: {parameter.name} {value:g}{unit} is outside {allowed}")
    if parameter.whole and value != int(value):
        raise ValueError(f"{name}: {parameter.name} {value:g} is not a whole number")


_SENSOR = Parameter("sensor", words=SENSORS, default="a")
_CHANNEL = Parameter("channel", words=CHANNELS, default="gear")
_LEG = Parameter("leg", "", 1, codes.N_LEGS, 1, whole=True)


def _hole(default_mm, high_mm=5.0):
    """An effective diameter: that of the ideal hole (discharge coefficient 1) that passes the same flow."""
    return Parameter("hole", "mm", 0.01, high_mm, default_mm)


# fmt: off
_KINDS = (
    # pressure sensors
    FaultKind("sensor open", "sensor", "A pressure sensor's wire has come off; its input is pulled low.", (_SENSOR,)),
    FaultKind("sensor short", "sensor", "A pressure sensor's signal is shorted to its rail.", (_SENSOR,)),
    FaultKind("sensor frozen", "sensor", "A pressure sensor stays at the reading it had.", (_SENSOR,)),
    FaultKind("sensor drift", "sensor", "A pressure sensor's reading creeps away from the truth.",
              (_SENSOR, Parameter("rate", "mbar/s", -500.0, 500.0, 5.0))),
    FaultKind("sensor offset", "sensor", "A pressure sensor reads too high or too low by a constant.",
              (_SENSOR, Parameter("offset", "mbar", -5000.0, 5000.0, 200.0))),
    FaultKind("sensor noise", "sensor", "A pressure sensor is much noisier than it should be.",
              (_SENSOR, Parameter("noise", "mbar", 0.0, 2000.0, 50.0))),
    FaultKind("sensor intermittent", "sensor", "A pressure sensor's wire makes and breaks by turns.",
              (_SENSOR, Parameter("off", "ms", 5.0, 10000.0, 100.0), Parameter("on", "ms", 5.0, 10000.0, 100.0))),
    FaultKind("rail shift", "rail", "The 5 V rail of the sensors has moved.",
              (Parameter("shift", "V", -2.0, 1.0, -0.25),)),
    # radio
    FaultKind("transmitter off", "receiver", "The radio link is gone; the receiver does what this aircraft's does."),
    FaultKind("no pulses", "receiver", "The radio link is gone and the receiver falls silent."),
    FaultKind("preset on loss", "receiver", "The radio link is gone and the receiver sends its preset positions."),
    FaultKind("held pulses", "receiver", "The radio link is gone and the receiver repeats its last pulses for ever."),
    FaultKind("stutter", "receiver", "The radio link drops out and comes back by turns.",
              (Parameter("off", "ms", 5.0, 10000.0, 300.0), Parameter("on", "ms", 5.0, 10000.0, 300.0))),
    FaultKind("channel wire off", "receiver", "The wire of one receiver channel has come off.", (_CHANNEL,)),
    FaultKind("channel stuck high", "receiver", "One channel stays at a long pulse whatever the pilot does.",
              (_CHANNEL, Parameter("pulse", "us", 1500.0, 2500.0, 1900.0))),
    FaultKind("channel stuck low", "receiver", "One channel stays at a short pulse whatever the pilot does.",
              (_CHANNEL, Parameter("pulse", "us", 300.0, 1500.0, 1100.0))),
    FaultKind("glitches", "receiver", "Interference: pulses of random width on one channel, `run` of them in a row at most.",
              (_CHANNEL, Parameter("share", "percent", 0.1, 100.0, 20.0),
               Parameter("run", "", 1, 50, 1, whole=True),
               Parameter("shortest", "us", 0.0, 3000.0, 700.0), Parameter("longest", "us", 0.0, 3000.0, 2300.0))),
    FaultKind("frame period", "receiver", "The receiver's frames come slower or faster than they should.",
              (Parameter("period", "ms", 7.0, 200.0, 40.0),)),
    FaultKind("channels swapped", "receiver", "Two receiver channels are plugged in the wrong way round.",
              (Parameter("first", words=CHANNELS, default="gear"),
               Parameter("second", words=CHANNELS, default="brake"))),
    FaultKind("channel reversed", "receiver", "One channel runs in the wrong direction.", (_CHANNEL,)),
    # air and gear
    FaultKind("valve wire off", "valve", "The wire of the gear valve has come off."),
    FaultKind("valve stuck", "valve", "The gear valve stays where it is."),
    FaultKind("slow leak", "air", "Air escapes from the tank through a small hole.", (_hole(0.15, 1.0),)),
    FaultKind("burst line", "air", "The line between tank and valve has come off.", (_hole(1.0),)),
    FaultKind("torn hose", "air", "A hose between valve and leg is torn and blows off when it carries pressure.",
              (_LEG, Parameter("side", words=("extend", "retract"), default="retract"), _hole(1.0))),
    FaultKind("brake drag", "air", "The brake valve leaks all the time.", (_hole(0.15, 1.0),)),
    FaultKind("empty tank", "air", "The tank was not filled before the flight.",
              (Parameter("pressure", "bar", 0.0, 15.0, 0.0),), at_start=True),
    FaultKind("jammed leg", "gear", "One leg cannot move past a point of its stroke.",
              (_LEG, Parameter("travel", "percent", 0.0, 100.0, 50.0))),
    FaultKind("jammed legs", "gear", "No leg can move past a point of its stroke.",
              (Parameter("travel", "percent", 0.0, 100.0, 50.0),)),
    # switches
    FaultKind("lock switch stuck closed", "switch", "A lock switch reads locked whatever its leg does.", (_LEG,)),
    FaultKind("lock switch stuck open", "switch", "A lock switch never reads locked.", (_LEG,)),
    FaultKind("ground wire off", "switch", "The wire of the ground switch has come off."),
    FaultKind("ground switch stuck", "switch", "The ground switch stays at one reading.",
              (Parameter("reads", words=("clear", "ground"), default="clear"),)),
    FaultKind("button stuck", "switch", "The acknowledge button is stuck pressed."),
    # supply and board
    FaultKind("brown-out", "supply", "The supply drops out; the controller dies and starts again when it is back.",
              (Parameter("supply", "V", 0.0, 3.0, 0.0),)),
    FaultKind("supply sag", "supply", "The supply is low.", (Parameter("supply", "V", 0.0, 12.0, 4.2),)),
    FaultKind("reset", "board", "The controller restarts; power stays on.",
              (Parameter("times", "", 1, 10, 1, whole=True), Parameter("every", "ms", 100.0, 60000.0, 2000.0))),
    FaultKind("settings corrupt", "board", "A stored copy of the settings is damaged.",
              (Parameter("copy", words=("a", "b", "both"), default="a"),), at_start=True),
    FaultKind("settings differ", "board", "The two stored copies of the settings are valid but not the same.",
              at_start=True),
    FaultKind("wiring record lost", "board", "The board's wiring record does not check.", at_start=True),
    FaultKind("clock near wrap", "board", "The board's clock is about to wrap round.",
              (Parameter("before", "s", 0.0, 600.0, 5.0),), at_start=True),
    FaultKind("clock rate", "board", "The board's clock runs fast or slow against its ticks.",
              (Parameter("rate", "percent", 10.0, 400.0, 130.0),)),
    FaultKind("late ticks", "board", "The controller's loop is held up.",
              (Parameter("late", "ms", 1.0, 5000.0, 60.0), Parameter("count", "", 1, 1000, 1, whole=True),
               Parameter("every", "ms", 20.0, 60000.0, 200.0))),
)
# fmt: on
CATALOGUE = {kind.name: kind for kind in _KINDS}
