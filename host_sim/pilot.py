"""What the pilot and the world do: beats of a scenario, resolved to a state at any time.

A beat sets values at its time and leaves the others alone; with `over` the numbers in it ramp linearly to their new
values. A value stays until the next beat that names it.
"""

import bisect
from dataclasses import dataclass, field

from controller import codes

from .yamlfile import Mapping

_EPSILON_S = 1e-9
# What can ramp: unit, low, high. What switches: its words, whose place is the value.
RAMPS = {
    "throttle": ("percent", 0.0, 100.0),
    "brake": ("percent", 0.0, 100.0),
    "airspeed": ("m/s", 0.0, 150.0),
    "altitude": ("m", -400.0, 5000.0),
    "ambient": ("K", 233.0, 333.0),
}
STEPS = {
    "switch": ("down", "up"),
    "light": ("off", "on"),
    "button": ("released", "pressed"),
    "transmitter": ("off", "on"),
    "ground": ("no", "yes"),
    "filling": ("off", "on"),
}


@dataclass
class PilotState:
    """Everything outside the aircraft's own devices at one time.

    switch          codes.DOWN or codes.UP, where the stick is
    throttle, brake 0 .. 1
    light, button   0 or 1
    transmitter     0 or 1: whether the pilot's radio is on
    ground          0 or 1: whether the wheels carry the aircraft
    filling         0 or 1: whether a charging hose fills the tank
    airspeed_m_s, altitude_m, ambient_k
    """

    switch: int = codes.DOWN
    throttle: float = 0.0
    brake: float = 0.0
    light: int = 0
    button: int = 0
    transmitter: int = 1
    ground: int = 1
    filling: int = 0
    airspeed_m_s: float = 0.0
    altitude_m: float = 0.0
    ambient_k: float = 288.15


_ATTRIBUTES = {"airspeed": "airspeed_m_s", "altitude": "altitude_m", "ambient": "ambient_k"}


@dataclass
class _Track:
    """One value over time: pieces (start_s, start value, end_s, end value); after a piece its end value holds."""

    first: float | int
    starts_s: list[float] = field(default_factory=list)
    pieces: list[tuple] = field(default_factory=list)

    def at(self, t_s):
        index = bisect.bisect_right(self.starts_s, t_s + _EPSILON_S) - 1
        if index < 0:
            return self.first
        start_s, from_value, end_s, to_value = self.pieces[index]
        if t_s >= end_s - _EPSILON_S:
            return to_value
        return from_value + (to_value - from_value) * (t_s - start_s) / (end_s - start_s)

    def add(self, start_s, end_s, value):
        self.pieces.append((start_s, self.at(start_s), end_s, value))
        self.starts_s.append(start_s)


class Pilot:
    """The beats of one flight. `at(t_s)` gives the state at a time; the same object is filled again each call."""

    def __init__(self, tracks):
        self._tracks = [(_ATTRIBUTES.get(key, key), track) for key, track in tracks.items()]
        self._state = PilotState()

    def at(self, t_s):
        """PilotState at `t_s` seconds since power-on."""
        state = self._state
        for name, track in self._tracks:
            setattr(state, name, track.at(t_s))
        return state


def read_beats(node, duration_s, start):
    """Pilot of the list `beats`. `start` gives altitude_m, ambient_k and airspeed_m_s before the first beat."""
    default = PilotState()
    tracks = {}
    for key in (*RAMPS, *STEPS):
        attribute = _ATTRIBUTES.get(key, key)
        tracks[key] = _Track(getattr(start, attribute, getattr(default, attribute)))
    last_s = 0.0
    for beat in node.of(Mapping):
        at_s = beat.take("at").quantity("s", 0.0, duration_s)
        if at_s < last_s:
            beat.take("at").fail(f"'{beat.take('at').text}' is before the beat above it, at {last_s:g} s")
        last_s = at_s
        over_s = 0.0
        if beat.has("over"):
            over_s = beat.take("over").quantity("s", 0.0, duration_s)
            if at_s + over_s > duration_s + _EPSILON_S:
                beat.take("over").fail(
                    f"the ramp ends at {at_s + over_s:g} s, after the flight's end at {duration_s:g} s"
                )
        _read_beat(beat, at_s, over_s, tracks)
    return Pilot(tracks)


def _read_beat(beat, at_s, over_s, tracks):
    set_keys = [key for key in (*RAMPS, *STEPS) if beat.has(key)]
    beat.close()
    if not set_keys:
        beat.fail("sets nothing")
    if over_s and not any(key in RAMPS for key in set_keys):
        beat.fail(f"'over' needs a value that can ramp: {', '.join(RAMPS)}")
    for key in set_keys:
        track, scalar = tracks[key], beat.take(key)
        if track.pieces:
            start_s, _, end_s, _ = track.pieces[-1]
            if at_s < end_s - _EPSILON_S:
                scalar.fail(f"the ramp of {key} from {start_s:g} s to {end_s:g} s is not over yet at {at_s:g} s")
            if at_s == start_s:
                scalar.fail(f"{key} is set twice at {at_s:g} s")
        if key in RAMPS:
            unit, low, high = RAMPS[key]
            value = scalar.quantity(unit, low, high)
            track.add(at_s, at_s + over_s, value / 100.0 if unit == "percent" else value)
        else:
            track.add(at_s, at_s, STEPS[key].index(scalar.word(STEPS[key])))
