"""The emulated board does what a board does, as far as our code leans on it: boot, files, pins, ADC, watchdog, memory.

Each test boots the real firmware on a new chip; what is asserted comes out of its console, its pins or its files.
"""

import pytest

from tests.boards.emulated import NOT_DRIVEN, POWER_ON, RUN_PIN, WATCHDOG, EmulatedBoard, EmulationError

# A boot takes the PC a second or more; and with no test on it in the quick suite, that one is the same on every machine.
pytestmark = pytest.mark.deep

SOON_US = 1_000_000


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


def test_at_the_prompt_the_processor_sleeps(image):
    board = boot(image)
    board.run_until_text(">>> ", SOON_US)
    board.run_for(100_000)
    before = board.n_cycles
    board.run_for(100_000)
    assert board.n_cycles - before < 125 * 100_000 // 1000


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


def test_adc_values_read_back(image):
    board = boot(image, "from machine import ADC\nprint([ADC(26 + n).read_u16() for n in range(3)], 'done')\n")
    for channel, counts in enumerate((0, 2048, 4095)):
        board.set_adc(channel, counts)
    # 12 bits, spread over 16 by repeating the upper ones: MicroPython's read_u16.
    assert board.run_until_text("done", SOON_US).startswith(str([0, (2048 << 4) | (2048 >> 8), 65535]))
    with pytest.raises(ValueError, match="ADC channel 1: 4096 counts, 0 to 4095 allowed"):
        board.set_adc(1, 4096)


BUTTON = """
from machine import Pin
import time
button, lamp = Pin(3, Pin.IN, Pin.PULL_UP), Pin(2, Pin.OUT)
while True:
    lamp.value(button.value())
    time.sleep_ms(1)
"""


def test_without_a_terminal_it_runs_and_inputs_follow_the_hand_or_the_pull(image):
    board = EmulatedBoard(image, {"main.py": BUTTON}, usb=False)
    board.run_for(50_000)
    assert board.level(2) == 1
    board.drive(3, 0)
    board.run_for(2000)
    assert board.level(2) == 0
    board.release(3)
    board.run_for(2000)
    assert board.level(2) == 1
    assert board.text == ""
    with pytest.raises(ValueError, match="no terminal"):
        board.send("x")


def test_a_fault_of_a_source_of_edges_is_not_swallowed(image):
    def source():
        yield 20_000, 1
        raise ZeroDivisionError("in the source")

    board = boot(image)
    board.feed_edges(2, source())
    with pytest.raises(ZeroDivisionError, match="in the source"):
        board.run_for(50_000)


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
