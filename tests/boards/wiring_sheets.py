"""The drawings of boards/WIRING.md: the whole, power, inputs, connectors. wiring_outputs.py has what a board drives."""

from .wiring_parts import label
from .wiring_stages import divider, protected
from .wiring_symbols import PALE, Sheet


def whole():
    """Everything, as blocks."""
    s = Sheet("whole", "The whole", 750)
    s.block(20, 50, 130, 50, "Pack A", note="of the receiver")
    s.block(180, 50, 130, 50, "Pack B", note="second supply")
    s.block(20, 140, 290, 56, "Power", note="fuses, diodes, 5 V regulator")
    s.wire((85, 100), (85, 140))
    s.wire((245, 100), (245, 140))
    s.wire((260, 196), (260, 260))
    s.say(268, 232, "5 V")
    s.block(190, 260, 140, 310, "Controller", note="the board with|its inputs and|drivers")
    s.block(20, 260, 120, 60, "Receiver", note="five pulses")
    s.block(20, 350, 120, 60, "Switches", note="locks, ground")
    s.block(20, 440, 120, 44, "Button")
    s.block(20, 514, 120, 56, "USB", note="on the bench")
    for y in (290, 380, 462, 542):
        s.wire((140, y), (190, y))
    s.block(380, 250, 120, 56, "Light", note="own fuse")
    s.block(380, 330, 120, 56, "Lamp, tone", note="seen from 3 m")
    s.block(380, 416, 120, 50, "Sensor", note="a, or a and b")
    s.block(380, 500, 120, 70, "Valve", accent=True, note="unpowered:|down")
    for y in (278, 358, 432, 520):
        s.wire((330, y), (380, y))
    s.wire((310, 168), (510, 168), (510, 535), (500, 535))
    s.say(320, 160, "V+ to the valve, own fuse")
    s.block(190, 650, 120, 50, "Tank", fill=PALE)
    s.block(380, 650, 120, 50, "Legs", fill=PALE)
    s.wire((310, 675), (355, 675), (355, 455), (380, 455), width=4)
    s.wire((355, 556), (380, 556), width=4)
    s.wire((410, 570), (410, 650), width=4)
    s.wire((470, 570), (470, 650), width=4)
    s.say(402, 614, "up", "end")
    s.say(462, 614, "down", "end", accent=True)
    s.wire((20, 722), (60, 722))
    s.say(70, 727, "wires")
    s.wire((150, 722), (190, 722), width=4)
    s.say(200, 727, "air, always under pressure to the valve")
    return s


def power():
    """From two packs to V+ and 5 V; the ground star."""
    s = Sheet("power", "Power: two packs, one 5 V, one star", 800)
    s.pin(120, 74, "pack A +", "above")
    s.wire((120, 78), (120, 100))
    s.dot(120, 100)
    s.wire((120, 100), (40, 100), (40, 112))
    s.wire((120, 100), (190, 100), (190, 78))
    s.pin(190, 74, "receiver", "above")
    s.part("fuse", (40, 112), (40, 170), label("fuse_light"))
    s.pin(40, 178, "light +", "below")
    s.wire((40, 170), (40, 174))
    s.pin(260, 74, "pack B +", "above")
    s.wire((260, 78), (260, 100))
    for x in (120, 260):
        s.part("fuse", (x, 100), (x, 160), label("fuse_supply"))
        s.part("schottky", (x, 160), (x, 240), "Schottky, or|ideal diode", "right")
        s.dot(x, 240)
    s.wire((120, 240), (460, 240), width=3)
    s.say(380, 230, "V+ (to SUPPLY)")
    s.part("capacitor", (120, 240), (120, 320), label("hold_up"))
    s.ground(120, 320)
    s.dot(330, 240)
    s.part("fuse", (330, 240), (330, 310), label("fuse_controller"), "left")
    s.part("fuse", (460, 240), (460, 310), label("fuse_coil"), "left")
    s.pin(460, 318, "valve +", "below")
    s.wire((460, 310), (460, 314))
    s.block(250, 310, 160, 56, "5 V regulator", note="buck-boost, 1 A")
    s.wire((330, 366), (330, 400))
    s.dot(330, 400)
    s.wire((90, 400), (330, 400), width=3)
    s.say(110, 390, "5 V")
    s.part("schottky", (90, 400), (90, 450), "keeps USB and flight|supply apart", "right")
    s.wire((90, 450), (90, 474))
    s.dot(90, 458)
    s.wire((90, 458), (220, 458), (220, 474))
    s.pin(90, 478, "board: VSYS or 5V", "below")
    s.pin(220, 478, "lamp, tone", "below")
    s.part("fuse", (330, 400), (330, 474), label("fuse_sensor") + "|resettable")
    s.pin(330, 478, "sensor +, RAIL", "below")
    s.say(16, 545, "The star: one point, short and thick, at the packs' side", bold=True)
    s.wire((50, 630), (470, 630), width=5)
    for x, words in (
        (50, "pack A −"),
        (134, "pack B −"),
        (218, "valve −"),
        (302, "light −"),
        (386, "5 V −"),
        (470, "board"),
    ):
        s.wire((x, 592), (x, 630))
        s.pin(x, 588, words, "above")
    s.ground(260, 640)
    s.wire((260, 630), (260, 640))
    s.say(280, 665, "every ground drawn elsewhere")
    s.say(16, 704, "RP2040 only: in reset while 3.3 V is too low", bold=True)
    s.pin(60, 744, "board's 3.3 V", "below")
    s.wire((64, 744), (160, 744))
    s.block(160, 716, 160, 56, "Supervisor 2.9 V", accent=True, note="open output")
    s.wire((240, 772), (240, 778))
    s.ground(240, 778)
    s.wire((320, 744), (416, 744))
    s.pin(420, 744, "RUN", "right")
    return s


def pulses():
    """One of the five pulse inputs."""
    s = Sheet("pulses", "Pulses in: five times this", 330)
    s.pin(50, 130, "signal", "above")
    s.wire((54, 130), (150, 130))
    s.dot(110, 130)
    s.part("resistor", (110, 130), (110, 204), label("pulse_down") + "|pull-down", accent=True)
    s.ground(110, 204)
    protected(s, 130, "board's pin", 150, label("pulse_filter"))
    s.pin(50, 262, "ground", "above")
    s.wire((54, 262), (110, 262), (110, 270))
    s.ground(110, 270, "star, once for all five")
    s.pin(340, 262, "receiver's +", "above")
    s.say(360, 267, "leave it open")
    s.say(16, 316, "Wire off: the pin is held low, no pulse, link lost.", accent=True)
    return s


def analogue():
    """Sensor, rail and supply to the analogue converter."""
    s = Sheet("analogue", "Pressure, rail, supply", 640)

    def both(name):
        return f"{label(name + '_rp2040')}|ESP32: {label(name + '_esp32')}"

    divider(s, 120, "signal", both("sensor_top"), both("sensor_bottom"), "SENSOR_A,|SENSOR_B")
    s.pin(60, 206, "sensor +", "above")
    s.wire((64, 206), (100, 206))
    s.say(106, 211, "fused 5 V")
    s.pin(60, 262, "sensor −", "above")
    s.wire((64, 262), (110, 262), (110, 268))
    s.ground(110, 268, "board's analogue ground, nothing else on it")
    s.say(16, 310, "Signal or + off: code 0, open. Signal on 5 V: short.", accent=True)
    divider(s, 370, "sensor +", both("rail_top"), both("rail_bottom"), "RAIL")
    divider(s, 530, "V+", label("supply_top"), label("supply_bottom"), "SUPPLY")
    return s


def switches():
    """Lock and ground switches, the button."""
    s = Sheet("switches", "Lock switches, ground switch, button", 660)
    s.pin(60, 64, "3.3 V", "right")
    s.part("resistor", (60, 68), (60, 132), label("switch_feed"))
    s.wire((60, 132), (60, 146))
    s.contact((60, 146), (60, 196), "closed: leg locked down,|or clear of the ground")
    s.wire((60, 196), (60, 250), (180, 250))
    s.dot(120, 250)
    s.part("resistor", (120, 250), (120, 324), label("switch_down") + "|pull-down", accent=True)
    s.ground(120, 324)
    protected(s, 250, "LOCKS,|GROUND", 180, label("switch_filter"))
    s.say(16, 366, "In the file: lock_made: high, ground_clear: high.")
    s.say(16, 384, "Wire off or on ground: not locked; on the ground.", accent=True)
    s.pin(120, 436, "3.3 V", "right")
    s.part("resistor", (120, 440), (120, 510), label("button_up"))
    s.wire((60, 510), (180, 510))
    s.dot(120, 510)
    s.wire((60, 510), (60, 530))
    s.contact((60, 530), (60, 590), "button", push=True)
    s.ground(60, 590)
    protected(s, 510, "BUTTON", 180, label("switch_filter"))
    s.say(16, 644, "Wire off: never pressed. It only silences the tone.", accent=True)
    return s


PLUGS = (
    ("RECEIVER", 6, "five signals, one ground", "flat or twisted", False),
    ("SENSOR", 3, "5 V, signal, ground; one plug each", "screened or twisted", False),
    ("SWITCHES", 12, "feed and return of each switch", "twisted in pairs", False),
    ("SIGNALS", 4, "lamp, tone", "any", False),
    ("VALVE", 2, "coil; 3 for two coils or a servo", "twisted pair", True),
    ("LIGHT", 2, "another make of plug than VALVE", "twisted pair", True),
    ("PACK A", 2, "soldered tails, no extension", "thick", False),
    ("PACK B", 2, "pins where PACK A has sockets", "thick", False),
)


def connectors():
    """Plugs that cannot be swapped, and two looms that stay apart."""
    s = Sheet("connectors", "Plugs: none fits where another belongs", 660)
    s.say(16, 56, "Quiet loom: receiver, sensor, switches, lamp")
    y = 72
    for name, contacts, what, lay, loud in PLUGS:
        if name == "VALVE":
            y += 20
            s.say(16, y + 4, "Loud loom: 5 cm away, crossing at right angles only", accent=True)
            y += 18
        s.block(20, y, 116, 50, name, accent=loud, note=f"{contacts} contacts")
        s.wire((136, y + 25), (196, y + 25), width=3 if loud or "PACK" in name else 1.6, accent=loud)
        s.say(206, y + 21, what)
        s.say(206, y + 39, lay)
        y += 66
    s.say(16, y + 18, "VALVE and LIGHT swapped: the light's switch would retract.", accent=True)
    return s
