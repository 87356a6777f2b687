"""The lines that a board sends while it serves the bench: "see name=value ..." with plain whole numbers.

A line is read whole or not at all: a value that is missing, no number or out of its range is a LinkError that names it.
Names that are not known are passed over, so that a newer board can say more.
"""

from dataclasses import dataclass

from controller import codes

T_SPAN_MS = 1 << 30
ADC_MAX = 4095
DRIVES = ("off", "down", "up")

# name in the line -> (field, how many numbers, lowest, highest)
RAW = {
    "t": ("t_ms", 1, 0, T_SPAN_MS - 1),
    "pulse": ("pulse_us", codes.N_CHANNELS, 0, 30000),
    "fresh": ("fresh", codes.N_CHANNELS, 0, 1000),
    "glitch": ("glitch", codes.N_CHANNELS, 0, T_SPAN_MS),
    "counts": ("counts", codes.N_SENSORS, 0, ADC_MAX),
    "rail": ("rail_counts", 1, 0, ADC_MAX),
    "supply": ("supply_counts", 1, 0, ADC_MAX),
    "lock": ("lock_level", codes.N_LEGS, 0, 1),
    "ground": ("ground_level", 1, 0, 1),
    "button": ("button", 1, 0, 1),
}
FLYING = {
    "tick": ("tick", 1, 0, T_SPAN_MS),
    "mode": ("mode", 1, 0, len(codes.MODE_WORDS) - 1),
    "cmd": ("command", 1, codes.DOWN, codes.UP),
    "link": ("link", 1, 0, len(codes.LINK_WORDS) - 1),
    "switch": ("switch", 1, 0, len(codes.POSITION_WORDS) - 1),
    "cause": ("cause", 1, 0, codes.CAUSE_NONE),
    "refusal": ("refusal", 1, 0, codes.N_REFUSALS - 1),
    "alert": ("alert", 1, 0, codes.N_ALERTS - 1),
    "mbar": ("mbar", 1, -2000, 20000),
    "locked": ("locked", 1, 0, len(codes.LOCK_WORDS) - 1),
    "coil": ("coil", 2, 0, 1),
    "servo": ("servo_us", 1, 0, 2500),
    "light": ("light", 1, 0, 1),
    "lamp": ("lamp", 1, 0, 1),
    "tone": ("tone_hz", 1, 0, 20000),
    "fed": ("fed", 1, 0, 1000),
    "late": ("late", 1, 0, T_SPAN_MS),
}


class LinkError(Exception):
    """The board cannot be reached or says what cannot be understood. `str()` is one line."""


@dataclass(frozen=True, slots=True)
class Flying:
    """What the controller does at one line: codes of controller/codes.py; `mbar` gauge, -1 not known."""

    tick: int
    mode: int
    command: int
    link: int
    switch: int
    cause: int
    refusal: int
    alert: int
    mbar: int
    locked: int
    coil: tuple[int, ...]
    servo_us: int
    light: int
    lamp: int
    tone_hz: int
    fed: int
    late: int


@dataclass(frozen=True, slots=True)
class Seen:
    """One line. Pulses in us, in the order of codes.CHANNEL_WORDS, 0 where none came yet; counts are 12-bit codes;
    levels are pins'. `flying` is a Flying, or None while the board only looks."""

    t_ms: int
    pulse_us: tuple[int, ...]
    fresh: tuple[int, ...]
    glitch: tuple[int, ...]
    counts: tuple[int, ...]
    rail_counts: int
    supply_counts: int
    lock_level: tuple[int, ...]
    ground_level: int
    button: int
    drive: str
    flying: Flying | None = None


def parse_seen(line):
    """Seen of one "see ..." line. Raises LinkError."""
    words = {}
    for word in line.split()[1:]:
        name, _, value = word.partition("=")
        words[name] = value
    drive = words.get("drive", "")
    if drive not in DRIVES:
        raise LinkError(f"the board's line has drive={drive[:20]!r}; allowed: {', '.join(DRIVES)}")
    fields = {field: _numbers(words, name, row) for name, row in RAW.items() for field in row[:1]}
    flying = None
    if "tick" in words:
        flying = Flying(**{field: _numbers(words, name, row) for name, row in FLYING.items() for field in row[:1]})
    return Seen(drive=drive, flying=flying, **fields)


def _numbers(words, name, row):
    """The number, or the tuple of numbers, of a name."""
    _, count, low, high = row
    text = words.get(name, "")
    try:
        numbers = tuple(int(part) for part in text.split(","))
    except ValueError:
        numbers = ()
    if len(numbers) != count or not all(low <= number <= high for number in numbers):
        raise LinkError(f"the board's line has {name}={text[:40]!r}; wanted: {count} of {low} to {high}")
    return numbers[0] if count == 1 else numbers


def seconds_between(earlier, later):
    """Seconds from one Seen to a later one, over the wrap of the board's clock."""
    return ((later.t_ms - earlier.t_ms) % T_SPAN_MS) / 1000.0
