"""The pressure sensors as `Controller` and the second path make them, on raw codes."""

from controller.frames import Inputs
from controller.interlock import Interlock
from controller.limits import Limits
from controller.pressure import Pressure
from controller.second_inputs import RawSensor

from .made import Times, code_for
from .moves import Move
from .nets_channel import only
from .network import Letter, Network, product
from .parts import Part, public
from .see_air import Gauge, judge_pressure

# Only slopes and strokes read these (strokes.py, tank.py), and those are searched apart.
SLOPES = ("pressure.smooth", "pressure.primed", "pressure.jumped", "pressure._pause", "pressure._readers")
# Raw span of a stroke: nothing but a judgement of `frozen` by strokes.py comes of it, and `frozen` is a free letter.
SPANS = {"raw_low": 4095, "raw_high": 0}


class Level(Pressure):
    """Pressure without the smoothing that only slopes use; `never` in the part proves that nothing else reads it."""

    def _smooth(self, readers):
        pass


assert hasattr(Pressure, "_smooth"), "the smoothing has another name now"


def air_letters(settings, names="plenty middle low open"):
    """Sensor codes at the edges of what is decided, for one sensor."""
    s = settings
    mbar = {
        "plenty": s.retract_above_mbar,
        "just enough for the second path": s.retract_above_mbar - s.begin_slack_mbar,
        "middle": s.retract_above_mbar - s.begin_slack_mbar - 20,
        "just above forcing": s.force_below_mbar,
        "low": s.force_below_mbar - 20,
        "just above warning": s.warn_below_mbar,
        "below warning": s.warn_below_mbar - 20,
    }
    codes = {name: code_for(value, s) for name, value in mbar.items()}
    codes |= {"open": s.sensor_open_counts - 1, "short": s.sensor_short_counts + 1, "no code": -1, "beyond": 4096}
    return {name: codes[name.replace("_", " ")] for name in names.split()}


def one_sensor(settings, names="plenty middle low open"):
    rail = settings.rail_nominal_counts
    return [
        Letter(f"pressure {name}", code_a=code, code_b=0, rail=rail, stuck_a=0, stuck_b=0)
        for name, code in air_letters(settings, names).items()
    ]


def frozen_sensor(settings, names="plenty low"):
    """The same readings of a sensor that a stroke found frozen."""
    return [
        Letter(f"{letter.words}, frozen") | letter_with(letter, stuck_a=1) for letter in one_sensor(settings, names)
    ]


def letter_with(letter, **values):
    """A letter without words of its own."""
    return Letter("", **{**letter.values, **values})


def two_sensors(settings, names="plenty middle low open"):
    rail = settings.rail_nominal_counts
    codes = air_letters(settings, names)
    return [
        Letter(f"pressure a {one}, b {other}", code_a=code, code_b=other_code, rail=rail, stuck_a=0, stuck_b=0)
        for one, code in codes.items()
        for other, other_code in codes.items()
    ]


class Air:
    """Pressure, the RawSensors that Interlock made, and the observer."""

    def __init__(self, settings, name="air"):
        limits = Limits(settings)
        times = Times(settings)
        self.inputs = Inputs()
        self.pressure = Level(settings, limits)
        self.raws = [found[2] for found in only(Interlock(settings, 0), RawSensor)][: settings.sensor_count]
        self.gauge = Gauge(settings, times)
        roots = {"pressure": self.pressure, "gauge": self.gauge}
        roots |= {f"raw{index}": raw for index, raw in enumerate(self.raws)}
        self.part = Part(name, roots, (settings, limits, times), SPANS, SLOPES)

    def run(self, code_a, code_b, rail, stuck_a, stuck_b):
        inputs = self.inputs
        inputs.counts[0], inputs.counts[1], inputs.rail_counts = code_a, code_b, rail
        for index, raw in enumerate(self.raws):
            raw.step(inputs.counts[index], rail)
        for sensor, stuck in zip(self.pressure.sensors, (stuck_a, stuck_b), strict=True):
            sensor.frozen = stuck
        self.pressure.step(inputs)
        self.gauge.see((code_a, code_b), (stuck_a, stuck_b))
        return self.gauge.summary(), self.gauge.doubted(), judge_pressure(self.gauge, self.pressure)

    def move(self):
        exports = public("pressure", self.pressure)
        for index, raw in enumerate(self.raws):
            exports |= public(f"raw{index}", raw)
        return Move(
            self.part,
            self.run,
            ("code_a", "code_b", "rail", "stuck_a", "stuck_b"),
            (),
            ("gauge", "doubted"),
            exports,
            True,
        )


def pressure_network(name, settings, letters):
    return Network(name, product(letters), [Air(settings).move()])
