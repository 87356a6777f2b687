"""The emulated board does what a board does, as far as our code leans on it: boot, files, pins, ADC, watchdog, memory.

Each test boots the real firmware on a new chip; what is asserted comes out of its console, its pins or its files.
"""

import pytest

from tests.boards.emulated import NOT_DRIVEN, POWER_ON, RUN_PIN, WATCHDOG, EmulatedBoard, EmulationError, pulse_train

SOON_US = 1_000_000
WIDTHS_US = (1000, 1500, 2000)
PERIOD_US = 20_000


def boot(image, main="", **more):
    """A board with that main.py."""
    return EmulatedBoard(image, {"main.py": main, **more})


def test_boots_to_a_prompt_and_answers(image):
    board = boot(image)
    assert "MicroPython v1." in board.run_until_text(">>> ", SOON_US)
    assert "Raspberry Pi Pico with RP2040" in board.text
    board.forget_text()
    board.send("print(6 * 7)\r")
    assert board.run_until_text("42\r\n>>> ", SOON_US).startswith("print(6 * 7)")


def test_text_from_before_the_terminal_was_there_comes_all_the_same(image):
    board = boot(image, "import time\nprint('early', time.ticks_ms())\n")
    board.run_until_text(">>> ", SOON_US)
    # The terminal connects 14 ms after power-on.
    assert int(board.text.split()[1]) < 14


def test_what_does_not_come_is_an_error_with_what_came_instead(image):
    board = boot(image, "print(1 // 0)\n")
    with pytest.raises(EmulationError, match="'never' did not come within 0.1 s.*ZeroDivisionError"):
        board.run_until_text("never", 100_000)
    assert board.now_us == pytest.approx(100_000, abs=0.01)


def test_files_go_in_and_come_out(image):
    main = "import a.b\nwith open('/out/log.bin', 'wb') as f: f.write(bytes(range(256)) * 20)\nprint('done')\n"
    board = boot(image, "import os\nos.mkdir('/out')\n" + main, **{"a/b.py": b"print('module ran')\n"})
    assert "module ran" in board.run_until_text("done", SOON_US)
    files = board.files()
    assert files["out/log.bin"] == bytes(range(256)) * 20
    assert files["a/b.py"] == b"print('module ran')\n"


PIN = """
from machine import Pin
import time
pin = Pin(2, Pin.OUT, value=0)
at = [0] * 8
level = 0
for n in range(8):
    level = 1 - level
    time.sleep_us(1000)
    at[n] = time.ticks_us()
    pin.value(level)
print(at, "done")
"""


def test_a_pin_is_seen_at_its_time(image):
    board = boot(image, PIN)
    edges = board.watch(2)
    at_us = eval(board.run_until_text("done", SOON_US).splitlines()[0].removesuffix(" done"))
    assert [level for _, level in edges] == [NOT_DRIVEN, 0, 1, 0, 1, 0, 1, 0, 1, 0]
    # Reading the clock, storing it and calling the pin takes some microseconds; the first time, more.
    for (seen_us, _), said_us in list(zip(edges[2:], at_us, strict=True))[1:]:
        assert 0 <= seen_us - said_us < 15


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
    board = boot(image, script.replace("PINS", str(list(pins))))
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


PIO_CAPTURE = """
import rp2, time
from machine import Pin
@rp2.asm_pio()
def width():
    wrap_target()
    mov(x, invert(null))
    wait(0, pin, 0)
    wait(1, pin, 0)
    label("high")
    jmp(x_dec, "next")
    label("next")
    jmp(pin, "high")
    mov(isr, invert(x))
    push(noblock)
    wrap()
machines = []
for number in PINS:
    pin = Pin(number, Pin.IN, Pin.PULL_DOWN)
    machine = rp2.StateMachine(len(machines), width, freq=2_000_000, in_base=pin, jmp_pin=pin)
    machine.active(1)
    machines.append(machine)
got = [[] for _ in machines]
print("ready")
while len(got[-1]) < 13:
    BETWEEN
    for machine, widths in zip(machines, got):
        while machine.rx_fifo():
            widths.append(machine.get())
for widths in got:
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


def pulses(edges):
    """[(start, width)] of the whole pulses in what `watch` gave."""
    rises = [number for number, (_, level) in enumerate(edges) if level == 1]
    return [(edges[n][0], edges[n + 1][0] - edges[n][0]) for n in rises if n + 1 < len(edges)]


def test_pio_makes_pulses(image):
    board = boot(image, PIO_OUT)
    edges = board.watch(2)
    board.run_until_text("done", SOON_US)
    # set, one jmp more than the count, set: the program's own two microseconds.
    assert [width for _, width in pulses(edges)] == pytest.approx([1002, 1502, 2002], abs=0.1)


def test_pwm_makes_servo_pulses(image):
    board = boot(image, PWM)
    edges = board.watch(2)
    board.run_until_text("done", SOON_US)
    seen = pulses(edges)
    widths = [round(width) for _, width in seen]
    assert widths == sorted(widths)
    assert set(widths) == {1100, 1900}
    assert len(widths) >= 5
    starts = [start for start, _ in seen]
    apart = [after - before for before, after in zip(starts, starts[1:], strict=False)]
    assert apart == pytest.approx([PERIOD_US] * len(apart), abs=1)


def test_adc_values_read_back(image):
    board = boot(image, "from machine import ADC\nprint([ADC(26 + n).read_u16() for n in range(3)], 'done')\n")
    for channel, counts in enumerate((0, 2048, 4095)):
        board.set_adc(channel, counts)
    # 12 bits, spread over 16 by repeating the upper ones: MicroPython's read_u16.
    assert board.run_until_text("done", SOON_US).startswith(str([0, (2048 << 4) | (2048 >> 8), 65535]))
    with pytest.raises(ValueError, match="ADC channel 1: 4096 counts, 0 to 4095 allowed"):
        board.set_adc(1, 4096)


WATCHDOG_SCRIPT = """
import machine, time
SCRATCH = 0x4005800C
print("life", machine.reset_cause(), machine.mem32[SCRATCH])
machine.mem32[SCRATCH] += 7
pin = machine.Pin(2, machine.Pin.OUT, value=1)
if machine.reset_cause() == machine.PWRON_RESET:
    dog = machine.WDT(timeout=100)
    for _ in range(5):
        time.sleep_ms(80)
        dog.feed()
    print("hungry")
while True:
    time.sleep_ms(10)
"""


def test_watchdog_bites_when_it_is_not_fed(image):
    board = boot(image, WATCHDOG_SCRIPT)
    edges = board.watch(2)
    board.run_until_text("hungry", SOON_US)
    assert board.resets == [(0.0, POWER_ON)], "fed every 80 ms: no reset in 400 ms"
    hungry_us = board.now_us
    board.run_until_text("life 3 7", SOON_US)
    (bitten_us, cause) = board.resets[-1]
    assert cause == WATCHDOG
    assert bitten_us - hungry_us == pytest.approx(100_000, abs=500)
    # In reset the chip lets go of the pin; machine.WDT_RESET is 3, and the scratch register keeps its 7.
    assert (bitten_us, NOT_DRIVEN) in edges
    assert [level for _, level in edges][:3] == [NOT_DRIVEN, 1, NOT_DRIVEN]
    # The second life does not start the dog; nothing bites any more.
    board.run_for(SOON_US)
    assert len(board.resets) == 2


@pytest.mark.parametrize("how, cause", (("reset", RUN_PIN), ("power_cycle", POWER_ON)))
def test_other_resets_forget_the_scratch_registers(image, how, cause):
    board = boot(image, WATCHDOG_SCRIPT.replace("machine.WDT(timeout=100)", "machine"))
    board.run_until_text("life 1 0", SOON_US)
    board.run_for(100_000)
    board.forget_text()
    before_us = board.now_us
    getattr(board, how)()
    board.run_until_text("life 1 0", SOON_US)
    assert board.resets[1:] == [(before_us, cause)]
    assert board.now_us > before_us


MEMORY = """
import gc
def nothing(n):
    for k in range(n):
        pass
def pairs(n):
    for k in range(n):
        (k, k)
def grown(what):
    gc.collect()
    gc.disable()
    before = gc.mem_alloc()
    what(50)
    after = gc.mem_alloc()
    gc.enable()
    return after - before
grown(nothing)
print(grown(nothing), grown(pairs), "done")
"""


def test_bytes_a_loop_allocates(image):
    # A pair takes one block of 16 bytes on a 32-bit board.
    assert boot(image, MEMORY).run_until_text("done", SOON_US).startswith("0 800 done")


def test_two_runs_are_the_same(image):
    seen = []
    for _ in range(2):
        board = boot(image, PIN)
        edges = board.watch(2)
        board.run_until_text("done", SOON_US)
        seen.append((board.now_us, list(edges), board.text))
    assert seen[0] == seen[1]
