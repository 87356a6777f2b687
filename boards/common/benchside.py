"""The board's side of commissioning: raw values, single outputs, and the controller as it flies, over the console.

No watchdog runs here, and nobody flies like this. Lines of ASCII in both directions; host_sim/commission has the other side.

From the board every 100 ms, numbers as they are (codes of controller/codes.py, 12-bit codes of inputs, microseconds):

    see t=12300 pulse=1100,1500,1100,0,0 fresh=5,5,5,0,0 glitch=0,0,0,0,0 counts=410,0 rail=3102 supply=2048
        lock=0,0,0,0 ground=1 button=0 drive=off                                              (one line)

t: ms since it began; fresh: pulses since the line before; glitch: pulses dropped so far. While the controller runs, behind it:

    tick=500 mode=1 cmd=0 link=0 switch=0 cause=9 refusal=0 alert=3 mbar=6900 locked=0 coil=0,0 servo=1100 light=0
        lamp=1 tone=0 fed=5 late=0

fed: ticks that earned the watchdog its food since the line before; late: late ticks so far. To the board, a line each, answered
by `ok <command>` or `no <command>: <reason>`:

    drive up|down|off               the valve, while the controller does not run
    show light|lamp|low|high|none   light, lamp, tones; the same
    fly                             the controller from boot, with the stored settings
    raw                             without it again, outputs safe
    end                             outputs safe, and back to the prompt

Costs: not for the loop; it allocates.
"""

import gc
import select
import sys
import time

from controller.codes import N_CHANNELS, N_LEGS, VALVE_SERVO, VALVE_SPRING, VALVE_TWO_COIL
from controller.frames import Inputs

from .assemble import make_parts
from .board import Board
from .start import HIGH_HZ, LOW_HZ, Start

LINE_MS = 100
RAW_TICK_MS = 20
LONGEST_COMMAND = 40
# A two-coil valve's coil must not stay on: as long as the settings' shortest.
COIL_MS = 300
TONES = {"low": LOW_HZ, "high": HIGH_HZ}


def serve(chip, wiring, servo):
    """Until `end`. `wiring` is an early.Wiring, `servo` what put_down gave."""
    Bench(Start(chip, wiring, servo)).run()


class Bench:
    """One session. `flying` is 1 while the controller runs."""

    def __init__(self, start):
        self.start = start
        self.parts = make_parts(start.chip.PINS, start.chip, start.valve, start.signals, start.retained)
        self.inputs = Inputs()
        self._board = Board(self.parts, start.boot)
        self.flying = 0
        self.drive = "off"
        self._coil_off_ms = -1
        self._fresh = [0] * N_CHANNELS
        self._ended = list(self.parts.capture.pulses.ended)
        self._fed = 0
        self._late = 0
        self._typed = ""
        self._poll = select.poll()
        self._poll.register(sys.stdin, select.POLLIN)
        self._done = False

    def run(self):
        """Lines and commands until `end` or Ctrl-C."""
        began = time.ticks_ms()
        due_ms = began
        since_ms = LINE_MS
        try:
            while not self._done:
                tick_ms = self._step()
                since_ms += tick_ms
                if since_ms >= LINE_MS:
                    since_ms = 0
                    self._tell(time.ticks_diff(time.ticks_ms(), began))
                self._listen()
                due_ms = time.ticks_add(due_ms, tick_ms)
                wait_ms = time.ticks_diff(due_ms, time.ticks_ms())
                if wait_ms > 0:
                    time.sleep_ms(wait_ms)
                else:
                    due_ms = time.ticks_ms()
        finally:
            self._safe()

    def _step(self):
        """A tick of the controller, or of looking; returns how long it may take."""
        if self.flying == 1:
            cycle = self.start.made.cycle
            self.start.made.loop.step()
            self._fed += cycle.outputs.feed
            self._late += cycle.controller.health.late
            if cycle.dead == 1:
                print("no fly: the program stopped")
                self._safe()
            return self.start.made.loop.tick_ms
        self._board.sample(self.inputs)
        if self._coil_off_ms >= 0:
            self._coil_off_ms -= RAW_TICK_MS
            if self._coil_off_ms < 0:
                self.parts.valve.coils(0, 0)
        return RAW_TICK_MS

    def _tell(self, t_ms):
        inputs = self.start.made.cycle.inputs if self.flying == 1 else self.inputs
        pulses = self.parts.capture.pulses
        for channel in range(N_CHANNELS):
            self._fresh[channel] = (pulses.ended[channel] - self._ended[channel]) & 0xFFFF
            self._ended[channel] = pulses.ended[channel]
        line = (
            "see t=%d pulse=%s fresh=%s glitch=%s counts=%s rail=%d supply=%d lock=%s ground=%d button=%d drive=%s"
            % (
                t_ms & 0x3FFFFFFF,
                _listed(inputs.pulse_us, N_CHANNELS),
                _listed(self._fresh, N_CHANNELS),
                _listed(pulses.glitches, N_CHANNELS),
                _listed(inputs.counts, 2),
                inputs.rail_counts,
                inputs.supply_counts,
                _listed(inputs.lock_level, N_LEGS),
                inputs.ground_level,
                inputs.button,
                self.drive,
            )
        )
        if self.flying == 1:
            line += self._flown()
        print(line)

    def _flown(self):
        out = self.start.made.cycle.outputs
        fed = self._fed
        self._fed = 0
        return (
            " tick=%d mode=%d cmd=%d link=%d switch=%d cause=%d refusal=%d alert=%d mbar=%d locked=%d"
            " coil=%d,%d servo=%d light=%d lamp=%d tone=%d fed=%d late=%d"
            % (
                out.tick,
                out.mode,
                out.gear_command,
                out.link,
                out.switch,
                out.cause,
                out.refusal,
                out.alert,
                out.pressure_mbar,
                out.locked,
                out.coil_up,
                out.coil_down,
                out.valve_us,
                out.light,
                out.lamp,
                out.tone_hz,
                fed,
                self._late,
            )
        )

    def _listen(self):
        while self._poll.poll(0):
            typed = sys.stdin.read(1)
            if typed in "\r\n":
                if self._typed:
                    self._obey(self._typed)
                self._typed = ""
                return
            if len(self._typed) < LONGEST_COMMAND:
                self._typed += typed

    def _obey(self, command):
        words = command.split()
        reason = "not known"
        if words[0] == "drive" and len(words) == 2:
            reason = self._drive(words[1])
        elif words[0] == "show" and len(words) == 2:
            reason = self._show(words[1])
        elif command == "fly":
            reason = self._fly()
        elif command == "raw":
            self._safe()
            reason = ""
        elif command == "end":
            self._safe()
            self._done = True
            reason = ""
        print("no %s: %s" % (command, reason) if reason else "ok " + command)

    def _drive(self, way):
        if self.flying == 1:
            return "the controller runs"
        if way not in ("up", "down", "off"):
            return "up, down or off"
        boot = self.start.boot
        valve = self.parts.valve
        self._coil_off_ms = -1
        valve.coils(0, 0)
        if boot.valve_kind == VALVE_SERVO:
            pulse_us = {"up": boot.servo_up_us, "down": boot.servo_down_us, "off": 0}
            valve.pulse(pulse_us[way])
        elif boot.valve_kind == VALVE_SPRING:
            valve.coils(1 if way == "up" else 0, 0)
        elif boot.valve_kind == VALVE_TWO_COIL:
            valve.coils(1 if way == "up" else 0, 1 if way == "down" else 0)
            self._coil_off_ms = COIL_MS
        else:
            return "no valid wiring record"
        self.drive = way
        return ""

    def _show(self, what):
        if self.flying == 1:
            return "the controller runs"
        signals = self.parts.signals
        signals.off()
        if what == "light":
            signals.light(1)
        elif what == "lamp":
            signals.lamp(1)
        elif what in TONES:
            signals.tone(TONES[what])
        elif what != "none":
            return "light, lamp, low, high or none"
        return ""

    def _fly(self):
        self._safe()
        start = self.start
        code, reason = start.hold_reason()
        if code != 0:
            return reason
        # Power-on: nothing was kept.
        start.retained.keep(0, 0)
        start.retained.count = -1
        start.made = None
        gc.collect()
        try:
            start.make(self.parts)
        except Exception as error:
            return repr(error)
        self.flying = 1
        self._fed = 0
        self._late = 0
        return ""

    def _safe(self):
        self.flying = 0
        self.drive = "off"
        self._coil_off_ms = -1
        self.parts.valve.hold_down()
        self.parts.signals.off()


def _listed(values, n):
    return ",".join([str(values[index]) for index in range(n)])
