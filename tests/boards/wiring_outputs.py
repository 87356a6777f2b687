"""The drawings of what a board drives: the valve by its kind, landing light, lamp and tone."""

from .wiring_parts import label
from .wiring_stages import low_side
from .wiring_symbols import Sheet


def valve_spring():
    """A spring-return valve: one coil, energised for UP."""
    s = Sheet("valve_spring", "Spring-return valve: UP is powered", 400)
    coil = "up coil of the valve;|its spring brings DOWN"
    low_side(s, 60, "V+", label("fuse_coil"), "coil", coil, "diode, 1 A,|fast", "COIL_UP")
    s.say(16, 364, "No power, no program, wire off, fuse blown: DOWN.", accent=True)
    s.say(16, 384, "Transistor failed short: UP. Nothing here prevents that.")
    return s


def valve_two_coil():
    """A two-coil valve: the one-shot that bounds each pulse."""
    s = Sheet("valve_two_coil", "Two-coil valve: this once a coil", 590)
    s.pin(60, 110, "COIL_UP or|COIL_DOWN", "above")
    s.part("resistor", (94, 110), (170, 110), label("shot_series"))
    s.wire((64, 110), (94, 110))
    s.part("capacitor", (170, 110), (230, 110), label("shot_capacitor"))
    s.wire((230, 110), (400, 110))
    s.dot(240, 110)
    s.part("resistor", (240, 110), (240, 180), label("shot_resistor"), accent=True)
    s.ground(240, 180)
    s.dot(320, 110)
    s.part("schottky", (320, 110), (320, 180), "Schottky", flip=True)
    s.ground(320, 180)
    s.block(400, 75, 104, 70, "Schmitt", note="buffer,|3.3 V")
    s.wire((450, 145), (450, 226), (30, 226), (30, 453), (60, 453))
    gate_y = low_side(s, 260, "V+", label("fuse_coil"), "coil", "the coil", "diode, 1 A,|fast")
    if gate_y != 453:
        raise ValueError(f"the wire to the gate ends at 453, the gate lies at {gate_y}")
    s.say(16, 556, "A pin that stays high gives one pulse, then nothing.", accent=True)
    s.say(16, 576, "Without power the valve stays where it is: a limit.")
    return s


def valve_servo():
    """A valve moved by a servo."""
    s = Sheet("valve_servo", "Servo valve", 350)
    s.pin(70, 110, "VALVE_SERVO", "above")
    s.wire((74, 110), (190, 110))
    s.dot(130, 110)
    s.part("resistor", (130, 110), (130, 184), label("servo_down") + "|pull-down", "left", accent=True)
    s.ground(130, 184)
    s.block(190, 82, 130, 56, "Level shifter", note="3.3 V to 5 V")
    s.wire((320, 110), (456, 110))
    s.dot(380, 110)
    s.part("resistor", (380, 110), (380, 184), label("servo_down") + "|pull-down", "left", accent=True)
    s.ground(380, 184)
    s.pin(460, 110, "servo signal", "above")
    s.pin(190, 246, "V+", "above")
    s.part("fuse", (194, 246), (456, 246), "by the servo's sheet")
    s.pin(460, 246, "servo +", "above")
    s.wire((380, 290), (456, 290))
    s.wire((380, 290), (380, 296))
    s.ground(380, 296)
    s.pin(460, 290, "servo −", "below")
    s.say(16, 320, "No pulse: most servos stay")
    s.say(16, 338, "where they are: a limit.")
    return s


def signals():
    """Landing light, alert lamp, tone."""
    s = Sheet("signals", "Landing light, lamp, tone", 620)
    low_side(s, 60, "pack A +, fused", "", "lamp", "landing light", "", "LIGHT")
    s.say(16, 360, "Lamp and tone: the same driver, board's 5 V", bold=True)
    s.pin(110, 392, "board's 5 V", "right")
    s.part("resistor", (110, 396), (110, 456), label("lamp_series"))
    s.part("led", (110, 456), (110, 520), "bright, red|or amber")
    s.block(50, 524, 120, 50, "Driver", note="as above, LAMP")
    s.wire((110, 520), (110, 524))
    s.pin(330, 392, "board's 5 V", "right")
    s.wire((330, 396), (330, 420))
    s.dot(330, 420)
    s.wire((330, 420), (410, 420))
    s.part("piezo", (330, 420), (330, 500), "piezo", "left")
    s.part("resistor", (410, 420), (410, 500), label("piezo_parallel"))
    s.wire((410, 500), (330, 500), (330, 524))
    s.dot(330, 500)
    s.block(270, 524, 120, 50, "Driver", note="as above, TONE")
    s.say(16, 604, "Wire off: dark, silent. Seen at power-on (self-test).", accent=True)
    return s
