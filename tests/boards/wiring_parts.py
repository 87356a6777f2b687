"""The parts of boards/WIRING.md and what they come to: every value of a drawing stands here once.

`PARTS` are the values that a builder buys; wiring_findings.py computes what they do, each against its limit.
What a board's pins and a transistor can take is from memory of their datasheets; look it up for the part in hand.
"""

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
    "board_diode_drop": "0.3 V",  # of the Schottky diode to the board
    "board_current": "250 mA",  # an ESP32 at its busiest without radio; an RP2040 takes less than half
    "sensor_current": "10 mA",  # each
    # pulses and switches
    "pin_series": "2.2 kohm",
    "pulse_down": "10 kohm",
    "pulse_filter": "1 nF",
    "receiver_output": "1 kohm",  # the worst that its output may have in series
    # A Schottky of the 1 A, 40 V class (5819 type), from memory: about 0.2 V at 2 mA in a room, 0.25 V in frost. Small-signal
    # ones have 0.3 V and more at 2 mA.
    "clamp_drop": "0.25 V",
    "clamp_leak": "20 uA",  # the most it may let through at 3.3 V, warm; assumed, to be measured
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


def ask(text):
    """Pint quantity of a text of PARTS."""
    return registry().Quantity(text)


def label(name):
    """A part's value for a drawing: "4.7 kΩ"."""
    return PARTS[name].replace("kohm", "kΩ").replace("Mohm", "MΩ").replace("ohm", "Ω").replace("uF", "µF")


def shown(quantity, unit):
    """A quantity for people, of three digits or so."""
    number = quantity.to(unit).magnitude
    digits = 0 if abs(number) >= 100 else 1 if abs(number) >= 10 else 2
    return f"{number:.{digits}f} {unit}".replace("ohm", "Ω").replace("us", "µs").strip()


def parallel(*resistors):
    """Resistance of resistors side by side."""
    return 1 / sum(1 / resistor for resistor in resistors)


def divided(volts, top, bottom):
    """Voltage in the middle of a divider."""
    return volts * bottom / (top + bottom)
