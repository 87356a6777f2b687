"""What the parts of wiring_parts.py come to, each value against its limit: `findings(parts, aircraft)`."""

import math
from dataclasses import dataclass

from controller.alerts import TABLE, TONE_HZ

from .wiring_parts import CODES, LOGIC, PINS, TWO_CELLS, ask, divided, parallel, shown

# Of a comparison of computed numbers.
HAIR = 1e-9


@dataclass(frozen=True)
class Finding:
    """One computed value against its limit, in words; `subject` is the board or aircraft, "" for any.

    `word` is at least, at most or equal to; `why` says where the limit is from; `holds` whether the value keeps it.
    """

    where: str
    subject: str
    what: str
    value: str
    word: str
    limit: str
    why: str
    holds: bool


class Bench:
    """Collects findings: `least`, `most` and `same` compare a value with its limit. `what` may begin with "subject: "."""

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
        subject, _, what = what.rpartition(": ")
        self.found.append(Finding(where, subject, what, shown(value, unit), word, shown(limit, unit), why, bool(holds)))


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
    b.least("power", "rail behind that fuse", behind, 0.8 * b["regulator_out"], "V", "less is not believed (SR-05)")
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
    """It hangs behind the board's diode, so that it is lit with USB alone."""
    return (b["regulator_out"] - b["board_diode_drop"] - b["lamp_drop"]) / b["lamp_series"]


def _pulses(b, board, pin):
    logic, down, series = ask(LOGIC), b["pulse_down"], b["pin_series"]
    high = divided(logic, b["receiver_output"], parallel(down, series + pin["pull"]))
    high = divided(high, series, pin["pull"])
    b.least("pulses", f"{board}: pulse of a 3.3 V receiver, at the pin", high, pin["high"], "V", "surely high")
    low = divided(logic, pin["pull"], series + down)
    b.most("pulses", f"{board}: wire off, with the pin's pull-up on", low, pin["low"], "V", "surely low")
    leak = b["clamp_leak"] * (series + down)
    b.most("pulses", f"{board}: wire off, by what the diode leaks", leak.to("V"), pin["low"], "V", "surely low")
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
    b.most(
        "valve",
        "pin, as the gate charges",
        logic / b["gate_series"],
        ask("40 mA"),
        "mA",
        "a peak of less than a microsecond",
    )
    for board, pin in PINS.items():
        idle = divided(logic, ask(pin["pull"]), b["servo_down"])
        b.most("valve", f"{board}: servo signal, pin left at its pull-up", idle, ask(pin["low"]), "V", "surely low")
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
