"""boards/FIGURES.md: the page of what tests.boards.figures has found, and what has not been measured on any board."""

from pathlib import Path

from boards.common.flashlog import FLIGHT_RECORDS, ahead_for
from boards.common.flashlog_format import RECORDS_A_SECTOR, sectors_for

PAGE = Path(__file__).parents[2] / "boards" / "FIGURES.md"
TICK_US = 20_000
GOAL_TICK_US = 2000
GOAL_HEAP_BYTES = 64 * 1024
GOAL_FILE_BYTES = 100_000
EMULATED_MHZ = 125
BOARD_MHZ = 200
FLIGHT_MINUTES = 10
RING_SECTORS = {"RP2040": 252, "ESP32": 384}
NOT_YET = "not measured on hardware"

HEAD = """# Figures of the boards

Made by `python -m tests.boards.figures --write`; nothing here is typed. "Emulated" is an RP2040 in software that boots the
real MicroPython and runs what `downlock install` puts on a board, at {mhz} MHz. It counts the cycles of the processor
without what flash and buses make it wait, so its times are **on the short side**; no emulator shows electrical levels,
brown-out, the real time of an erase, heat, or a second chip's timing. No real board has been measured: those cells say so.

"""


def page(stored):
    """The page's text. `stored` is {item: {"figures": ..., "wrong": ...}} of figures_items.ITEMS."""
    text = HEAD.format(mhz=EMULATED_MHZ)
    text += _section("Does it hold", ("what", "emulated RP2040"), _held(stored))
    text += _section("Times", ("what", "goal", "emulated RP2040", "RP2040 board", "ESP32 board"), _times(stored))
    text += _section(
        "What a step is made of", ("part", "emulated RP2040", "RP2040 board", "ESP32 board"), _parts(stored)
    )
    text += _section("Memory", ("what", "goal", "RP2040", "ESP32"), _memory(stored))
    text += _section(
        "Not measured on hardware", ("what", "why an emulator cannot show it", "RP2040", "ESP32"), _unmeasured()
    )
    return text


def _section(title, head, rows):
    lines = [f"## {title}", "", f"| {' | '.join(head)} |", "|---" * len(head) + "|"]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join(lines) + "\n\n"


HELD = {
    "flight low_air": "closed loop: low air with the gear up; coil, light and journal as on the PC within one tick",
    "flight radio_lost": "closed loop: radio lost with the gear up; the same",
    "flight reset_in_flight": "closed loop: a reset with the gear up; the same, and the switch left at up raises nothing",
    "boot": "servo valve: pulses of DOWN from the first on, none missing; both tones of the self-test",
    "costs": "a hundred steps of the whole loop take 0 bytes; the files are found whole",
    "stage sick": "a stage reports that it is not well: no feed, the watchdog resets; after three, locked out",
    "stage raising": "a stage raises: the watchdog resets",
    "stage hanging": "a stage does not come back: the watchdog resets",
}


def _held(stored):
    for name, what in HELD.items():
        wrong = stored[name]["wrong"]
        yield what, "holds" if not wrong else f"does not hold: {'; '.join(wrong)}"


def _ms(us):
    return f"{us / 1000:.1f} ms"


def _flights(stored, key):
    return [found["figures"][key] for name, found in stored.items() if name.startswith("flight")]


def _times(stored):
    boot, unmeasured = stored["boot"]["figures"], (NOT_YET, NOT_YET)
    yield "reset to the first pulse of DOWN (servo valve)", "shortest possible", _ms(boot["down_us"]), *unmeasured
    yield "reset to lamp and low tone", "", _ms(boot["lamp_us"]), *unmeasured
    yield "low tone, while files are checked and loaded", "heard", _ms(boot["low_tone_us"]), *unmeasured
    yield "high tone, while the controller is made", "heard", _ms(boot["high_tone_us"]), *unmeasured
    yield "reset to the first tick", "", _ms(boot["first_tick_us"]), *unmeasured
    worst = max(_flights(stored, "worst_us"))
    mean = max(_flights(stored, "mean_us"))
    rest = max(_flights(stored, "rest_us"))
    verdict = "meets it" if worst <= GOAL_TICK_US else f"**misses it {worst / GOAL_TICK_US:.1f} times**"
    yield (
        "longest tick in three flights: sample, controller, apply",
        f"{_ms(GOAL_TICK_US)} (10 % of the period)",
        (f"{_ms(worst)}, {verdict}"),
        *unmeasured,
    )
    yield "mean tick", "", _ms(mean), *unmeasured
    yield "longest of what follows a tick: samples, journal", "", _ms(rest), *unmeasured
    share = 100 * (worst + rest) / TICK_US
    yield "longest tick and journal together, of 20 ms", "below 100 %", f"{share:.0f} %", *unmeasured
    yield (
        f"the same at {BOARD_MHZ} MHz, which a board is set to; computed",
        "below 100 %",
        (f"{share * EMULATED_MHZ / BOARD_MHZ:.0f} %"),
        *unmeasured,
    )
    bite = max(found["figures"]["bite_us"] for name, found in stored.items() if name.startswith("stage"))
    yield "first tick to the watchdog's reset, ill after 20 ticks", "0.4 s + 0.5 s", _ms(bite), *unmeasured


PARTS = {
    "cost_step": "whole step with the gear down, idle",
    "cost_sample": "sample: all of the next three",
    "cost_capture": "five channels of pulses",
    "cost_converter": "one analogue input, eight conversions (there are four)",
    "cost_contacts": "button, ground switch, four lock switches",
    "cost_apply": "apply: both of the next two",
    "cost_valve": "valve",
    "cost_signals": "light, lamp, tone",
    "cost_journal": "journal, nothing to write",
}


def _parts(stored):
    costs = stored["costs"]["figures"]
    for key, what in PARTS.items():
        yield what, f"{costs[key]} us", NOT_YET, NOT_YET


def _memory(stored):
    costs = stored["costs"]["figures"]
    used = costs["free_at_start"] - costs["free_made"]
    verdict = "meets it" if used <= GOAL_HEAP_BYTES else "**misses it**"
    yield (
        "heap in use when flying, code included",
        f"{GOAL_HEAP_BYTES // 1024} KB",
        (f"{used // 1024} KB of {costs['free_at_start'] // 1024} KB (emulated), {verdict}"),
        NOT_YET,
    )
    verdict = "meets it" if costs["file_bytes"] <= GOAL_FILE_BYTES else "**misses it**"
    yield (
        "files, settings and manifest included",
        f"{GOAL_FILE_BYTES // 1000} kB",
        (f"{costs['file_bytes'] / 1000:.1f} kB, {verdict}"),
        "the same but for its own folder",
    )
    yield "bytes taken by a hundred steps", "0", f"{costs['allocated']} (emulated)", NOT_YET
    rings = []
    for sectors in RING_SECTORS.values():
        hours = sectors * RECORDS_A_SECTOR / 10 / 3600
        ahead = ahead_for(sectors) * RECORDS_A_SECTOR / FLIGHT_RECORDS * 2
        rings.append(
            f"{sectors * 4} kB: {hours:.1f} h; {ahead:.1f} h of one power-on before samples thin out to one a second"
        )
    yield "journal at ten samples a second", "2 h", *rings
    # Ten samples a second and an event every six seconds.
    used = sectors_for(FLIGHT_MINUTES * 60 * 10 + FLIGHT_MINUTES * 10)
    laps = [f"each block erased {1000 * used / sectors:.0f} times (computed)" for sectors in RING_SECTORS.values()]
    yield f"wear in 1,000 flights of {FLIGHT_MINUTES} min", "100,000 erases, from memory of data sheets", *laps


def _unmeasured():
    for what, why in (
        ("levels at gate, coil, servo pulse and switches", "it has no voltages"),
        ("power-on to DOWN on the valve's own shaft", "it has no regulator, no flash that wakes up, no valve"),
        ("longest tick", "flash and bus waits are left out; another clock changes nothing"),
        ("pulse width against a second instrument", "its pulses come from the same clock"),
        ("converter against a voltmeter, whole range", "codes are given, not converted"),
        ("erase and program time of flash, and what a power cut leaves", "erasing takes it no time"),
        ("watchdog with the supply sagging, brown-out", "it has no supply"),
        ("status line on a serial port", "its serial port hangs"),
        ("current, heat, vibration, crystal error", "it has none of them"),
    ):
        yield what, why, NOT_YET, NOT_YET
