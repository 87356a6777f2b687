"""Stages that several drawings share: a load switched to ground, an analogue divider, a protected input."""

from .wiring_parts import label

LOAD_X = 300


def low_side(s, y, supply, fuse, load, load_words, flyback, control="", pin_x=60):
    """A load at x 300 between `supply` at the top and a transistor to the star. `fuse` and `flyback` may be "".

    `control` names the pin that the gate resistor comes from; without one its wire starts at (pin_x, gate's y). Returns
    the gate's y.
    """
    x = LOAD_X
    s.pin(x, y, supply, "right")
    if fuse:
        s.part("fuse", (x, y + 4), (x, y + 62), fuse)
    else:
        s.wire((x, y + 4), (x, y + 62))
    s.wire((x, y + 62), (x, y + 75))
    s.part(load, (x, y + 75), (x, y + 145), load_words)
    if flyback:
        s.dot(x, y + 75)
        s.dot(x, y + 145)
        s.wire((x, y + 75), (x - 80, y + 75))
        s.wire((x, y + 145), (x - 80, y + 145))
        s.part("diode", (x - 80, y + 75), (x - 80, y + 145), flyback, "left", flip=True)
    gate, drain, source = s.transistor(x - 8, y + 185, "MOSFET that is fully|on at 2.5 V")
    s.wire((x, y + 145), drain)
    s.wire(source, (x, y + 222))
    s.ground(x, y + 222, "star")
    gate_y = gate[1]
    if control:
        s.pin(pin_x, gate_y, control, "above")
    start = pin_x + 4 if control else pin_x
    s.part("resistor", (start, gate_y), (190, gate_y), label("gate_series"))
    s.wire((190, gate_y), gate)
    s.dot(230, gate_y)
    s.part("resistor", (230, gate_y), (230, gate_y + 66), label("gate_down") + "|pull-down", "left", accent=True)
    s.ground(230, gate_y + 66)
    return gate_y


def divider(s, y, source, top, bottom, pin):
    """An input of the analogue converter: `source` at the left, divider, capacitor, the board's pin at the right."""
    s.pin(60, y, source, "above")
    s.part("resistor", (64, y), (220, y), top, "above")
    s.wire((220, y), (456, y))
    s.dot(260, y)
    s.part("resistor", (260, y), (260, y + 74), bottom, accent=True)
    s.ground(260, y + 74)
    s.dot(395, y)
    s.part("capacitor", (395, y), (395, y + 74), label("adc_filter"))
    s.ground(395, y + 74)
    s.pin(460, y, pin, "above")


def protected(s, y, pin, from_x, filtered):
    """The way from a node at (from_x, y) into a digital pin: series resistor, filter capacitor, clamp to 3.3 V."""
    s.part("resistor", (from_x, y), (from_x + 100, y), label("pin_series"))
    s.wire((from_x + 100, y), (471, y))
    s.dot(310, y)
    s.part("capacitor", (310, y), (310, y + 66), filtered)
    s.ground(310, y + 66)
    s.dot(385, y)
    s.part("schottky", (385, y - 66), (385, y), "Schottky|1 A class", flip=True)
    s.pin(385, y - 70, "3.3 V", "right")
    s.pin(475, y, pin, "below")
