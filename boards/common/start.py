"""From power-on to the loop. DOWN goes out first; everything else is loaded behind it.

    0  clock, wiring record, valve to DOWN (early.py, from boards/*/main.py)
    1  lamp on, tone low
    2  service, if that was asked for (below)
    3  files checked against their manifest; incomplete or damaged: hold.py
    4  controller made from both settings copies, which it checks itself; tone high; journal
    5  watchdog started, first tick; from here on lamp and tone are the controller's

A pilot sees and hears that it came through: lamp and low tone, high tone, then what the alerts say. A lamp that stays as it
is, or groups of flashes, is a board that is not to be flown.

Service: Ctrl-C on the console. The watchdog of these chips cannot be stopped, so the board asks itself for it in a word that
survives a reset, resets, and stops here at the prompt with the gear at DOWN and no watchdog. It counts as no restart
(SR-32), since somebody sits at the cable.

Costs: at boot only; python -m tests.boards.figures measures them. Memory: the Boot record, 100 bytes.
"""

import gc
import sys
import time

from .assemble import make_parts, make_signals, make_valve
from .early import ROOT
from .hold import DAMAGED, NO_SET, STOPPED, Hold
from .store import NOT_THERE, check_set, load_settings

SERVICE_WORD = 0x5E7A
LOW_HZ = 1000
HIGH_HZ = 2000
WATCHDOG_MS = 500


class Boot:
    """What a board knows before its first tick; the names are those of controller.frames.Inputs."""

    def __init__(self, wiring):
        self.settings_a = b""
        self.settings_b = b""
        self.valve_kind = wiring.kind
        self.servo_down_us = wiring.down_us
        self.servo_up_us = wiring.up_us
        self.retained_count = -1
        self.retained_check = -1


class Made:
    """What `make` gives: board.Parts, board.Board, controller.cycle.Cycle, loop.Loop."""

    def __init__(self, parts, board, cycle, loop):
        self.parts = parts
        self.board = board
        self.cycle = cycle
        self.loop = loop


class Start:
    """One boot of the chip that boards/*/chip.py describes. `wiring` is an early.Wiring, `servo` what put_down gave."""

    def __init__(self, chip, wiring, servo):
        self.chip = chip
        self.boot = Boot(wiring)
        self.valve = make_valve(chip.PINS, servo, wiring.safe_us)
        self.signals = make_signals(chip.PINS)
        self.retained = chip.Retained()
        self.made = None

    def is_service(self):
        """Whether this boot was asked for by `ask_service`; asked once."""
        if self.retained.service != SERVICE_WORD:
            return False
        self.retained.ask_service(0)
        return True

    def hold_reason(self):
        """(code of hold.py, words), or (0, "") for a set of files that is whole."""
        reason = check_set(ROOT, self.chip.NAME)
        if not reason:
            return 0, ""
        code = DAMAGED
        if reason == NOT_THERE:
            code = NO_SET
        return code, reason + "; install again"

    def make(self, parts=None):
        """The controller, from what lies in the files, as a Made. `parts` are those that were made already."""
        from controller.cycle import Cycle

        from .board import Board
        from .loop import Loop

        load_settings(ROOT, self.boot)
        self.boot.retained_count = self.retained.count
        self.boot.retained_check = self.retained.check
        if parts is None:
            parts = make_parts(self.chip.PINS, self.chip, self.valve, self.signals, self.retained)
        board = Board(parts, self.boot)
        self.signals.tone(HIGH_HZ)
        cycle = Cycle(board)
        controller = cycle.controller
        if controller is None:
            raise RuntimeError("the controller could not be made")
        parts.contacts.pull_against(controller.settings)
        self.made = Made(parts, board, cycle, Loop(board, cycle, parts))
        return self.made

    def fly(self):
        """Make all of it and tick until power-off."""
        from machine import WDT

        made = self.make()
        made.loop.open_log(made.parts.flash)
        gc.collect()
        print("downlock: started by", self.chip.cause())
        print("downlock: flying; memory free", gc.mem_free())
        made.board.watchdog = WDT(timeout=WATCHDOG_MS)
        made.loop.run()
        # Nothing feeds the watchdog any more: it resets the board, and that counts (SR-32).
        while True:
            time.sleep_ms(WATCHDOG_MS)

    def hold(self, code, reason):
        """DOWN, until power-off or Ctrl-C."""
        Hold(self.valve, self.signals, self.boot.valve_kind, code, reason).forever()

    def ask_service(self):
        """Reset into service; says what the loop has measured."""
        self.valve.hold_down()
        self.signals.off()
        if self.made is not None:
            loop = self.made.loop
            print("downlock: ticks", loop.n_ticks, "worst_us", loop.worst_us, "mean_us", loop.mean_us(), end=" ")
            print("rest_us", loop.rest_us, "memory_free", gc.mem_free())
            # So that it is out before the reset; the watchdog would bite later.
            time.sleep_ms(WATCHDOG_MS // 5)
        self.retained.keep(0, 0)
        self.retained.ask_service(SERVICE_WORD)
        self.chip.restart()


def start(chip, wiring, servo):
    """All that main.py does after DOWN has gone out. Returns only into service."""
    this = Start(chip, wiring, servo)
    if this.is_service():
        print("downlock: service, gear held DOWN")
        return
    try:
        this.signals.lamp(1)
        this.signals.tone(LOW_HZ)
        code, reason = this.hold_reason()
        if code != 0:
            this.hold(code, reason)
        this.fly()
    except KeyboardInterrupt:
        this.ask_service()
    except Exception as error:
        sys.print_exception(error)
        this.hold(STOPPED, "the program stopped: " + repr(error))
