"""Servo pulses on the emulated board: measured by pin interrupts and by PIO programs, made by PIO and PWM."""

from pathlib import Path

import pytest

from tests.boards.emulated import EmulatedBoard
from tests.boards.emulated_edges import pulse_train, whole_pulses
from tests.boards.emulated_files import compiled

pytestmark = pytest.mark.deep

BOARDS = Path(__file__).parents[2] / "boards"

SOON_US = 1_000_000
WIDTHS_US = (1000, 1500, 2000)
PERIOD_US = 20_000


def board_with(image, main):
    """A board with that main.py, and the boards' drivers beside it."""
    files = {"boards/__init__.py": "", "boards/common/__init__.py": "", "boards/rp2040/__init__.py": ""}
    files["boards/rp2040/capture.mpy"] = compiled(BOARDS / "rp2040" / "capture.py")
    return EmulatedBoard(image, {"main.py": main, **files})


CAPTURE = """
from machine import Pin
import time
ticks = time.ticks_us
class Channel:
    def __init__(self, number):
        self.pin = Pin(number, Pin.IN, Pin.PULL_DOWN)
        self.rise = 0
        self.n = 0
        self.got = [0] * 13
        self.pin.irq(self.edge, Pin.IRQ_RISING | Pin.IRQ_FALLING, hard=True)
    def edge(self, pin):
        now = ticks()
        if pin.value():
            self.rise = now
            return
        self.got[self.n] = now - self.rise
        self.n += 1
channels = [Channel(number) for number in PINS]
print("ready")
while channels[-1].n < 13:
    time.sleep_ms(5)
for channel in channels:
    print("got", channel.got)
print("done")
"""


def captured(image, script, pins, apart_us):
    """[[width, ...] of each pin] that `script` measured of one warm-up pulse and four times WIDTHS_US."""
    board = board_with(image, script.replace("PINS", str(list(pins))))
    for pin in pins:
        board.drive(pin, 0)
    board.run_until_text("ready", SOON_US)
    for number, pin in enumerate(pins):
        start_us = board.now_us + 1000 + number * apart_us
        board.feed_edges(pin, pulse_train(start_us, PERIOD_US, (1700, *WIDTHS_US * 4)))
    lines = board.run_until_text("done", SOON_US).splitlines()
    # The first pulse warms up: names are looked up for the first time, some microseconds late.
    return [eval(line.removeprefix("got "))[1:] for line in lines if line.startswith("got ")]


def test_pin_interrupts_measure_pulses_to_two_microseconds(image):
    (got_us,) = captured(image, CAPTURE, (2,), 0)
    for width_us, true_us in zip(got_us, WIDTHS_US * 4, strict=True):
        assert abs(width_us - true_us) <= 2


def test_pin_interrupts_that_meet_measure_too_long(image):
    # Handlers wait for one another, and those of falling edges are the longer ones: what meets grows channel by channel.
    first, second, third = captured(image, CAPTURE, (2, 3, 4), 0)
    assert all(abs(got - true) <= 2 for got, true in zip(first, WIDTHS_US * 4, strict=True))
    assert all(2 < got - true < 20 for got, true in zip(second, WIDTHS_US * 4, strict=True))
    assert all(4 < got - true < 40 for got, true in zip(third, WIDTHS_US * 4, strict=True))


# The driver that flies, boards/rp2040/capture.py, with a table that keeps every pulse.
PIO_CAPTURE = """
import time
from boards.rp2040.capture import PioCapture
class Table:
    def __init__(self):
        self.got = [[] for _ in PINS]
    def end(self, channel, width_us):
        self.got[channel].append(width_us)
    def take(self, pulse_us, fresh):
        pass
table = Table()
capture = PioCapture(PINS, table)
print("ready")
while min([len(widths) for widths in table.got]) < 13:
    BETWEEN
    capture.take(None, None)
for widths in table.got:
    print("got", widths)
print("done")
"""


@pytest.mark.parametrize("between", ("time.sleep_ms(5)", "time.sleep_us(1)"), ids=("asleep", "awake"))
def test_pio_measures_pulses_that_meet_to_two_microseconds(image, between):
    if between == "time.sleep_us(1)":
        script = PIO_CAPTURE.replace("BETWEEN", between).replace("< 13", "< 4")
        widths = WIDTHS_US
    else:
        script, widths = PIO_CAPTURE.replace("BETWEEN", between), WIDTHS_US * 4
    for got_us in captured(image, script, (2, 3, 4, 5, 6), 0):
        assert all(abs(got - true) <= 2 for got, true in zip(got_us, widths, strict=False))
        assert len(got_us) >= len(widths)


PIO_OUT = """
import rp2, time
from machine import Pin
@rp2.asm_pio(set_init=rp2.PIO.OUT_LOW)
def pulse():
    pull(block)
    mov(x, osr)
    set(pins, 1)
    label("high")
    jmp(x_dec, "high")
    set(pins, 0)
machine = rp2.StateMachine(0, pulse, freq=1_000_000, set_base=Pin(2))
machine.active(1)
for width in (1000, 1500, 2000):
    machine.put(width)
time.sleep_ms(10)
print("done")
"""

PWM = """
from machine import Pin, PWM
import time
servo = PWM(Pin(2), freq=50, duty_ns=1_100_000)
time.sleep_ms(60)
servo.duty_ns(1_900_000)
time.sleep_ms(60)
print("done")
"""


def test_pio_makes_pulses(image):
    board = board_with(image, PIO_OUT)
    edges = board.watch(2)
    board.run_until_text("done", SOON_US)
    # set, one jmp more than the count, set: the program's own two microseconds.
    assert [width for _, width in whole_pulses(edges)] == pytest.approx([1002, 1502, 2002], abs=0.1)


def test_pwm_makes_servo_pulses(image):
    board = board_with(image, PWM)
    edges = board.watch(2)
    board.run_until_text("done", SOON_US)
    seen = whole_pulses(edges)
    widths = [round(width) for _, width in seen]
    assert widths == sorted(widths)
    assert set(widths) == {1100, 1900}
    assert len(widths) >= 5
    starts = [start for start, _ in seen]
    apart = [after - before for before, after in zip(starts, starts[1:], strict=False)]
    assert apart == pytest.approx([PERIOD_US] * len(apart), abs=1)
