"""Gear command to coils or servo pulse, for the valve that the board's wiring record names (SR-18).

spring-return   DOWN is unpowered, UP holds the up coil energised
two-coil        each coil pulsed for `coil_time`, never both, at least 20 ms apart; DOWN at the first output, at every
                change and every `coil_repeat`; UP repeated only while the command is UP
servo           a pulse from the first output on
invalid record  nothing energised, no pulse
"""

from .codes import DOWN, UP, VALVE_INVALID, VALVE_SERVO, VALVE_SPRING, VALVE_TWO_COIL
from .limits import ticks_down, ticks_up

DEAD_TIME_MS = 20
SERVO_LOW_US = 800
SERVO_HIGH_US = 2200
SERVO_TRAVEL_US = 100


def checked_kind(kind, servo_down_us, servo_up_us):
    """The kind, or VALVE_INVALID for one that does not exist or whose servo pulses could not move it both ways."""
    if kind == VALVE_SPRING:
        return kind
    if kind == VALVE_TWO_COIL:
        return kind
    if kind != VALVE_SERVO:
        return VALVE_INVALID
    if _is_pulse(servo_down_us) == 0:
        return VALVE_INVALID
    if _is_pulse(servo_up_us) == 0:
        return VALVE_INVALID
    travel_us = servo_up_us - servo_down_us
    if travel_us < 0:
        travel_us = -travel_us
    if travel_us < SERVO_TRAVEL_US:
        return VALVE_INVALID
    return kind


def _is_pulse(width_us):
    if width_us < SERVO_LOW_US:
        return 0
    if width_us > SERVO_HIGH_US:
        return 0
    return 1


class Valve:
    """`step` writes the three valve fields of Outputs."""

    __slots__ = (
        "_kind",
        "_down_us",
        "_up_us",
        "_pulse_need",
        "_repeat_need",
        "_dead_need",
        "_pulse",
        "_repeat",
        "_dead",
        "_last",
        "_any",
    )

    def __init__(self, settings, kind, servo_down_us, servo_up_us):
        self._kind = kind
        self._down_us = servo_down_us
        self._up_us = servo_up_us
        self._pulse_need = ticks_up(settings.coil_ms, settings.tick_ms)
        self._repeat_need = ticks_down(settings.coil_repeat_ms, settings.tick_ms)
        self._dead_need = ticks_up(DEAD_TIME_MS, settings.tick_ms)
        self._pulse = 0
        self._repeat = 0
        self._dead = 0
        self._last = DOWN
        self._any = 0

    def step(self, command, outputs):
        outputs.coil_up = 0
        outputs.coil_down = 0
        outputs.valve_us = 0
        if self._kind == VALVE_SPRING:
            outputs.coil_up = command
        if self._kind == VALVE_SERVO:
            outputs.valve_us = self._down_us
            if command == UP:
                outputs.valve_us = self._up_us
        if self._kind == VALVE_TWO_COIL:
            self._time_pulses(command)
            self._drive_coil(command, outputs)

    def _time_pulses(self, command):
        if self._any == 0:
            self._any = 1
            self._start_pulse()
        elif command != self._last:
            # The coil that may still be energised gets its dead time first.
            self._start_pulse()
            self._dead = self._dead_need
        self._last = command
        self._repeat += 1
        if self._repeat >= self._repeat_need:
            self._start_pulse()

    def _start_pulse(self):
        self._pulse = self._pulse_need
        self._repeat = 0

    def _drive_coil(self, command, outputs):
        if self._dead > 0:
            self._dead -= 1
            return
        if self._pulse == 0:
            return
        self._pulse -= 1
        if command == UP:
            outputs.coil_up = 1
        else:
            outputs.coil_down = 1
