"""From power-on to the loop, on a stand-in for a chip: what happens in which order, and what holds the board."""

import importlib
import sys
import types

import pytest

from controller import codes
from controller.settings import Settings
from tests.boards.fake_pins import FakeConverter, FakePin, FakePwm, FakeRetained, RamBlocks
from tests.boards.loop_rig import SECTORS, Boot, Clock


class Stopped(BaseException):
    """Ends what would go on for ever."""


class World:
    """The chip, its pins and clock; `told` is what happened, in order."""

    def __init__(self):
        self.told = []
        self.retained = FakeRetained()
        self.pins = {}
        self.set_fault = ""
        self.steps_left = 60
        self.clock = Clock()
        self.flash_device = RamBlocks(SECTORS, 0xFF)

    def sleep_ms(self, n):
        """Time for the held board."""
        self.sleep_us(n * 1000)

    def sleep_us(self, n):
        """Time; the world ends after a while."""
        self.clock.now_us += n
        self.steps_left -= 1
        if self.steps_left == 0:
            raise Stopped


@pytest.fixture
def world(monkeypatch):
    """`machine`, `time` and files of a board."""
    made = World()

    def pin(number, mode, pull=None, value=0):
        made.pins[number] = FakePin(value)
        made.told.append(f"pin {number}")
        return made.pins[number]

    def pwm(pin, freq, duty_ns=None, duty_u16=None):
        made.told.append(f"pwm {duty_ns if duty_ns is not None else 'off'}")
        made.pwm = FakePwm()
        made.pwm.ns = duty_ns
        return made.pwm

    class Dog:
        def __init__(self, timeout):
            made.told.append(f"watchdog {timeout}")

        def feed(self):
            made.told.append("fed")

    pin.IN, pin.OUT, pin.PULL_UP, pin.PULL_DOWN = 0, 1, 1, 2

    class Pin(FakePin):
        def __new__(cls, number, mode=0, pull=None, value=0):
            return pin(number, mode, pull, value)

    monkeypatch.setitem(sys.modules, "machine", types.SimpleNamespace(Pin=Pin, PWM=pwm, WDT=Dog))
    for name in ("ticks_us", "ticks_ms", "ticks_add", "ticks_diff"):
        monkeypatch.setattr(f"time.{name}", getattr(made.clock, name), raising=False)
    monkeypatch.setattr("time.sleep_us", made.sleep_us, raising=False)
    monkeypatch.setattr("time.sleep_ms", made.sleep_ms, raising=False)
    monkeypatch.setattr("gc.mem_free", lambda: 99, raising=False)
    monkeypatch.setattr("sys.print_exception", lambda error: made.told.append(f"raised {error}"), raising=False)
    for name in ("boards.common.assemble", "boards.common.start"):
        sys.modules.pop(name, None)
    start = importlib.import_module("boards.common.start")
    monkeypatch.setattr(start, "check_set", lambda root, name: made.told.append("checked") or made.set_fault)

    def load(root, boot):
        boot.settings_a = boot.settings_b = Boot().settings_a

    monkeypatch.setattr(start, "load_settings", load)
    made.start = start
    yield made
    for name in ("boards.common.assemble", "boards.common.start"):
        sys.modules.pop(name, None)


def chip_of(world):
    """A chip module."""
    names = dict(COIL_UP=10, COIL_DOWN=11, VALVE_SERVO=12, LIGHT=13, LAMP=14, TONE=15, BUTTON=16, GROUND=17)
    pins = types.SimpleNamespace(
        PULSES=(2, 3, 4, 5, 6), LOCKS=(18, 19, 20, 21), SENSOR_A=26, RAIL=27, SUPPLY=28, SENSOR_B=None, STATUS_UART=None,
        **names,
    )  # fmt: skip

    def restart():
        world.told.append("restart")
        raise Stopped

    return types.SimpleNamespace(
        NAME="rp2040",
        PINS=pins,
        Retained=lambda: world.retained,
        Converter=lambda number: FakeConverter((2636,)),
        capture=lambda numbers, pulses: types.SimpleNamespace(take=pulses.take, pulses=pulses),
        flash=lambda: world.flash_device,
        cause=lambda: "power-on",
        restart=restart,
    )


def boot(world, kind=codes.VALVE_SPRING, safe_us=0):
    """Power on, until it stops by itself or by the end of the world's patience."""
    wiring = types.SimpleNamespace(kind=kind, down_us=safe_us, up_us=2000 if safe_us else 0, safe_us=safe_us)
    try:
        world.start.start(chip_of(world), wiring, FakePwm())
    except Stopped:
        world.told.append("stopped")
    return world.told


def test_files_are_checked_before_the_watchdog_and_every_tick_is_fed(world):
    told = boot(world)
    steps = [what for what in told if not what.startswith(("pin", "pwm"))]
    assert steps[:2] == ["checked", "watchdog 500"]
    # The world's patience, and the sleep that ended it.
    assert steps[2:] == ["fed"] * 60 + ["stopped"]
    assert world.pins[10].level == world.pins[11].level == 0


def test_the_journal_goes_to_flash(world):
    boot(world)
    # It erases while waking, so that there is a sector to write to.
    assert any(byte != 0xFF for byte in world.flash_device.data)


@pytest.mark.parametrize("fault, code", (("no set.txt", 1), ("main.py damaged", 2)))
def test_a_set_that_is_not_whole_holds_down_and_says_so(world, capsys, fault, code):
    world.set_fault = fault
    told = boot(world)
    assert "watchdog 500" not in told and "fed" not in told
    assert f"downlock: held DOWN: {fault}; install again" in capsys.readouterr().out
    assert told[-1] == "stopped"


@pytest.mark.sr("SR-18", "acts")
def test_a_held_board_gives_a_servo_valve_the_pulse_of_down(world):
    world.set_fault = "no set.txt"
    servo = FakePwm()
    wiring = types.SimpleNamespace(kind=codes.VALVE_SERVO, down_us=1050, up_us=2000, safe_us=1050)
    with pytest.raises(Stopped):
        world.start.start(chip_of(world), wiring, servo)
    assert servo.ns == 1_050_000


def test_a_program_that_stops_before_the_watchdog_runs_holds_down(world, capsys, monkeypatch):
    def broken(inputs):
        raise ValueError("broken")

    monkeypatch.setattr("controller.cycle.Controller", broken)
    told = boot(world)
    assert "raised the controller could not be made" in told and "watchdog 500" not in told
    assert "the program stopped" in capsys.readouterr().out


@pytest.mark.sr("SR-31", "acts")
def test_a_program_that_stops_in_flight_is_left_to_the_watchdog(world, monkeypatch):
    from controller.cycle import Controller

    ticks = []

    def tick(self, inputs, outputs):
        ticks.append(1)
        if len(ticks) == 20:
            raise ValueError("broken")
        outputs.feed = outputs.coil_up = 1

    monkeypatch.setattr(Controller, "tick", tick)
    told = boot(world)
    assert told.count("fed") == 19 and told[-1] == "stopped"
    assert world.pins[10].level == 0


def test_ctrl_c_in_flight_asks_for_service_and_resets(world, monkeypatch):
    from controller.cycle import Controller

    def tick(self, inputs, outputs):
        raise KeyboardInterrupt

    monkeypatch.setattr(Controller, "tick", tick)
    told = boot(world)
    assert told[-2:] == ["restart", "stopped"]
    assert world.retained.service == world.start.SERVICE_WORD
    # Somebody sits at the cable: it is no restart of SR-32.
    assert (world.retained.count, world.retained.check) == (0, 0)
    assert world.pins[10].level == 0


def test_ctrl_c_on_a_held_board_gives_service_too(world):
    world.set_fault = "no set.txt"

    def sleep(n):
        raise KeyboardInterrupt

    world.start.time.sleep_ms, kept = sleep, world.start.time.sleep_ms
    try:
        assert boot(world)[-2:] == ["restart", "stopped"]
    finally:
        world.start.time.sleep_ms = kept


def test_service_starts_no_watchdog_and_is_for_once(world, capsys):
    world.retained.service = world.start.SERVICE_WORD
    told = boot(world)
    assert "checked" not in told and "watchdog 500" not in told
    assert capsys.readouterr().out == "downlock: service, gear held DOWN\n"
    assert world.retained.service == 0
    told.clear()
    assert "watchdog 500" in boot(world)


@pytest.mark.sr("SR-32", "acts")
def test_the_restart_count_comes_from_what_survived_the_reset(world):
    from controller.health import check_word

    world.retained.count, world.retained.check = 2, check_word(2)
    boot(world)
    assert world.retained.count == 3


def test_the_settings_decide_which_way_a_broken_wire_reads(world):
    boot(world)
    assert Settings().ground_clear_level == 0
    assert world.pins[17].pull == FakePin.PULL_UP
