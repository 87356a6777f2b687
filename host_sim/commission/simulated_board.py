"""A board at the bench, simulated: the line protocol over an invented model and the real controller, in virtual time."""

from controller import codes
from controller.frames import Inputs, Outputs
from controller.tick import Controller

from ..bench import BOOT_US, CLOCK_MASK
from ..install.fileset import wiring_record
from .board import Stored
from .lines import LinkError

LOOK_US = 20_000
LINE_US = 100_000
COIL_US = 300_000
TONES = {"low": 1000, "high": 2000}
# How long a board without pull-downs can leave its pins to chance before its program runs (an assumption).
UNDRIVEN_US = 1_500_000
# Share of the travel that an eye sees.
TWITCH = 0.05
OFF, RAW, FLYING, ALONE = "off", "raw", "flying", "alone"


class SimulatedBoard:
    """A link (see board.py) and the board at its other end. Time passes only by `pass_time`, and by `receive`.

    `seen_lamp`, `seen_tone_hz`, `seen_light` are what showed since `look_anew`, `gear_went_up`
    whether a leg moved in. Defects are fields: `silent_tone`,
    `dark_lamp`, `coil_while_booting`.
    """

    def __init__(self, model, settings_packed=None):
        self.model = model
        packed = settings_packed or model.aircraft.packed
        aircraft = model.aircraft
        wiring = wiring_record(
            aircraft.valve_kind,
            *((aircraft.servo_down_us, aircraft.servo_up_us) if aircraft.valve_kind == codes.VALVE_SERVO else (0, 0)),
        )
        self.stored = Stored("simulated", "00", "CPython", "0", packed, packed, wiring, wiring)
        self.silent_tone = self.dark_lamp = self.coil_while_booting = False
        self.mode = RAW
        self._lines = []
        self._inputs, self._outputs, self._controller = Inputs(), Outputs(), None
        self._drive, self._shown = "off", "none"
        self._fresh = [0] * codes.N_CHANNELS
        self._fed = 0
        self._due_us = self._line_us = model.t_us
        self._driven_us = 0
        self._began_us = model.t_us
        self._later = None
        self.look_anew()

    # The link.

    def identify(self):
        """Stored of the board."""
        return self.stored

    def send(self, line):
        """One line to the board, which answers at once."""
        if self.mode in (OFF, ALONE):
            raise LinkError("the board does not answer")
        why = self._obey(line.split())
        self._lines.append(f"ok {line}" if not why else f"no {line.split()[0]}: {why}")

    def receive(self, within_s):
        """The next line; time passes until there is one, for `within_s` at most."""
        end_us = self.model.t_us + round(within_s * 1e6)
        while not self._lines and self.model.t_us < end_us:
            self.pass_time(min(0.1, (end_us - self.model.t_us) / 1e6))
        return self._lines.pop(0) if self._lines else None

    def reconnect(self):
        """Controller interrupted, restart into service, bench started again."""
        if self.mode == OFF:
            raise LinkError("the board has no power")
        self._start_raw()

    def close(self):
        """The bench ends, the controller runs."""
        self._lines.clear()
        if self.mode != OFF:
            self._boot(ALONE)

    # What the board does.

    def _obey(self, words):
        """Do a command; "" or why not."""
        name, what = words[0], (words[1] if len(words) > 1 else "")
        if name in ("drive", "show") and self.mode == FLYING:
            return "not while the controller runs"
        if name == "drive" and what in ("up", "down", "off"):
            self._drive, self._driven_us = what, self.model.t_us
        elif name == "show" and what in ("light", "lamp", "low", "high", "none"):
            self._shown = what
        elif name == "fly" and self.mode == RAW:
            self._boot(FLYING)
        elif name in ("raw", "end"):
            self._start_raw()
        else:
            return "not known, or not now"
        self._act()
        return ""

    def _start_raw(self):
        self.mode, self._controller = RAW, None
        self._drive, self._shown = "off", "none"
        self._outputs = Outputs()
        self._act()

    def _boot(self, mode):
        """A controller from boot, with all that a board stores."""
        model = self.model
        model.make_safe()
        self._inputs, self._outputs = Inputs(), Outputs()
        model._retained = (0, 0)
        model.boot(self._inputs)
        self._inputs.settings_a, self._inputs.settings_b = self.stored.settings_a, self.stored.settings_b
        self._controller = Controller(self._inputs)
        self._due_us = model.t_us
        self.mode = mode

    def power_off(self):
        """Battery and USB off."""
        self.mode, self._controller = OFF, None
        self._lines.clear()
        self._outputs = Outputs()
        self._drive = "off"
        self.model.make_safe()

    def power_on(self):
        """The board starts its controller after its boot time; nobody hears its lines."""
        if self.coil_while_booting:
            self.model.demand.coil_up = 1
            self.model.demand.valve_us = self.model.aircraft.servo_up_us
            self._pass_slices(UNDRIVEN_US)
            self.model.make_safe()
        self._pass_slices(BOOT_US)
        self._boot(ALONE)

    # Time.

    def pass_time(self, seconds):
        """Physical time, with the board at work."""
        end_us = self.model.t_us + round(seconds * 1e6)
        while self.model.t_us < end_us:
            if self.mode == OFF:
                self._pass_slices(end_us - self.model.t_us)
                return
            next_us = min(end_us, max(self._due_us, self.model.t_us))
            if self._later and self._later[0] <= next_us:
                act, self._later = self._later[1], None
                act()
            self.model.advance(next_us)
            self._see_people()
            if next_us >= self._due_us:
                self._tick()

    def after(self, seconds, act):
        """Let something happen a little later, while time passes."""
        self._later = (self.model.t_us + round(seconds * 1e6), act)

    def pass_unseen(self, seconds):
        """Long waiting while the board only looks: no line is made. A flying controller is not put off."""
        if self.mode in (FLYING, ALONE):
            self.pass_time(seconds)
            return
        self.model.pass_time(seconds)
        self._due_us = self._line_us = self.model.t_us

    def _pass_slices(self, us):
        end_us = self.model.t_us + us
        while self.model.t_us < end_us:
            self.model.advance(min(end_us, self.model.t_us + LOOK_US))
            self._see_people()

    def _tick(self):
        inputs = self._inputs
        self.model.sample(inputs)
        for channel in range(codes.N_CHANNELS):
            self._fresh[channel] += inputs.fresh[channel]
        if self._controller is not None:
            self._controller.tick(inputs, self._outputs)
            self.model.apply(self._outputs)
            self._fed += self._outputs.feed
        else:
            self._act()
        tick_us = self.model.aircraft.settings.tick_ms * 1000 if self._controller else LOOK_US
        self._due_us = self.model.t_us + tick_us
        if self.mode != ALONE and self.model.t_us >= self._line_us:
            self._line_us = self.model.t_us + LINE_US
            self._lines.append(self._line())

    def _act(self):
        """Drive what was asked for by hand: a two-coil valve by one pulse, as flown."""
        demand, kind = self.model.demand, self.model.aircraft.valve_kind
        demand.coil_up = demand.coil_down = demand.valve_us = 0
        if self._drive == "off":
            return
        up = self._drive == "up"
        if kind == codes.VALVE_SPRING:
            demand.coil_up = int(up)
        elif kind == codes.VALVE_TWO_COIL:
            on = int(self.model.t_us - self._driven_us < COIL_US)
            demand.coil_up, demand.coil_down = (on, 0) if up else (0, on)
        else:
            demand.valve_us = self.model.aircraft.servo_up_us if up else self.model.aircraft.servo_down_us

    def _line(self):
        inputs, outputs = self._inputs, self._outputs
        line = (
            f"see t={(self.model.t_us - self._began_us) // 1000 & CLOCK_MASK} pulse={_list(inputs.pulse_us)} "
            f"fresh={_list(self._fresh)} glitch=0,0,0,0,0 counts={_list(inputs.counts)} rail={inputs.rail_counts} "
            f"supply={inputs.supply_counts} lock={_list(inputs.lock_level)} ground={inputs.ground_level} "
            f"button={inputs.button} drive={self._drive}"
        )
        self._fresh = [0] * codes.N_CHANNELS
        if self.mode == FLYING:
            line += (
                f" tick={outputs.tick} mode={outputs.mode} cmd={outputs.gear_command} link={outputs.link} "
                f"switch={outputs.switch} cause={outputs.cause} refusal={outputs.refusal} alert={outputs.alert} "
                f"mbar={outputs.pressure_mbar} locked={outputs.locked} coil={outputs.coil_up},{outputs.coil_down} "
                f"servo={outputs.valve_us} light={outputs.light} lamp={outputs.lamp} tone={outputs.tone_hz} "
                f"fed={self._fed} late=0"
            )
        self._fed = 0
        return line

    # What people see and hear.

    def look_anew(self):
        """Forget what showed."""
        self.seen_lamp = self.seen_light = False
        self.seen_tone_hz = 0
        self.gear_went_up = False
        self._most_travel = 0.0

    def _see_people(self):
        outputs = self._outputs
        lamp = outputs.lamp or self._shown == "lamp"
        tone_hz = outputs.tone_hz or TONES.get(self._shown, 0)
        self.seen_lamp |= bool(lamp) and not self.dark_lamp
        self.seen_light |= bool(outputs.light) or self._shown == "light"
        if not self.silent_tone:
            self.seen_tone_hz = max(self.seen_tone_hz, tone_hz)
        travel = self.model.plant.gear_travel
        self._most_travel = max(self._most_travel, travel)
        self.gear_went_up |= travel < self._most_travel - TWITCH


def _list(numbers):
    return ",".join(str(number) for number in numbers)
