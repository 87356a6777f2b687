"""The generated parts of boards/WIRING.md: pins, values, lines of an ESP32's aircraft file, broken wires, lamp and tone."""

import re

from boards.esp32 import pins as esp32
from boards.rp2040 import pins as rp2040
from controller.codes import CHANNEL_WORDS, N_LEGS
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft

from .wiring_findings import findings
from .wiring_lamp import alert_rows, self_test_rows
from .wiring_parts import PARTS, ask, divided
from .wiring_wires import WIRES

BOARDS = (("RP2040", rp2040), ("ESP32", esp32))
# (name in pins.py, in or out, drawing); a name that stands for several is followed by what each is.
USES = (
    ("PULSES", tuple(f"pulse in, {word}" for word in CHANNEL_WORDS), "in", "pulses"),
    ("COIL_UP", ("spring-return: the coil; two-coil: up",), "out", "valve_spring"),
    ("COIL_DOWN", ("two-coil: down",), "out", "valve_two_coil"),
    ("VALVE_SERVO", ("servo valve",), "out", "valve_servo"),
    ("LIGHT", ("landing light",), "out", "signals"),
    ("LAMP", ("alert lamp",), "out", "signals"),
    ("TONE", ("alert tone",), "out", "signals"),
    ("BUTTON", ("acknowledge button",), "in", "switches"),
    ("GROUND", ("ground switch",), "in", "switches"),
    ("LOCKS", tuple(f"lock switch, leg {leg + 1}" for leg in range(N_LEGS)), "in", "switches"),
    ("SENSOR_A", ("pressure sensor a",), "analogue", "analogue"),
    ("SENSOR_B", ("pressure sensor b",), "analogue", "analogue"),
    ("RAIL", ("5 V of the sensors",), "analogue", "analogue"),
    ("SUPPLY", ("V+",), "analogue", "analogue"),
    ("STATUS_TX", ("status line out, where `STATUS_UART` is set",), "out", ""),
)
# More of the signal is lost in an ESP32's dividers: with resistors of 0.5 % the error would be above the shipped worst_error.
ESP32_ACCURACY = "{sensor: 0.8 %, divider: 0.1 %, rail: 2 %, adc: 6, zero_checked: yes}"
# Of pins.py, but no pins.
NO_PINS = {"CPU_HZ", "STATUS_UART"}


def numbers(board, name):
    """GPIO numbers of a name of a pins.py, a tuple; None where nothing is connected."""
    value = getattr(board, name)
    return value if isinstance(value, tuple) else (value,)


def _row(*cells):
    return "| " + " | ".join(cells) + " |"


def _table(head, rows):
    return "\n".join([_row(*head), "|" + "---|" * len(head), *(_row(*row) for row in rows)])


def pins_table():
    """One row a pin."""
    rows = []
    for name, uses, way, drawing in USES:
        for n, use in enumerate(uses):
            gpio = [numbers(board, name)[n] for _, board in BOARDS]
            shown = ["—" if number is None else str(number) for number in gpio]
            rows.append((f"`{name}`", use, way, *shown, f"[{drawing}](drawings/{drawing}.svg)" if drawing else "—"))
    return _table(("in pins.py", "what", "way", *(f"GPIO, {name}" for name, _ in BOARDS), "drawing"), rows)


def shipped_aircraft():
    """The aircraft files that come with the program, a list."""
    return [load_aircraft(path) for path in sorted(AIRCRAFT_DIR.glob("*.yaml"))]


def values_table():
    """Computed values, those of several boards or aircraft in one row."""
    rows = {}
    for found in findings(PARTS, shipped_aircraft()):
        subject = found.subject.upper() if found.subject in ("rp2040", "esp32") else found.subject
        values, limits = rows.setdefault((found.where, found.what, found.word, found.why), ([], []))
        values.append((subject, found.value))
        limits.append((subject, found.limit))
    return _table(
        ("where", "what", "value", "limit"),
        [
            (where, what, _joined(values), f"{word} {_joined(limits)}" + (f": {why}" if why else ""))
            for (where, what, word, why), (values, limits) in rows.items()
        ],
    )


def _joined(texts):
    """A text where all (subject, text) say it, else each with its subject: "RP2040 2.82 V, ESP32 2.81 V"."""
    if len({text for _, text in texts}) == 1:
        return texts[0][1]
    return ", ".join(f"{who} {text}" for who, text in dict.fromkeys(texts))


def esp32_lines():
    """What differs in the aircraft file of an ESP32 board, as {key: text}."""
    ratio = divided(ask("1"), ask(PARTS["rail_top_esp32"]), ask(PARTS["rail_bottom_esp32"]))
    return {
        "ratio": f"{ratio.magnitude:.4f}",
        "divider_top": PARTS["sensor_top_esp32"],
        "divider_bottom": PARTS["sensor_bottom_esp32"],
        "accuracy": ESP32_ACCURACY,
    }


def esp32_block():
    """Those lines, as a block of YAML."""
    lines = esp32_lines()
    sensor = [f"    {key}: {lines[key]}" for key in ("divider_top", "divider_bottom", "accuracy")]
    return "\n".join(["```yaml", "rail:", f"  ratio: {lines['ratio']}", "sensors:", "  a:", *sensor, "```"])


def self_test_table():
    """What lamp and tone say from power-on."""
    return _table(("lamp", "tone", "meaning"), self_test_rows())


def alerts_table():
    """One row an alert, of controller/alerts.py."""
    return _table(("alert", "severity", "lamp", "two seconds of it", "tone while it is lit"), alert_rows())


def wires_table():
    """One row a wire."""
    rows = [
        (
            f"**{wire.name}**" if wire.danger else wire.name,
            wire.breaks,
            wire.to_ground,
            wire.to_plus,
            wire.notices,
            "flown: " + ", ".join(dict.fromkeys(flown.kind for flown in wire.flown)) if wire.flown else wire.unflown,
        )
        for wire in WIRES
    ]
    return _table(("wire", "breaks", "touches ground", "touches V+ or 5 V", "who notices", "shown by"), rows)


BLOCKS = {
    "pins": pins_table,
    "values": values_table,
    "esp32": esp32_block,
    "self-test": self_test_table,
    "alerts": alerts_table,
    "wires": wires_table,
}


def filled(text):
    """`text` of WIRING.md with every block made anew. ValueError names one that is missing or unknown."""
    found = re.findall(r"<!-- made: ([a-z0-9-]+) -->", text)
    if sorted(found) != sorted(BLOCKS):
        raise ValueError(f"WIRING.md has the blocks {', '.join(found)}; wanted: {', '.join(BLOCKS)}")
    for name, make in BLOCKS.items():
        pattern = re.compile(rf"(<!-- made: {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        text, n = pattern.subn(lambda match, make=make: match[1] + make() + "\n" + match[2], text)
        if n != 1:
            raise ValueError(f"WIRING.md: block {name} has no end")
    return text
