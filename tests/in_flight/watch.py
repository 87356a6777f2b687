"""What is seen of a flight tick by tick, and what must hold in every one of them, whatever has failed.

The watch reads the pilot's stick, the receiver's pulses, the plant and the outputs; it shares no decision with the
controller. Runs and gaps are counted by tests/property/observers.py, which was written from the requirements alone.
A broken rule is a line in `broken`; whether UP followed the pilot's own stick is a finding apart, because a channel
that fails into a valid pulse looks like the pilot to anyone who has only the pulses.
"""

from controller import codes
from host_sim.engines import EngineError
from tests.property.observers import SETTLE, Hands, Radio

from .air_truth import AirTruth

STICK_TICKS = 3
# A pulse as old as this was there before `signature_age` of 40 ms began, and no longer vouches for a frame.
SIGNATURE_TICKS = 2
PULSE_US = (800, 2200)

# Places in a row. MUST and MAY are bits of air_truth.py, LOW whether *air low* is due by the plant's own pressure.
T_US, COMMAND, LATCHED, ALERTS, REFUSAL, TANK_BAR, TRAVEL, LOCKED, STICK, FEED, LIGHT, SAYS_LOCKED, MUST, MAY, LOW = (
    range(15)
)


class Watch:
    """`look(flight)` after every step of a flight. `rows` has a tuple a tick once `keep` is set."""

    def __init__(self, aircraft):
        settings = aircraft.settings
        self.keep = False
        self.rows = []
        self.broken = []
        self.up_without_stick_us = None
        self.resets = 0
        self._up_high = settings.gear_up_high
        self._signature = settings.signature_channel
        self._window_us = (settings.signature_low_us, settings.signature_high_us)
        self._spring = aircraft.valve_kind == codes.VALVE_SPRING
        self.before = codes.DOWN
        self._stick_down = 0
        self._stick_armed = False
        self._last_tick_us = -1
        self._air = AirTruth(settings)
        self._wake()

    def _wake(self):
        self._hands, self._radio = Hands(), Radio()
        self._armed = self._woken = False
        self._settled = 0
        self._signature_age = SIGNATURE_TICKS + 1
        self._signature_ok = False
        self.before = codes.DOWN
        self._stick_armed = False
        self._stick_down = 0
        self._causes = None
        self._air.restart()

    def look(self, flight):
        """One step has been flown: a tick, or a reset without one."""
        if len(flight.trace.resets) != self.resets:
            self.resets = len(flight.trace.resets)
            self._wake()
        outputs, bench = flight.outputs, flight.bench
        if outputs.tick == 0 or bench.t_us == self._last_tick_us:
            return
        self._last_tick_us = bench.t_us
        tank_bar, travel, _, _, locked = bench.truth()
        stick = bench.stick
        self._air.see(bench.t_us, outputs.gear_command, tank_bar * 1000.0, bench.demand.brake)
        self.see(bench.t_us, flight.inputs, outputs, stick)
        if self.keep:
            self.rows.append(
                (
                    bench.t_us,
                    outputs.gear_command,
                    bytes(outputs.latched),
                    bytes(outputs.active),
                    outputs.refusal,
                    tank_bar,
                    travel,
                    locked,
                    stick,
                    outputs.feed,
                    outputs.light,
                    outputs.locked == codes.LOCK_CLOSED,
                    self._air.must,
                    self._air.may,
                    self._air.low,
                )
            )

    def see(self, t_us, inputs, outputs, stick):
        """One tick, without a flight around it."""
        self._hear(inputs)
        self._judge(t_us, outputs, stick)
        self.before = outputs.gear_command

    def _hear(self, inputs):
        self.width_us = inputs.pulse_us[codes.GEAR]
        if not self._up_high:
            self.width_us = 3000 - self.width_us
        self.valid = bool(inputs.fresh[codes.GEAR]) and PULSE_US[0] <= inputs.pulse_us[codes.GEAR] <= PULSE_US[1]
        if self._signature:
            self._hear_signature(inputs.fresh[self._signature], inputs.pulse_us[self._signature])
            self.valid = self.valid and self._signature_ok and self._signature_age < SIGNATURE_TICKS
        self._hands.see(self)
        self._radio.see(self)

    def _hear_signature(self, fresh, pulse_us):
        self._signature_age += 1
        if fresh and PULSE_US[0] <= pulse_us <= PULSE_US[1]:
            self._signature_age = 0
            self._signature_ok = not self._window_us[0] <= pulse_us <= self._window_us[1]

    def _judge(self, t_us, outputs, stick):
        command = outputs.gear_command
        self._settled = self._settled + 1 if self._radio.good else 0
        if self._settled > SETTLE and self._hands.down_shown:
            self._woken = True
        if not self._radio.good:
            self._armed = False
        if command == codes.UP and self.before == codes.DOWN:
            self._begin_up(t_us, stick)
        fell = command == codes.DOWN and self.before == codes.UP
        released = bool(self._causes) and not any(outputs.latched)
        if self._hands.up_completes or fell or released:
            self._armed = False
        if self._hands.down_shown and self._radio.good:
            self._armed = True
        if fell:
            self._stick_armed = False
            self._stick_down = 0
        self._stick_down = self._stick_down + 1 if stick == codes.DOWN else 0
        if self._stick_down >= STICK_TICKS:
            self._stick_armed = True
        self._causes = any(outputs.latched)
        self._drive(t_us, outputs, command)

    def _begin_up(self, t_us, stick):
        if not self._woken:
            self._break(t_us, "SR-01", "UP before the first sequence after a reset")
        if not (self._armed and self._hands.up_completes):
            self._break(t_us, "SR-10", "UP in a tick in which no fresh move completes")
        if self._causes:
            self._break(t_us, "SR-10", "UP with a cause latched")
        if stick != codes.UP or not self._stick_armed:
            self.up_without_stick_us = t_us
        self._stick_armed = False

    def _drive(self, t_us, outputs, command):
        if outputs.coil_up and (outputs.coil_down or command != codes.UP):
            self._break(t_us, "SR-18", "the up coil energised with the other, or with DOWN commanded")
        if self._spring and outputs.coil_down:
            self._break(t_us, "SR-18", "a spring-return valve powered for DOWN")
        if outputs.light and command == codes.UP:
            self._break(t_us, "SR-22", "landing light with UP commanded")
        if any(outputs.latched) and command == codes.UP:
            self._break(t_us, "SR-07", "UP commanded with a cause latched")

    def _break(self, t_us, requirement, what):
        if len(self.broken) < 5:
            self.broken.append((t_us, requirement, what))


def fly_on(flight, watch, until_us, done=None):
    """Step on to until_us, or until `done(watch)` after a tick. False when the controller raised."""
    try:
        while flight.due_us <= until_us and flight.step():
            watch.look(flight)
            if done is not None and done(watch):
                break
    except EngineError as error:
        watch.broken.append((flight.bench.t_us, "SR-31", str(error)))
        return False
    return True
