"""One tick: what is measured, what is passed on to the outputs, and the health of each stage."""

import pytest

from controller import codes
from controller.frames import ABSENT
from controller.gear import command_of
from controller.health import check_word

from .driver import DOWN_US, UP_US, Rig, codes_of
from .test_state_edges import FITTED, TROUBLES


def fed():
    """A controller that has been fed."""
    rig = Rig()
    assert rig.step(3).feed == 1
    return rig


class Changed:
    """Stands before a part of the controller: its own, with some attributes held at other values."""

    def __init__(self, real, **held):
        self.__dict__.update(held, _real=real)

    def __getattr__(self, name):
        return getattr(self._real, name)


@pytest.mark.sr("SR-13", "acts")
@pytest.mark.parametrize(
    "counts, mv",
    [(-1, 0), (0, 0), (1, 3), (2048, 2048 * 13200 // 4095), (4094, 13196), (4095, 13200), (4096, 0), (65535, 0)],
)
def test_supply_of_a_code(counts, mv):
    rig = Rig(supply_fitted=1)
    outputs = rig.step(supply=counts)
    assert outputs.supply_mv == rig.controller.supply_mv == mv
    assert type(outputs.supply_mv) is int


def test_supply_that_is_not_measured_is_absent():
    assert Rig(supply_fitted=0).step(supply=2000).supply_mv == ABSENT


def mirror(rig):
    """The outputs say what the parts hold, each with its own value."""
    c, out = rig.controller, rig.outputs
    assert (out.tick, out.gear_command, out.mode) == (c.ticks, c.command, c.gear.mode)
    assert out.gear_command in (command_of(out.mode), codes.DOWN)
    assert (out.link, out.switch, out.supply_mv) == (c.link.state, c.switch.position, c.supply_mv)
    assert out.pressure_mbar == (c.pressure.mbar if c.pressure.read else -1)
    assert out.grade == [sensor.grade for sensor in c.pressure.sensors]
    assert (out.throttle_permille, out.brake_permille) == (c.throttle.permille, c.brake.permille)
    assert (out.brakes_on, out.locked, out.leg_locked) == (c.aids.brakes_on, c.locks.all, c.locks.leg)
    assert (out.settings_state, out.retained_count) == (c.settings_state, c.restarts.count)
    assert (out.retained_check, out.feed) == (check_word(c.restarts.count), c.health.feed_leave)
    assert (out.latched, out.active) == (c.gear.latched, c.alerts.active)
    assert out.light == c.aids.light & c.judge.facts.wiring_ok


@pytest.mark.parametrize("kind", [codes.VALVE_TWO_COIL, codes.VALVE_INVALID])
def test_outputs_say_what_the_parts_hold(kind):
    rig = Rig(valve_kind=kind, retained=(1, check_word(1)), **{**FITTED, "signature_channel": 0})
    brakes = 0
    for ticks, world in TROUBLES:
        for tick in range(ticks):
            rig.step(1, **world if tick == 0 else {})
            mirror(rig)
    rig.step(1, brake_us=1120, throttle_us=1500)
    for _ in range(80):
        rig.step()
        mirror(rig)
        brakes += rig.outputs.brakes_on
    assert brakes > 0


@pytest.mark.sr("SR-18", "acts")
@pytest.mark.parametrize("kind, lit", [(codes.VALVE_SPRING, 1), (codes.VALVE_INVALID, 0)])
def test_invalid_wiring_record_turns_the_light_off_too(kind, lit):
    rig = Rig(valve_kind=kind)
    assert rig.step(180, light_us=1900).light == lit


@pytest.mark.sr("SR-34", "acts")
def test_count_of_ticks_stops_at_two_to_the_29():
    rig = Rig()
    assert [rig.step().tick for _ in range(3)] == [1, 2, 3]
    rig.controller.ticks = 2**29 - 1
    assert [rig.step().tick for _ in range(3)] == [2**29] * 3


@pytest.mark.sr("SR-30", "acts")
def test_second_path_has_its_own_copy_of_the_settings():
    rig = Rig(low_confirm_ms=400)
    c = rig.controller
    assert c.settings is not c.interlock._s
    assert vars(c.settings) == vars(c.interlock._s)


def sick(part, **held):
    """Leave to feed in the tick in which `part` holds other values; a healthy one before."""
    rig = fed()
    setattr(rig.controller, part, Changed(getattr(rig.controller, part), **held))
    return rig.step().feed


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize(
    "part, name, high",
    [
        ("interlock", "leave", 1),
        ("link", "outage", 50),
        ("pressure", "read", 1),
        ("strokes", "in_progress", 1),
    ],
)
def test_stage_out_of_its_bounds_is_not_fed(part, name, high):
    assert sick(part, **{name: high}) == 1
    assert sick(part, **{name: 0}) == 1
    assert sick(part, **{name: high + 1}) == 0
    assert sick(part, **{name: -1}) == 0


class Judge:
    """A Judge whose air_ok is made something else after each step."""

    def __init__(self, real, value):
        self.real, self.value, self.facts = real, value, real.facts

    def step(self, *shown):
        self.real.step(*shown)
        self.facts.air_ok = self.value


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("value, feed", [(-1, 0), (0, 1), (1, 1), (2, 0)])
def test_facts_out_of_their_bounds_are_not_fed(value, feed):
    rig = fed()
    rig.controller.judge = Judge(rig.controller.judge, value)
    assert rig.step().feed == feed


class Valve:
    """Puts other values on the coils."""

    def __init__(self, up, down):
        self.up, self.down = up, down

    def step(self, command, outputs):
        outputs.coil_up, outputs.coil_down = self.up, self.down


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("up, down, feed", [(0, 0, 1), (1, 0, 1), (0, 1, 1), (1, 1, 0), (-1, 0, 0)])
def test_both_coils_are_not_fed(up, down, feed):
    rig = fed()
    rig.controller.valve = Valve(up, down)
    assert rig.step().feed == feed


class Alerts:
    """Puts another value on the lamp."""

    def __init__(self, real, lamp):
        self.real, self.lamp, self.wanted = real, lamp, real.wanted

    def step(self, outputs, button):
        self.real.step(outputs, button)
        outputs.lamp = self.lamp


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize("lamp, feed", [(-1, 0), (0, 1), (1, 1), (2, 0)])
def test_lamp_out_of_its_bounds_is_not_fed(lamp, feed):
    rig = fed()
    rig.controller.alerts = Alerts(rig.controller.alerts, lamp)
    assert rig.step().feed == feed


@pytest.mark.sr("SR-31", "acts")
@pytest.mark.parametrize(
    "mode, held, leave, feed",
    [
        (codes.MODE_UP, 0, 1, 1),
        (codes.MODE_UP, 1, 1, 0),
        (codes.MODE_UP, 0, 0, 0),
        (codes.MODE_DOWN, 1, 0, 1),
        (codes.HELD, 1, 1, 1),
    ],
)
def test_up_with_a_latch_or_without_leave_is_not_fed(mode, held, leave, feed):
    rig = fed()
    gear, interlock = rig.controller.gear, rig.controller.interlock
    rig.controller.gear = Changed(gear, mode=mode, held=held, step=lambda facts: command_of(mode))
    rig.controller.interlock = Changed(interlock, leave=leave, gate=lambda wanted: wanted)
    assert rig.step().feed == feed


@pytest.mark.sr("SR-11", "acts")
def test_last_word_is_the_second_path_s():
    rig = Rig().awake()
    rig.controller.interlock = Changed(rig.controller.interlock, leave=1, gate=lambda wanted: codes.DOWN)
    rig.move_up()
    assert (rig.controller.gear.mode, rig.outputs.gear_command) == (codes.MODE_UP, codes.DOWN)


@pytest.mark.sr("SR-32", "spares")
def test_minute_of_healthy_ticks_gives_the_restart_back():
    rig = Rig(retained=(0, check_word(0)))
    assert rig.step().retained_count == 1
    rig.controller.restarts._healthy_ms = 60000 - 40
    rig.step(2)
    assert (rig.outputs.retained_count, rig.outputs.retained_check) == (1, check_word(1))
    rig.step()
    assert (rig.outputs.retained_count, rig.outputs.retained_check) == (0, check_word(0))


def test_levers_are_three_channels():
    rig = Rig()
    rig.step(3, throttle_us=1300, brake_us=1500, light_us=1700, gear_us=1100)
    c = rig.controller
    assert (c.throttle.permille, c.brake.permille, c.light.permille) == (250, 500, 750)


def test_order_of_the_parts_within_a_tick():
    """The same tick's frame, pressure and leave decide; strokes and tank see the command of the tick before."""
    rig = Rig().awake()
    rig.step(2, gear_us=UP_US)
    assert rig.command == codes.DOWN
    rig.step()
    assert (rig.command, rig.controller.strokes.in_progress) == (codes.UP, 0)
    rig.step()
    assert rig.controller.strokes.in_progress == 1
    rig.step(2, gear_us=DOWN_US)
    assert rig.command == codes.UP
    assert rig.step().gear_command == codes.DOWN
    assert rig.step(a=codes_of(6000)).pressure_mbar > 6900
    assert rig.step().pressure_mbar < 6100


class Noted(Changed):
    """Notes what its `step` was given."""

    def step(self, *given):
        self.given = given
        return self._real.step(*given)


@pytest.mark.sr("SR-36", "acts")
def test_each_part_is_given_what_it_needs_of_this_tick():
    rig = Rig(supply_fitted=1, lock_count=1, ground_fitted=1).awake()
    c = rig.controller
    # Unlike what each was before, so that nothing can be left over.
    names = "switch strokes tank ground locks judge aids explain conditions scribe restarts valve alerts".split()
    for name in names:
        setattr(c, name, Noted(getattr(c, name)))
    before = c.command
    rig.step(1, ground=1, brake_us=1700, supply_mv=5000, button=1)
    facts = c.judge.facts
    assert c.switch.given == (c.frames.valid, c.link.broke, rig.gear_us) == (1, 0, DOWN_US)
    assert c.strokes.given == (before, c.pressure, 1, 1700)
    assert c.tank.given == (before, c.pressure, c.strokes)
    assert c.ground.given == (1,)
    assert c.locks.given == (rig.inputs, before, c.strokes)
    assert c.judge.given == (
        before,
        c.link,
        c.switch,
        c.pressure,
        c.strokes,
        c.tank,
        c.supply_mv,
        c.ground,
        c.health,
        c.interlock.leave,
    )
    assert facts.link_good == 1
    assert c.aids.given == (c.command, c.throttle, c.brake, c.light, c.locks, c.supply_mv)
    assert c.valve.given == (c.command, rig.outputs)
    parts = (c.gear, c.pressure, c.strokes, c.link, c.supply_mv, c.health)
    assert c.explain.given == (c.ticks, *parts, c.limits.tick_ms, rig.outputs)
    assert c.conditions.given == (
        c.gear,
        c.switch,
        c.link,
        c.pressure,
        c.supply_mv,
        c.strokes,
        c.tank,
        c.locks,
        c.aids,
        c.health,
        c.restarts,
    )
    assert c.alerts.given == (rig.outputs, 1)
    assert c.scribe.given == (rig.outputs, 0, c.gear, c.health)
    assert c.restarts.given == (1, 20)


@pytest.mark.sr("SR-35", "acts")
def test_scribe_is_told_of_a_new_cause_in_its_tick():
    rig = Rig().awake()
    rig.controller.scribe = Noted(rig.controller.scribe)
    told = []
    for _ in range(80):
        rig.step(1, gear_us=0)
        told.append(rig.controller.scribe.given[1])
    assert told.count(1) == 1 and rig.causes == [codes.CAUSE_LINK]


@pytest.mark.sr("SR-30", "acts")
def test_what_boot_found_reaches_alerts_and_mode():
    rig = Rig(b=b"", valve_kind=codes.VALVE_INVALID, retained=(2, check_word(2)))
    rig.step()
    assert rig.shows(codes.ALERT_SETTINGS_ONE) and rig.shows(codes.ALERT_WIRING) and rig.shows(codes.ALERT_LOCKED_OUT)
    assert rig.outputs.mode == codes.LOCKED_OUT
    rig = Rig()
    rig.step()
    assert sum(rig.outputs.active) == 0
