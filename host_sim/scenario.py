"""A scenario file: one scripted flight, what breaks in it, and what must be seen in its trace.

Keys: title, story, aircraft, seed, lasts, covers, limits, start, options, beats, faults, claims. `load_scenario`
refuses every key, unit, time and word it does not know, with the file and the line.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from .air.atmosphere import ambient_pa, geopotential_m, standard_k
from .aircraft import AIRCRAFT_DIR, Aircraft, load_aircraft
from .claims import Claim, read_claims
from .errors import InputError
from .faults import CATALOGUE, WHOLE_FLIGHT_S, Fault
from .pilot import Pilot, read_beats
from .yamlfile import Mapping, Scalar, Sequence, read

SCENARIO_DIR = Path(__file__).parent / "scenarios"
LONGEST_S = 3600.0
SIDES = ("acts", "spares")
_REQUIREMENT = re.compile(r"SR-\d\d\Z")
_COVER = re.compile(r"(SR-\d\d) (acts|spares)\Z")


@dataclass(frozen=True)
class Start:
    """The aircraft at power-on. `tank_bar` is gauge against the ambient pressure at `altitude_m`."""

    tank_bar: float
    gear_down: bool
    altitude_m: float
    ambient_k: float
    airspeed_m_s: float

    @property
    def tank_pa_gauge(self):
        """Tank pressure, Pa gauge."""
        return self.tank_bar * 1e5

    @property
    def ambient_pa_abs(self):
        """Ambient pressure of the standard atmosphere, Pa absolute."""
        return ambient_pa(self.altitude_m)


@dataclass(frozen=True)
class Scenario:
    """One checked scenario. `faults` are faults.Fault; `covers` pairs of (requirement, "acts" or "spares").

    `limits` are the requirements whose limit the flight shows: what no controller could have done.

    `pilot` answers `at(t_s)`: what the pilot and the world do at a time. `fault_lines` has the line of each fault.
    """

    file: str
    title: str
    story: str
    aircraft: Aircraft
    seed: int
    duration_s: float
    covers: tuple[tuple[str, str], ...]
    limits: tuple[str, ...]
    start: Start
    pilot: Pilot
    faults: tuple[Fault, ...]
    claims: tuple[Claim, ...]
    fault_lines: tuple[int, ...]

    @property
    def name(self):
        """The file's name without its ending."""
        return Path(self.file).stem

    @property
    def n_ticks(self):
        """Ticks of the controller in the flight."""
        return int(self.duration_s * 1000.0 / self.aircraft.settings.tick_ms + 1e-6)


def load_scenario(path):
    """Scenario of a file. Raises InputError."""
    top = read(path)
    title = top.take("title").string(120)
    story = " ".join(top.take("story").string().split())
    options = top.take("options", Mapping, None)
    aircraft = _read_aircraft(top.take("aircraft"), options)
    seed = top.take("seed").whole(0, 2**31 - 1)
    duration_s = top.take("lasts").quantity("s", 1.0, LONGEST_S)
    start = _read_start(top.take("start", Mapping), aircraft)
    covers, limits = _read_covers(top)
    pilot = read_beats(top.take("beats", Sequence), duration_s, start)
    faults = top.take("faults", Sequence, None)
    parts = faults.of(Mapping) if faults else []
    read_faults = tuple(_read_fault(part, duration_s, aircraft) for part in parts)
    claims = read_claims(top.take("claims", Sequence), duration_s)
    top.close()
    return Scenario(
        file=str(path),
        title=title,
        story=story,
        aircraft=aircraft,
        seed=seed,
        duration_s=duration_s,
        covers=covers,
        limits=limits,
        start=start,
        pilot=pilot,
        faults=read_faults,
        claims=claims,
        fault_lines=tuple(part.line for part in parts),
    )


def shipped_scenarios():
    """Paths of the scenarios that come with the program, sorted by name."""
    return sorted(SCENARIO_DIR.glob("*.yaml"))


def _read_aircraft(node, options):
    name = node.string(200)
    beside = Path(node.file).parent / name
    for path in (beside, AIRCRAFT_DIR / name):
        if path.is_file():
            return load_aircraft(path, options)
    known = ", ".join(sorted(file.name for file in AIRCRAFT_DIR.glob("*.yaml")))
    node.fail(f"no file '{name}' beside the scenario or among the aircraft here: {known}")


def _read_start(node, aircraft):
    tank_bar = node.take("tank").quantity("bar", 0.0, 16.0, "gauge", aircraft.unit)
    gear_down = node.take("gear").word(("down", "up")) == "down"
    altitude_m = node.take("altitude").quantity("m", -400.0, 5000.0) if node.has("altitude") else 0.0
    ambient_k = node.take("ambient").quantity("K", 233.0, 333.0) if node.has("ambient") else None
    airspeed_m_s = node.take("airspeed").quantity("m/s", 0.0, 150.0) if node.has("airspeed") else 0.0
    node.close()
    if ambient_k is None:
        ambient_k = standard_k(geopotential_m(altitude_m))
    return Start(tank_bar, gear_down, altitude_m, ambient_k, airspeed_m_s)


def _read_covers(top):
    """(covers, limits): pairs of requirement and side, and requirements; at least one of either."""
    covers = top.take("covers", Sequence, None)
    limits = top.take("limits", Sequence, None)
    pairs = _matches(covers, _COVER, "a requirement and a side, like 'SR-03 acts' or 'SR-03 spares'")
    bare = _matches(limits, _REQUIREMENT, "a requirement, like 'SR-03'")
    if not pairs and not bare:
        at = covers or limits or top
        raise InputError(at.file, at.line, "covers: names no requirement; wanted is at least one, like 'SR-03 acts'")
    return tuple(tuple(text.split()) for text in pairs), bare


def _matches(node, pattern, wanted):
    texts = []
    for item in node.of(Scalar) if node else []:
        text = item.text.strip()
        if not pattern.match(text):
            item.fail(f"'{text[:40]}' is not {wanted}")
        if text in texts:
            item.fail(f"'{text}' stands twice")
        texts.append(text)
    return tuple(texts)


def _read_fault(node, duration_s, aircraft):
    kind = CATALOGUE[node.take("what").word(tuple(CATALOGUE))]
    from_s, until_s = 0.0, WHOLE_FLIGHT_S
    if kind.at_start:
        for key in ("from", "until"):
            if key in node.items:
                node.items[key].fail(f"'{kind.name}' acts on the start of the flight and takes no times")
    else:
        from_s = node.take("from").quantity("s", 0.0, duration_s)
        if from_s >= duration_s:
            node.take("from").fail(f"is the end of the flight ({duration_s:g} s): nothing would happen")
        if node.has("until"):
            until_s = node.take("until").quantity("s", 0.0, duration_s)
            if until_s <= from_s:
                node.take("until").fail(f"'{node.take('until').text}' is not after its beginning, {from_s:g} s")
    values = {p.name: _read_parameter(node.take(p.name), p, aircraft) for p in kind.parameters if node.has(p.name)}
    node.close()
    return Fault(kind, from_s, until_s, values)


def _read_parameter(scalar, parameter, aircraft):
    if parameter.words:
        return scalar.word(parameter.words)
    if parameter.whole:
        value = scalar.whole(int(parameter.low), int(parameter.high))
        if parameter.name == "leg" and value > len(aircraft.air.legs):
            scalar.fail(f"'{value}': {aircraft.name} has {len(aircraft.air.legs)} legs")
        return value
    if not parameter.unit:
        return scalar.number(parameter.low, parameter.high)
    reference = "gauge" if parameter.name == "pressure" else ""
    return scalar.quantity(parameter.unit, parameter.low, parameter.high, reference)


def check_no_clash(scenarios):
    """Raise InputError when two loaded scenarios have one title: reports would mix them up."""
    seen = {}
    for scenario in scenarios:
        if scenario.title in seen:
            raise InputError(scenario.file, "title", f"'{scenario.title}' is also the title of {seen[scenario.title]}")
        seen[scenario.title] = scenario.file
