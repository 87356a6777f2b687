"""Pins to parts: what both chips do alike. `pins` is boards/*/pins.py, `chip` boards/*/chip.py.

What needs the controller is imported by `make_parts`, after the files have been checked.

Costs: at boot only.
"""

from machine import PWM, Pin

from .signals import Signals
from .valve import ValveOutputs

TONE_HZ = 1000


def output(number):
    """An output at 0, or None for None."""
    if number is None:
        return None
    return Pin(number, Pin.OUT, value=0)


def contact(number, pull):
    """An input with that pull resistor, or None for None."""
    if number is None:
        return None
    return Pin(number, Pin.IN, pull)


def pwm(number, hz):
    """A PWM without a pulse, or None for None."""
    if number is None:
        return None
    return PWM(Pin(number), freq=hz, duty_u16=0)


def make_valve(pins, servo, safe_us):
    """The valve's outputs, at DOWN. `servo` is what early.put_down gave."""
    valve = ValveOutputs(output(pins.COIL_UP), output(pins.COIL_DOWN), servo, safe_us)
    valve.hold_down()
    return valve


def make_signals(pins):
    """Light, lamp and tone, off."""
    return Signals(output(pins.LIGHT), output(pins.LAMP), pwm(pins.TONE, TONE_HZ))


def make_parts(pins, chip, valve, signals, retained):
    """All of board.Parts."""
    from .board import Parts
    from .contacts import Contacts
    from .pulses import Pulses

    contacts = Contacts(
        contact(pins.BUTTON, Pin.PULL_UP),
        contact(pins.GROUND, Pin.PULL_DOWN),
        [contact(number, Pin.PULL_DOWN) for number in pins.LOCKS],
    )
    return Parts(
        capture=chip.capture(pins.PULSES, Pulses()),
        sensors=(_analogue(chip, pins.SENSOR_A), _analogue(chip, pins.SENSOR_B)),
        rail=_analogue(chip, pins.RAIL),
        supply=_analogue(chip, pins.SUPPLY),
        contacts=contacts,
        valve=valve,
        signals=signals,
        retained=retained,
        status=_status(pins),
        flash=chip.flash(),
    )


def _analogue(chip, number):
    from .adc import NotConnected, Oversampled

    if number is None:
        return NotConnected()
    return Oversampled(chip.Converter(number))


def _status(pins):
    if pins.STATUS_UART is None:
        return None
    from machine import UART

    from .statusline import BAUD, LINE_BYTES, StatusLine

    # Room for two lines, and no waiting: what does not fit is dropped.
    uart = UART(pins.STATUS_UART, baudrate=BAUD, tx=Pin(pins.STATUS_TX), txbuf=2 * LINE_BYTES, timeout=0)
    return StatusLine(uart)
