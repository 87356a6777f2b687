"""A live view of everything that the board reads, in the owner's units. Nothing is sent to the board, nothing driven.

All inputs are told once; then, once a second, those that have changed by more than their noise.
"""

from dataclasses import dataclass
from itertools import count
from statistics import fmean

from controller import codes

from .lines import seconds_between
from .readings import pulses, rail_v, sensor_states, supply_v
from .steps_radio import END_WORDS, file_end_us

EVERY_S = 1.0
GLITCH_MASK = 0xFFFF
# What counts as a change: more than readings jitter by themselves.
PULSE_US, RATE, RAIL_V, SUPPLY_V, NEAR_END = 6, 5, 0.05, 0.2, 0.05
# The jitter of a mean over a second stays well inside the peak noise that the file states.
LEAST_BAR = 0.01


@dataclass(frozen=True)
class Row:
    """One input: `text` for people; `words` and `numbers` ((value, what it may jitter by), ...) say whether it changed."""

    name: str
    text: str
    words: str = ""
    numbers: tuple = ()

    def differs(self, other):
        """Whether it has changed from an earlier Row of the same input."""
        if self.words != other.words or len(self.numbers) != len(other.numbers):
            return True
        return any(
            abs(now - before) > band for (now, band), (before, _) in zip(self.numbers, other.numbers, strict=True)
        )


def watch(on, tell, each_second=None):
    """Tell what changes, second by second, for as long as `each_second` lasts. `on` a step.Setting. Raises LinkError."""
    told, first, glitches = {}, None, None
    for _ in each_second or count():
        seen = on.board.watch(EVERY_S)
        first, glitches = first or seen[0], glitches or seen[0].glitch
        rows = input_rows(on, seen, glitches)
        glitches = seen[-1].glitch
        changed = [row for row in rows if row.name not in told or row.differs(told[row.name])]
        told |= {row.name: row for row in changed}
        lines = [f"{row.name:<15}{row.text}" for row in changed] or ["no change"]
        for number, line in enumerate(lines):
            stamp = "" if number else f"{seconds_between(first, seen[-1]):.0f} s"
            tell(f"{stamp:>7}  {line}")


def demonstrated(person):
    """A few seconds of an invented bench, with somebody who moves this and that."""
    acts = (
        None,
        (("lever", codes.GEAR, 1), "Gear switch to UP."),
        (("button", 1), "Acknowledge button held."),
        (("transmitter", 0), "Transmitter off."),
        None,
    )
    for number, act in enumerate(acts):
        if act is not None:
            person.do(*act)
        yield number


def input_rows(on, seen, glitches):
    """A Row for every input, from the lines of about a second; `glitches` as the board had counted them before."""
    return [*_channels(on, seen, glitches), *_analogue(on, seen), *_contacts(on, seen[-1])]


def _channels(on, seen, glitches):
    s = on.settings
    fitted = (1, s.throttle_fitted, s.brake_fitted, s.light_fitted, int(s.signature_channel == codes.SPARE))
    widths, counts = pulses(seen)
    seconds = max(seconds_between(seen[0], seen[-1]), 0.1) * len(seen) / max(len(seen) - 1, 1)
    for channel, word in enumerate(codes.CHANNEL_WORDS):
        dropped = (seen[-1].glitch[channel] - glitches[channel]) & GLITCH_MASK
        spoilt = f", {dropped} dropped as glitches" if dropped else ", no glitches"
        if not counts[channel]:
            if fitted[channel] or dropped:
                yield Row(word, f"no pulses{spoilt}", "no pulses", ((dropped, 0),))
            continue
        rate = counts[channel] / seconds
        where, numbers = _position(on, channel, widths[channel])
        text = f"{widths[channel]} us, {where}, {rate:.0f} fresh a second{spoilt}"
        if not fitted[channel]:
            text += " (the file has nothing there)"
        yield Row(word, text, "pulses", ((widths[channel], PULSE_US), (rate, RATE), (dropped, 0), *numbers))


def _position(on, channel, width_us):
    """(where the control is, numbers that say whether it has moved)."""
    s = on.settings
    if channel == codes.SPARE:
        signed = s.signature_channel == codes.SPARE and s.signature_low_us <= width_us <= s.signature_high_us
        return ("inside the signature" if signed else "outside the signature"), ((int(signed), 0),)
    words = END_WORDS[channel]
    if channel == codes.GEAR:
        high, low = width_us >= s.gear_high_us, width_us <= s.gear_low_us
        at = (high or low) and int(high == bool(s.gear_up_high))
        return (words[at] if high or low else "between"), ((at if high or low else 2, 0),)
    low_us, high_us = (file_end_us(on.aircraft, channel, end) for end in (0, 1))
    share = (width_us - low_us) / (high_us - low_us)
    at_end = words[0] if share < NEAR_END else words[1] if share > 1.0 - NEAR_END else "between"
    return f"{at_end} ({round(100 * share)} %)", ()


def _analogue(on, seen):
    s = on.settings
    for name, (bar, state) in zip("ab", sensor_states(seen, s), strict=False):
        counts = fmean(one.counts["ab".index(name)] for one in seen)
        shown = state if bar is None else on.show(bar)
        band = (bar or 0.0, max(LEAST_BAR, s.sensor_noise_mbar / 1000.0))
        yield Row(f"sensor {name}", f"{shown} (code {counts:.0f})", state, (band,) if bar is not None else ())
    if s.rail_fitted:
        volts = rail_v(seen, on.aircraft.rail)
        yield Row("rail", f"{volts:.2f} V", numbers=((volts, RAIL_V),))
    if s.supply_fitted:
        volts = supply_v(seen, s)
        yield Row("supply", f"{volts:.2f} V", numbers=((volts, SUPPLY_V),))


def _contacts(on, last):
    s = on.settings
    for index, name in enumerate(on.aircraft.leg_names[: s.lock_count]):
        level = last.lock_level[index]
        yield _contact(f"lock {name}", "locked" if level == s.lock_closed_level else "not locked", level)
    if s.ground_fitted:
        word = "clear of the ground" if last.ground_level == s.ground_clear_level else "on the wheels"
        yield _contact("ground switch", word, last.ground_level)
    word = "pressed" if last.button else "released"
    yield Row("button", word, word)


def _contact(name, word, level):
    return Row(name, f"{word} (pin {'high' if level else 'low'})", word)
