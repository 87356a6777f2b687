"""The valve's outputs tick by tick, commands straight to Valve."""

import pytest

from controller.codes import DOWN, UP, VALVE_INVALID, VALVE_SERVO, VALVE_SPRING, VALVE_TWO_COIL
from controller.frames import Outputs
from controller.valve import Valve, checked_kind

from .driver import settings_with

# Ticks of 20 ms.
PULSE, REPEAT = 3, 50
COILS = {"coil_ms": 60, "coil_repeat_ms": 1000}


class Wires:
    """A valve driver; `runs` gives what it did as [(what, ticks)]."""

    def __init__(self, kind, down_us=0, up_us=0, **changes):
        self.valve = Valve(settings_with(**{**COILS, **changes}), kind, down_us, up_us)
        self.outputs = Outputs()

    def runs(self, *commands):
        found = []
        for command, ticks in commands:
            for _ in range(ticks):
                self.outputs.coil_up = self.outputs.coil_down = self.outputs.valve_us = 77
                self.valve.step(command, self.outputs)
                now = (self.outputs.coil_up, self.outputs.coil_down, self.outputs.valve_us)
                if found and found[-1][0] == now:
                    found[-1][1] += 1
                else:
                    found.append([now, 1])
        return [(what, ticks) for what, ticks in found]


OFF, COIL_UP, COIL_DOWN = (0, 0, 0), (1, 0, 0), (0, 1, 0)


@pytest.mark.sr("SR-18", "acts")
def test_down_is_pulsed_from_the_first_tick_and_at_every_repeat():
    wires = Wires(VALVE_TWO_COIL)
    expected = [(COIL_DOWN, PULSE)]
    # The tick in which the repeat is due starts the next pulse.
    assert wires.runs((DOWN, 2 * REPEAT + 10)) == expected + [
        (OFF, REPEAT - PULSE - 1),
        (COIL_DOWN, PULSE),
        (OFF, REPEAT - PULSE),
        (COIL_DOWN, PULSE),
        (OFF, 2 * REPEAT + 10 - 2 * REPEAT - PULSE + 1),
    ]


@pytest.mark.sr("SR-18", "acts")
def test_change_of_command_waits_for_the_dead_time_and_pulses_the_other_coil():
    wires = Wires(VALVE_TWO_COIL, tick_ms=10, coil_ms=50)
    assert wires.runs((DOWN, 20), (UP, 20), (DOWN, 20)) == [
        (COIL_DOWN, 5),
        (OFF, 15 + 2),
        (COIL_UP, 5),
        (OFF, 13 + 2),
        (COIL_DOWN, 5),
        (OFF, 13),
    ]


@pytest.mark.sr("SR-18", "acts")
def test_change_in_the_middle_of_a_pulse_leaves_the_dead_time_between_the_coils():
    wires = Wires(VALVE_TWO_COIL)
    assert wires.runs((DOWN, 1), (UP, 4), (DOWN, 9)) == [
        (COIL_DOWN, 1),
        (OFF, 2),
        (COIL_UP, 2),
        (OFF, 2),
        (COIL_DOWN, 3),
        (OFF, 4),
    ]


@pytest.mark.sr("SR-18", "acts")
def test_up_is_repeated_while_up():
    wires = Wires(VALVE_TWO_COIL)
    wires.runs((DOWN, 10))
    assert wires.runs((UP, 2 * REPEAT + 5)) == [
        (OFF, 2),
        (COIL_UP, PULSE),
        (OFF, REPEAT - 1 - 2 - PULSE),
        (COIL_UP, PULSE),
        (OFF, REPEAT - PULSE),
        (COIL_UP, PULSE),
        (OFF, 3),
    ]


@pytest.mark.sr("SR-18", "acts")
def test_change_starts_the_time_to_the_next_repeat_again():
    wires = Wires(VALVE_TWO_COIL)
    wires.runs((DOWN, REPEAT - 5), (UP, 1))
    assert wires.runs((UP, REPEAT - 3))[:3] == [(OFF, 1), (COIL_UP, PULSE), (OFF, REPEAT - 3 - 1 - PULSE)]


@pytest.mark.sr("SR-18", "acts")
def test_spring_return_is_powered_for_up_and_for_nothing_else():
    assert Wires(VALVE_SPRING).runs((DOWN, 3), (UP, 60), (DOWN, 60)) == [(OFF, 3), (COIL_UP, 60), (OFF, 60)]


@pytest.mark.sr("SR-18", "acts")
def test_servo_gets_its_pulse_from_the_first_tick():
    assert Wires(VALVE_SERVO, 1000, 2000).runs((DOWN, 3), (UP, 3), (DOWN, 1)) == [
        ((0, 0, 1000), 3),
        ((0, 0, 2000), 3),
        ((0, 0, 1000), 1),
    ]


@pytest.mark.sr("SR-18", "acts")
def test_invalid_record_drives_nothing():
    assert Wires(VALVE_INVALID, 1000, 2000).runs((DOWN, 60), (UP, 60)) == [(OFF, 120)]


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize(
    "down_us, up_us, valid",
    [
        (799, 1500, 0),
        (800, 1500, 1),
        (1500, 2200, 1),
        (1500, 2201, 0),
        (1500, 799, 0),
        (2201, 1500, 0),
        (2200, 800, 1),
        (1500, 1599, 0),
        (1500, 1600, 1),
        (1500, 1401, 0),
        (1500, 1400, 1),
        (1500, 1500, 0),
    ],
)
def test_servo_pulses_that_can_move_it(down_us, up_us, valid):
    assert checked_kind(VALVE_SERVO, down_us, up_us) == (VALVE_SERVO if valid else VALVE_INVALID)


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("kind, checked", [(-1, 0), (0, 0), (1, 1), (2, 2), (3, 0), (4, 0)])
def test_kinds_that_need_no_servo_pulses(kind, checked):
    assert checked_kind(kind, 0, 0) == checked
