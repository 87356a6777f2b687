"""The parts of boards/WIRING.md and what they come to: every value of a drawing stands here once.

`PARTS` are the values that a builder buys; `findings(parts, aircraft)` computes what they do, each against its limit.
What a board's pins and a transistor can take is from memory of their datasheets; look it up for the part in hand.
"""

import math
from dataclasses import dataclass

from controller.alerts import TABLE, TONE_HZ
from host_sim.quantities import registry

PARTS = {
    # power
    "or_diode_drop": "0.45 V",  # a Schottky diode of 5 A at 1 A
    "fuse_supply": "3 A",
    "fuse_controller": "1.25 A",
    "fuse_coil": "1.25 A",
    "fuse_light": "2 A",
    "fuse_sensor": "0.1 A",  # resettable
    "fuse_sensor_ohms": "10 ohm",  # the most it has, from memory
    "regulator_least_in": "3.5 V",
    "regulator_out": "5 V",
    "regulator_current": "1 A",
    "regulator_efficiency": "0.85",
    "hold_up": "2200 uF",
    "board_current": "250 mA",  # an ESP32 at its busiest without radio; an RP2040 takes less than half
    "sensor_current": "10 mA",  # each
    # pulses and switches
    "pin_series": "2.2 kohm",
    "pulse_down": "10 kohm",
    "pulse_filter": "1 nF",
    "receiver_output": "1 kohm",  # the worst that its output may have in series
    "clamp_drop": "0.3 V",  # of a Schottky diode to 3.3 V
    "switch_feed": "470 ohm",
    "switch_down": "4.7 kohm",
    "button_up": "10 kohm",
    "switch_filter": "100 nF",
    # analogue
    "sensor_top_rp2040": "10 kohm",
    "sensor_bottom_rp2040": "18 kohm",
    "sensor_top_esp32": "18 kohm",
    "sensor_bottom_esp32": "15 kohm",
    "rail_top_rp2040": "10 kohm",
    "rail_bottom_rp2040": "10 kohm",
    "rail_top_esp32": "18 kohm",
    "rail_bottom_esp32": "15 kohm",
    "supply_top": "30 kohm",
    "supply_bottom": "10 kohm",
    "adc_filter": "100 nF",
    # valve, light, lamp, tone
    "gate_series": "100 ohm",
    "gate_down": "4.7 kohm",
    "fet_on_at": "2.5 V",  # gate voltage at which the sheet states its resistance
    "fet_off_below": "0.4 V",  # smallest threshold in the sheet
    "fet_resistance": "0.1 ohm",
    "flyback_current": "1 A",
    "coil_inductance": "50 mH",  # assumed, from memory
    "shot_series": "1 kohm",
    "shot_capacitor": "0.68 uF",
    "shot_resistor": "1 Mohm",
    "shot_falls_least": "0.6 V",  # falling threshold of the Schmitt buffer at 3.3 V
    "shot_falls_most": "1.5 V",
    "coil_longest": "2 s",  # how long a coil may stay on; assumed, read the sheet of the valve
    "servo_down": "10 kohm",
    "lamp_series": "150 ohm",
    "lamp_drop": "2.0 V",  # of a red or amber lamp
    "piezo": "30 nF",
    "piezo_parallel": "1 kohm",
}

# Pins at 3.3 V (from memory): highest voltage that is surely low, lowest that is surely high, strongest pull resistor of
# its own, highest voltage a pin bears, highest voltage that the analogue converter reads straight.
PINS = {
    "rp2040": {"low": "0.8 V", "high": "2.0 V", "pull": "50 kohm", "bears": "3.63 V", "adc": "3.3 V"},
    "esp32": {"low": "0.825 V", "high": "2.475 V", "pull": "45 kohm", "bears": "3.6 V", "adc": "2.45 V"},
}
LOGIC = "3.3 V"
CODES = 4096
TWO_CELLS = "8.4 V"
# Of a comparison of computed numbers.
HAIR = 1e-9


@dataclass(frozen=True)
class Finding:
    """One computed value: where it belongs, what it is, its text, the limit's text, and whether it keeps the limit."""

    where: str
    what: str
    value: str
    limit: str
    holds: bool


def ask(text):
    """Pint quantity of a text of PARTS."""
    return registry().Quantity(text)


def label(name):
    """A part's value for a drawing: "4.7 kΩ"."""
    return PARTS[name].replace("kohm", "kΩ").replace("Mohm", "MΩ").replace("ohm", "Ω").replace("uF", "µF")


def shown(quantity, unit, digits=2):
    """A quantity for people."""
    return f"{quantity.to(unit).magnitude:.{digits}f} {unit}".replace("ohm", "Ω")


def parallel(*resistors):
    """Resistance of resistors side by side."""
    return 1 / sum(1 / resistor for resistor in resistors)


def divided(volts, top, bottom):
    """Voltage in the middle of a divider."""
    return volts * bottom / (top + bottom)


class Bench:
    """Collects findings: `least` and `most` compare a value with its limit."""

    def __init__(self, parts):
        self.parts = {name: ask(text) for name, text in parts.items()}
        self.found = []

    def __getitem__(self, name):
        return self.parts[name]

    def least(self, where, what, value, limit, unit, why=""):
        """The value must be `limit` or more."""
        self._add(where, what, value, limit, unit, why, "at least", value >= limit * (1 - HAIR))

    def most(self, where, what, value, limit, unit, why=""):
        """The value must be `limit` or less."""
        self._add(where, what, value, limit, unit, why, "at most", value <= limit * (1 + HAIR))

    def same(self, where, what, value, limit, unit, why=""):
        """The value must be `limit`, to a thousandth."""
        close = abs((value - limit).to(unit).magnitude) <= 1e-3 * abs(limit.to(unit).magnitude)
        self._add(where, what, value, limit, unit, why, "equal to", close)

    def _add(self, where, what, value, limit, unit, why, word, holds):
        text = f"{word} {shown(limit, unit)}" + (f" ({why})" if why else "")
        self.found.append(Finding(where, what, shown(value, unit), text, bool(holds)))


def findings(parts, aircraft):
    """All findings, a list. `parts` as PARTS, `aircraft` a list of host_sim Aircraft."""
    bench = Bench(parts)
    _power(bench, aircraft)
    for board, pin in PINS.items():
        _pulses(bench, board, {name: ask(text) for name, text in pin.items()})
        _switches(bench, board, {name: ask(text) for name, text in pin.items()})
        _sensor(bench, board, ask(pin["adc"]))
    _dividers_of_files(bench, aircraft)
    _valve(bench, aircraft)
    _one_shot(bench, aircraft)
    _signals(bench, aircraft)
    return bench.found


def _power(b, aircraft):
    rail_a = b["board_current"] + 2 * b["sensor_current"] + _lamp_a(b) + b["regulator_out"] / b["piezo_parallel"]
    b.most(
        "power", "current of the 5 V rail", rail_a, b["regulator_current"] / 2, "A", "half of what the regulator gives"
    )
    sensors_a = 2 * b["sensor_current"]
    b.most("power", "current of two sensors", sensors_a, b["fuse_sensor"] / 2, "A", "half their fuse")
    behind = b["regulator_out"] - sensors_a * b["fuse_sensor_ohms"]
    b.least("power", "rail behind that fuse", behind, 0.8 * b["regulator_out"], "V", "below: rail not believed")
    watts = b["regulator_out"] * rail_a / b["regulator_efficiency"]
    coil = max(craft.supply.coil_a for craft in aircraft) * ask("A")
    for craft in aircraft:
        force = craft.settings.supply_force_mv * ask("mV")
        least = b["regulator_least_in"]
        b.least("power", f"{craft.name}: V+ where the gear is forced", force, least, "V", "regulator's least input")
        into = watts / force
        b.most(
            "power", f"{craft.name}: controller's current there", into, b["fuse_controller"] / 2, "A", "half its fuse"
        )
        high = craft.supply.volts * ask("V") - b["or_diode_drop"]
        held = b["hold_up"] * (high**2 - least**2) / 2 / watts
        b.least("power", f"{craft.name}: time bridged by the capacitor", held, ask("10 ms"), "ms")
        b.most("power", f"{craft.name}: supply with coil on", into + coil, b["fuse_supply"] / 2, "A", "half its fuse")
    b.most("power", "heat of one diode, coil on", b["or_diode_drop"] * (watts / ask("4.5 V") + coil), ask("1 W"), "W")


def _lamp_a(b):
    return (b["regulator_out"] - b["lamp_drop"]) / b["lamp_series"]


def _pulses(b, board, pin):
    logic, down, series = ask(LOGIC), b["pulse_down"], b["pin_series"]
    high = divided(logic, b["receiver_output"], parallel(down, series + pin["pull"]))
    high = divided(high, series, pin["pull"])
    b.least("pulses", f"{board}: pulse of a 3.3 V receiver, at the pin", high, pin["high"], "V", "surely high")
    low = divided(logic, pin["pull"], series + down)
    b.most("pulses", f"{board}: wire off, with the pin's pull-up on", low, pin["low"], "V", "surely low")
    clamp = logic + b["clamp_drop"]
    b.most("pulses", f"{board}: pin with {TWO_CELLS} on the wire", clamp, pin["bears"], "V", "what the pin bears")
    b.most("pulses", f"{board}: current into 3.3 V then", (ask(TWO_CELLS) - clamp) / series, ask("5 mA"), "mA")
    tau = series * b["pulse_filter"]
    # Where in its range the pin tells high from low is not known: the worst of both ends.
    error = max(abs(math.log((logic - at) / at)) for at in (pin["low"], pin["high"])) * tau
    b.most("pulses", f"{board}: error of a width by the filter", error.to("us"), ask("5 us"), "us")


def _switches(b, board, pin):
    logic, series, feed, down = ask(LOGIC), b["pin_series"], b["switch_feed"], b["switch_down"]
    made = divided(divided(logic, feed, parallel(down, series + pin["pull"])), series, pin["pull"])
    b.least("switches", f"{board}: made, at the pin", made, pin["high"], "V", "surely high")
    off = divided(logic, pin["pull"], series + down)
    b.most("switches", f"{board}: wire off, with the pin's pull-up on", off, pin["low"], "V", "surely low")
    pressed = divided(logic, parallel(b["button_up"], pin["pull"]), series)
    b.most("switches", f"{board}: button pressed, at the pin", pressed, pin["low"], "V", "surely low")
    if board == "rp2040":
        b.most("switches", "five feeds shorted to ground", 5 * logic / feed, ask("100 mA"), "mA", "spare on 3.3 V")
        b.most(
            "switches", "filter's time", (series + down) * b["switch_filter"], ask("2 ms"), "ms", "a tenth of a tick"
        )


def _sensor(b, board, adc):
    top, bottom = b[f"sensor_top_{board}"], b[f"sensor_bottom_{board}"]
    for volts, what in (("0.5 V", "at 0 bar gauge"), ("4.5 V", "at full span"), ("5 V", "shorted to the rail")):
        pin = divided(ask(volts), top, bottom)
        b.most("sensor", f"{board}: sensor {what}, at the pin", pin, adc, "V", "read straight")
    b.least("sensor", f"{board}: swing, in codes", _code(ask("4 V"), top, bottom), ask("1500"), "")
    tau = parallel(top, bottom) * b["adc_filter"]
    b.most("sensor", f"{board}: settled to one code after", tau * math.log(CODES), ask("10 ms"), "ms", "half a tick")
    rail_top, rail_bottom = b[f"rail_top_{board}"], b[f"rail_bottom_{board}"]
    rail = divided(ask("5 V"), rail_top, rail_bottom)
    b.most("sensor", f"{board}: rail, at the pin", rail, adc, "V", "read straight")
    code = _code(ask("5 V"), rail_top, rail_bottom)
    b.least("sensor", f"{board}: rail, code", code, ask("1000"), "", "settings.py")
    full = ask("13.2 V") * b["supply_bottom"] / (b["supply_top"] + b["supply_bottom"])
    b.same("supply", f"{board}: 13.2 V, at the pin", full, ask(LOGIC), "V", "the highest code")
    pin = divided(ask(TWO_CELLS), b["supply_top"], b["supply_bottom"])
    b.most("supply", f"{board}: {TWO_CELLS}, at the pin", pin, adc, "V", "read straight")


def _code(volts, top, bottom):
    return (divided(volts, top, bottom) / ask(LOGIC) * CODES).to("")


def _dividers_of_files(b, aircraft):
    """The shipped aircraft files are written for the RP2040 board."""
    for craft in aircraft:
        for spec in craft.sensors:
            b.same(
                "files", f"{craft.name}: divider_top", b["sensor_top_rp2040"], spec.divider_top_ohm * ask("ohm"), "kohm"
            )
            bottom = spec.divider_bottom_ohm * ask("ohm")
            b.same("files", f"{craft.name}: divider_bottom", b["sensor_bottom_rp2040"], bottom, "kohm")
        ratio = divided(ask("1"), b["rail_top_rp2040"], b["rail_bottom_rp2040"])
        b.same("files", f"{craft.name}: ratio of the rail", ratio, ask(str(craft.rail.ratio)), "")
        full = ask(LOGIC) * (b["supply_top"] + b["supply_bottom"]) / b["supply_bottom"]
        b.same("files", f"{craft.name}: full_reading", full, craft.settings.supply_full_mv * ask("mV"), "V")


def _valve(b, aircraft):
    logic = ask(LOGIC)
    b.least(
        "valve", "gate, pin high", divided(logic, b["gate_series"], b["gate_down"]), b["fet_on_at"], "V", "fully on"
    )
    for board, pin in PINS.items():
        leak = divided(logic, ask(pin["pull"]), b["gate_down"])
        b.most("valve", f"{board}: gate, pin left at its pull-up", leak, b["fet_off_below"], "V", "surely off")
    for craft in aircraft:
        amps = craft.supply.coil_a * ask("A")
        b.least("valve", f"{craft.name}: coil's fuse", b["fuse_coil"], 1.5 * amps, "A", "1.5 times the coil")
        b.most("valve", f"{craft.name}: coil's fuse", b["fuse_coil"], 3 * amps, "A", "3 times the coil")
        b.most("valve", f"{craft.name}: coil, through the diode", amps, b["flyback_current"], "A", "what it bears")
        b.most("valve", f"{craft.name}: heat of the transistor", amps**2 * b["fet_resistance"], ask("0.2 W"), "W")
        ohms = craft.supply.volts * ask("V") / amps
        dies = math.log(10) * b["coil_inductance"] / ohms
        b.most(
            "valve", f"{craft.name}: coil current gone to a tenth after", dies, ask("30 ms"), "ms", "valve's own time"
        )


def _one_shot(b, aircraft):
    tau, logic = b["shot_resistor"] * b["shot_capacitor"], ask(LOGIC)
    shortest = 0.9 * 0.99 * tau * math.log(logic / b["shot_falls_most"])
    longest = 1.1 * 1.01 * tau * math.log(logic / b["shot_falls_least"])
    for craft in aircraft:
        wanted = (craft.settings.coil_ms + craft.settings.tick_ms) * ask("ms")
        b.least("one-shot", f"{craft.name}: shortest pulse it lets through", shortest, wanted, "s", "coil + one tick")
    b.most("one-shot", "longest pulse it lets through", longest, b["coil_longest"], "s", "what a coil bears")
    ready = 5 * b["shot_series"] * b["shot_capacitor"]
    b.most("one-shot", "ready again after", ready, ask("20 ms"), "ms", "one tick")


def _signals(b, aircraft):
    b.least("lamp", "current", _lamp_a(b), ask("10 mA"), "mA", "seen from 3 m")
    b.most("lamp", "current", _lamp_a(b), ask("20 mA"), "mA", "a usual lamp bears it")
    shortest = 1 / (2 * max(row[TONE_HZ] for row in TABLE) * ask("Hz"))
    b.most("tone", "piezo empty after", b["piezo"] * b["piezo_parallel"], shortest / 5, "us", "a fifth of half a wave")
    for craft in aircraft:
        amps = craft.supply.light_a * ask("A")
        b.least("light", f"{craft.name}: light's fuse", b["fuse_light"], 1.5 * amps, "A", "1.5 times the light")
        b.most("light", f"{craft.name}: heat of the transistor", amps**2 * b["fet_resistance"], ask("0.2 W"), "W")
