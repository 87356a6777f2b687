"""A scenario flown by the emulated board: its pins and converters in the air system and radio of host_sim, in closed loop.

    flight = BoardFlight(image, load_scenario(path))
    flight.fly()
    flight.commands, flight.records(), flight.figures

What is on the board is what `downlock install` puts there, main.py included, but for the clock (the emulator keeps 125 MHz
whatever it is told) and without tone and servo pulse (see `installed_board`). The scenario's time begins with the board's first tick, to a few milliseconds. The world moves in slices
of 2.5 ms; pulses come as edges, at the microsecond at which the receiver of host_sim sends them.
"""

import tempfile
from pathlib import Path

from controller.frames import Inputs
from host_sim.bench import Bench
from host_sim.install.fileset import build_set
from host_sim.install.kinds import KINDS
from host_sim.install.layout import BOOT_SOURCE, INNER_BLOCKS
from host_sim.journal_read import read_journal
from tests.boards.emulated import EmulatedBoard
from tests.boards.emulated_files import BLOCK_BYTES, FILES_AT, N_BLOCKS, compiled, pack_installed

BOARD_FOLDER = Path(__file__).parents[2] / "boards" / "rp2040"
SLICE_US = 2500
TICK_US = 20_000
# Flown after the scenario's end, so that what is still in memory goes to flash, one record a tick.
TAIL_US = 400_000
BOOT_WITHIN_US = 6_000_000
FLYING = "downlock: flying"
MEASURED = "downlock: ticks "
# Pins of boards/rp2040/pins.py, and the converter's channel of a GPIO.
PULSES = (2, 3, 4, 5, 6)
COIL_UP, VALVE_SERVO, LIGHT, LAMP, TONE = 10, 12, 13, 14, 15
SENSOR_A, RAIL, SUPPLY = 0, 1, 2
CPU_LINE = "CPU_HZ = 200_000_000"
PWM_LINES = ("VALVE_SERVO = 12", "TONE = 15")


def installed_board(image, aircraft, main=None, valve=None, with_pwm=True):
    """An EmulatedBoard as `downlock install` leaves one. `main` takes the place of main.py, `valve` of the wiring record.

    Where PIO has to measure, PWM must be left out: it wakes the emulator's clock at fractions of a cycle, which are cut off
    what a sleeping processor's PIO gets, until it runs at half its pace.
    """
    valve = valve or (aircraft.valve_kind, aircraft.servo_down_us, aircraft.servo_up_us)
    made = build_set(KINDS["rp2040"], aircraft.packed, *valve)
    made.files["boards/rp2040/pins.mpy"] = _emulated_pins(with_pwm)
    if main is not None:
        made.files["main.py"] = main.encode()
    files = {**made.files, "set.txt": made.manifest}
    return EmulatedBoard(image, pack_installed(BOOT_SOURCE.read_bytes(), files, INNER_BLOCKS))


def _emulated_pins(with_pwm):
    """pins.py with the clock that the emulator has; without the outputs that are made by PWM, if so wanted."""
    source = (BOARD_FOLDER / "pins.py").read_text()
    changes = {CPU_LINE: "CPU_HZ = 125_000_000"}
    if not with_pwm:
        changes |= {line: f"{line.split()[0]} = None" for line in PWM_LINES}
    for line, other in changes.items():
        assert line in source
        source = source.replace(line, other)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pins.py"
        path.write_text(source)
        return compiled(path)


class _Line(list):
    """Takes the place of the receiver's list of pulses to come, and puts their edges on a pin."""

    def __init__(self, flight, pin):
        super().__init__()
        self._flight = flight
        self._pin = pin

    def append(self, pulse):
        end_us, width_us = pulse
        self._flight.pulse(self._pin, end_us - width_us, width_us)


class BoardFlight:
    """One flight.

    commands    [(s, 0 or 1)] of the up coil, in the scenario's time
    lights      the same of the landing light
    boots_us    time from each reset to its first tick, as far as the console tells
    figures     {name: number} that the board printed of its loop at the end
    """

    def __init__(self, image, scenario):
        self.scenario = scenario
        self.bench = Bench(scenario)
        self.board = installed_board(image, scenario.aircraft, with_pwm=False)
        for channel, pin in enumerate(PULSES):
            self.board.drive(pin, 0)
            self.bench.receiver._pending[channel] = _Line(self, pin)
        self._watched = {pin: self.board.watch(pin) for pin in (COIL_UP, LIGHT, LAMP)}
        self._inputs = Inputs()
        self._zero_us = self._end_us = 0.0
        self.boots_us = []
        self.figures = {}

    def fly(self):
        """To the end of the scenario, and then by Ctrl-C for the figures."""
        self._measure()
        self._boot(0.0)
        self._zero_us = self.board.now_us
        bench = self.bench
        end_us = self._end_us = round(self.scenario.duration_s * 1e6) + TAIL_US
        resets_us = bench.plan.reset_times_us[::-1]
        while bench.t_us < end_us:
            self._slice(min(end_us, bench.t_us + SLICE_US))
            if resets_us and bench.t_us >= resets_us[-1]:
                resets_us.pop()
                self.board.forget_text()
                self.board.bite()
                self._flown_boot()
        self.board.forget_text()
        self.board.send("\x03")
        text = self.board.run_until_text("service", 3_000_000)
        words = text[text.index(MEASURED) + len("downlock: ") :].split()[:10]
        self.figures = {key: int(number) for key, number in zip(words[::2], words[1::2], strict=True)}

    def _boot(self, from_us):
        self.board.run_until_text(FLYING, BOOT_WITHIN_US)
        self.boots_us.append(self.board.now_us - from_us)

    def _flown_boot(self):
        """Let the world go on while the board boots."""
        from_us = self.board.now_us
        while FLYING not in self.board.text:
            if self.board.now_us - from_us > BOOT_WITHIN_US:
                raise AssertionError(f"no boot after the reset; the board said {self.board.text[-300:]!r}")
            self._slice(self.bench.t_us + SLICE_US)
        self.boots_us.append(self.board.now_us - from_us)

    def _slice(self, t_us):
        """The board, then the world, from now to t_us; pulses of frames that begin before that are on their way."""
        bench, board = self.bench, self.board
        bench.receiver.sample(t_us, bench._sticks, self._inputs.pulse_us, self._inputs.fresh)
        board.run_until(self._zero_us + t_us)
        bench.demand.coil_up = int(board.level(COIL_UP) == 1)
        bench.advance(t_us)
        # As often as on the PC, so that both see the same noise.
        if t_us % TICK_US == 0:
            self._measure()

    def _measure(self):
        """Put the sensors' codes on the converter."""
        bench = self.bench
        inputs = self._inputs
        bench.sample(inputs)
        self.board.set_adc(SENSOR_A, inputs.counts[0])
        self.board.set_adc(RAIL, inputs.rail_counts)
        self.board.set_adc(SUPPLY, inputs.supply_counts)

    def pulse(self, pin, start_us, width_us):
        """A pulse of the scenario's time onto a pin."""
        at_us = self._zero_us + start_us
        self.board.feed_edges(pin, ((at_us, 1), (at_us + width_us, 0)))

    @property
    def commands(self):
        """Of the up coil."""
        return self._changes(COIL_UP)

    @property
    def lights(self):
        """Of the landing light."""
        return self._changes(LIGHT)

    def _changes(self, pin):
        changes, last = [], 0
        for at_us, level in self._watched[pin]:
            level = int(level == 1)
            if level != last and at_us < self._zero_us + self._end_us:
                changes.append(((at_us - self._zero_us) / 1e6, level))
                last = level
        return changes

    def records(self):
        """The journal that the board has left in its flash (host_sim.journal_read.Record)."""
        return journal_of(self.board)


def journal_of(board):
    """Records in the journal's blocks of an installed board."""
    start = 2 + INNER_BLOCKS
    return read_journal(board.flash(FILES_AT + start * BLOCK_BYTES, (N_BLOCKS - start) * BLOCK_BYTES))
