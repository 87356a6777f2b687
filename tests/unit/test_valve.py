"""SR-18: from gear command to coils and pulses."""

import pytest

from controller import codes
from controller.frames import Outputs
from controller.valve import Valve

from .driver import Rig, settings_with

COIL_TICKS = 15
REPEAT_TICKS = 500


def record(kind, commands, servo=(0, 0), **changes):
    """[(coil_up, coil_down, valve_us)] for each command."""
    valve = Valve(settings_with(**changes), kind, *servo)
    outputs = Outputs()
    seen = []
    for command in commands:
        valve.step(command, outputs)
        seen.append((outputs.coil_up, outputs.coil_down, outputs.valve_us))
    return seen


@pytest.mark.sr("SR-18", "acts")
def test_spring_return_is_unpowered_for_down_and_held_for_up():
    commands = [codes.DOWN] * 50 + [codes.UP] * 2000 + [codes.DOWN] * 50
    assert record(codes.VALVE_SPRING, commands) == [(command, 0, 0) for command in commands]


@pytest.mark.sr("SR-18", "acts")
def test_two_coils_first_output_drives_down_for_its_time():
    seen = record(codes.VALVE_TWO_COIL, [codes.DOWN] * 40)
    assert seen == [(0, 1, 0)] * COIL_TICKS + [(0, 0, 0)] * (40 - COIL_TICKS)


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("tick_ms", [10, 20, 30, 50])
@pytest.mark.parametrize("period", [1, 2, 7, 40])
def test_two_coils_are_never_both_on_and_20_ms_apart(tick_ms, period):
    commands = [(tick // period) % 2 for tick in range(400)]
    seen = record(codes.VALVE_TWO_COIL, commands, tick_ms=tick_ms)
    last = {}
    for tick, (up, down, _) in enumerate(seen):
        assert up + down <= 1
        if up:
            last["up"] = tick
            other = last.get("down", -1000)
        if down:
            last["down"] = tick
            other = last.get("up", -1000)
        if up or down:
            # An output stands until the next tick, so the pause is one tick less than the distance.
            assert (tick - other - 1) * tick_ms >= 20
    assert all(up == 0 or command == codes.UP for (up, _, _), command in zip(seen, commands, strict=True))


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("command", [codes.DOWN, codes.UP])
def test_two_coils_are_driven_again_every_repeat(command):
    seen = record(codes.VALVE_TWO_COIL, [codes.DOWN] * 30 + [command] * 3000)
    coil = 0 if command == codes.UP else 1
    starts = [t for t in range(31, 3030) if seen[t][coil] == 1 and seen[t - 1][coil] == 0]
    gaps = {later - earlier for earlier, later in zip(starts, starts[1:], strict=False)}
    assert len(starts) >= 5
    assert all(gap <= REPEAT_TICKS for gap in gaps)
    for start in starts[:-1]:
        assert sum(seen[t][coil] for t in range(start, min(start + REPEAT_TICKS - 10, 3030))) == COIL_TICKS


@pytest.mark.sr("SR-18", "spares")
def test_up_coil_is_silent_while_the_command_is_down():
    seen = record(codes.VALVE_TWO_COIL, [codes.UP] * 5 + [codes.DOWN] * 2000)
    assert sum(up for up, _, _ in seen[5:]) == 0


@pytest.mark.sr("SR-18", "acts")
def test_coils_are_off_at_least_as_long_as_they_are_on_for_every_accepted_setting():
    changes = {"coil_ms": 1000, "coil_repeat_ms": 1000}
    rig = Rig(valve_kind=codes.VALVE_TWO_COIL, **changes)
    if rig.controller.settings_state == codes.SETTINGS_NONE:
        return
    on = sum(rig.step().coil_down for _ in range(1000))
    assert on <= 500


@pytest.mark.sr("SR-18", "acts")
def test_servo_pulse_from_the_first_output():
    assert record(codes.VALVE_SERVO, [0, 0, 1, 1, 0], servo=(1050, 1950)) == [
        (0, 0, 1050),
        (0, 0, 1050),
        (0, 0, 1950),
        (0, 0, 1950),
        (0, 0, 1050),
    ]


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize(
    "kind",
    [
        codes.VALVE_INVALID,
        pytest.param(4),
        pytest.param(-1),
    ],
)
def test_invalid_record_energises_nothing_and_refuses(kind):
    rig = Rig(valve_kind=kind, servo=(1000, 2000))
    for _ in range(200):
        rig.step()
        assert (rig.outputs.coil_up, rig.outputs.coil_down, rig.outputs.valve_us) == (0, 0, 0)
    rig.move_up()
    assert rig.command == codes.DOWN
    assert rig.outputs.refusal == codes.REFUSAL_WIRING
    assert rig.shows(codes.ALERT_WIRING)


@pytest.mark.sr("SR-18", "acts")
def test_invalid_record_leaves_the_light_off():
    rig = Rig(valve_kind=codes.VALVE_INVALID)
    rig.step(500, light_us=1900)
    assert rig.outputs.light == 0


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("servo", [(0, 1900), (2500, 1900), (1100, 0), (1500, 1500)])
def test_servo_record_that_could_not_extend_never_retracts(servo):
    rig = Rig(valve_kind=codes.VALVE_SERVO, servo=servo).awake()
    rig.move_up()
    assert rig.command == codes.DOWN


@pytest.mark.sr("SR-18", "spares")
@pytest.mark.parametrize("kind", [codes.VALVE_SPRING, codes.VALVE_TWO_COIL, codes.VALVE_SERVO])
def test_valid_record_permits(kind):
    rig = Rig(valve_kind=kind, servo=(1000, 2000)).awake()
    rig.move_up()
    assert rig.command == codes.UP
    rig.step(3)
    assert rig.outputs.coil_up == (0 if kind == codes.VALVE_SERVO else 1)
    assert rig.outputs.valve_us == (2000 if kind == codes.VALVE_SERVO else 0)
