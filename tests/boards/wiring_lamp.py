"""What lamp and tone say, as tables of boards/WIRING.md: from power-on, on a held board, and for every alert."""

import ast
from pathlib import Path

from controller.alerts import PATTERN, SEVERITY, STEP_MS, STEPS, TABLE, TONE_HZ
from controller.codes import ALERT_NONE, ALERT_WORDS, SEVERITY_WORDS

COMMON = Path(__file__).parents[2] / "boards" / "common"
NUMBERS = ("no", "one", "two", "three", "four")
SHARES = {1: "1/8 s", 2: "1/4 s", 4: "1/2 s", 8: "1 s", 16: "2 s"}


def constant(file, name):
    """A constant of a file of boards/common, which imports modules that a PC lacks. KeyError where there is none."""
    for line in ast.parse((COMMON / file).read_text(encoding="utf-8")).body:
        if isinstance(line, ast.Assign) and getattr(line.targets[0], "id", "") == name:
            return ast.literal_eval(line.value)
    raise KeyError(f"{file}: {name}")


def hold_s(name):
    """Seconds of a count of steps of boards/common/hold.py."""
    return constant("hold.py", name) * constant("hold.py", "STEP_MS") / 1000


def self_test_rows():
    """(lamp, tone, meaning) from power-on, as seen from 3 m away."""
    rows = [
        ("on", f"{constant('start.py', 'LOW_HZ')} Hz", "the program loads and checks its files"),
        ("on", f"{constant('start.py', 'HIGH_HZ')} Hz", "the controller starts"),
        ("as the alerts say, below", "as the alerts say", "it runs: dark and silent while nothing is wrong"),
        ("dark from the start, or on for good", "any", "a fault: do not fly"),
    ]
    for code, words in (
        (constant("hold.py", "NO_SET"), "no complete set of files: install again"),
        (constant("hold.py", "DAMAGED"), "a file is damaged: install again"),
        (constant("hold.py", "STOPPED"), "the program stopped on an error; the console names it"),
    ):
        flashes = f"{code} short flash{'es' if code > 1 else ''}"
        lamp = f"**{hold_s('LONG_STEPS'):g} s of light**, {flashes}, {hold_s('PAUSE_STEPS'):g} s dark, again and again"
        rows.append((lamp, "silent", f"held DOWN: {words}"))
    return rows


def flashes(pattern):
    """(steps of each flash, steps after which it repeats) of a lamp pattern, a tuple and an int. All dark: ((), 16)."""
    steps = [(pattern >> n) & 1 for n in range(STEPS)]
    period = next(n for n in (1, 2, 4, 8, 16) if steps == steps[:n] * (STEPS // n))
    if period == 1:
        return ((STEPS,) if steps[0] else (), STEPS)
    # Begun where a flash begins, so that none is cut in two.
    first = next(n for n in range(period) if steps[n] and not steps[n - 1])
    found = "".join(str(steps[(first + n) % STEPS]) for n in range(period))
    return tuple(len(run) for run in found.split("0") if run), period


def lamp_words(pattern):
    """A lamp pattern in words: "three flashes of 1/8 s, every 2 s"."""
    if STEP_MS != 125:
        raise ValueError(f"SHARES are of steps of 125 ms, not of {STEP_MS}")
    lit, period = flashes(pattern)
    if not lit:
        return "dark"
    if len(set(lit)) == 1:
        what = f"{NUMBERS[len(lit)]} flash{'es' if len(lit) > 1 else ''} of {SHARES[lit[0]]}"
    else:
        what = "a flash of " + " and one of ".join(SHARES[one] for one in lit)
    return f"{what}, every {SHARES[period]}"


def lamp_picture(pattern):
    """Two seconds of a lamp pattern, an eighth of a second a sign."""
    return "`" + "".join("█" if (pattern >> n) & 1 else "·" for n in range(STEPS)) + "`"


def alert_rows():
    """(alert, severity, lamp, two seconds of it, tone) of every alert, the most urgent first."""
    return [
        (
            ALERT_WORDS[alert],
            SEVERITY_WORDS[row[SEVERITY]],
            lamp_words(row[PATTERN]),
            lamp_picture(row[PATTERN]),
            f"{row[TONE_HZ]} Hz" if row[TONE_HZ] else "silent",
        )
        for alert, row in enumerate(TABLE)
        if alert != ALERT_NONE
    ]
