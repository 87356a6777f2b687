"""One tick of the controller: the whole story in `Controller.tick`.

Raw values -> second path -> frames, link, switch, levers -> pressure -> strokes, tank -> facts -> mode -> last word ->
valve, aids, alerts -> health. All objects are made at boot; a tick allocates nothing, raises nothing and has no loop
without a bound (SR-34).
"""

from .aids import Aids
from .alerts import Alerts
from .channels import Frames, Link, Switch
from .codes import BRAKE, DOWN, GEAR, LIGHT, MODE_UP, THROTTLE
from .conditions import Conditions
from .explain import Explain
from .facts import Judge
from .frames import ABSENT, NOT_KNOWN
from .gear import Gear
from .health import (
    STAGE_ALERTS,
    STAGE_CHANNELS,
    STAGE_FACTS,
    STAGE_GEAR,
    STAGE_OUTPUTS,
    STAGE_PRESSURE,
    STAGE_SECOND_PATH,
    STAGE_SLOW,
    Health,
    Restarts,
    check_word,
)
from .interlock import Interlock
from .journal import Scribe
from .levers import Lever
from .limits import Limits
from .packing import choose
from .pressure import Pressure
from .sensor import ADC_MAX
from .settings import Settings
from .strokes import Strokes
from .switches import Ground, Locks
from .tank import Tank
from .valve import Valve, checked_kind

LAST_TICK = 0x20000000


class Controller:
    """Made once from the boot fields of `inputs`; then `tick(inputs, outputs)` at every tick.

    Settings are fixed from here to power-off. The two paths get their own copies of them, unpacked separately.
    """

    def __init__(self, inputs):
        self.settings = Settings()
        self.settings_state = choose(inputs.settings_a, inputs.settings_b, self.settings, Settings())
        second = Settings()
        choose(inputs.settings_a, inputs.settings_b, second, Settings())
        s = self.settings
        valve_kind = checked_kind(inputs.valve_kind, inputs.servo_down_us, inputs.servo_up_us)
        limits = Limits(s)
        self.limits = limits
        self.interlock = Interlock(second, self.settings_state)
        self.frames = Frames(s, limits)
        self.link = Link(limits)
        self.switch = Switch(s)
        self.throttle = Lever(THROTTLE, s.throttle_fitted, s.throttle_idle_us, s.throttle_full_us, limits)
        self.brake = Lever(BRAKE, s.brake_fitted, s.brake_off_us, s.brake_full_us, limits)
        self.light = Lever(LIGHT, s.light_fitted, s.light_off_us, s.light_on_us, limits)
        self.pressure = Pressure(s, limits)
        self.strokes = Strokes(s, limits)
        self.tank = Tank(limits)
        self.ground = Ground(s, limits)
        self.locks = Locks(s, limits)
        self.restarts = Restarts(inputs.retained_count, inputs.retained_check)
        self.health = Health(s.tick_ms)
        self.judge = Judge(s, limits, self.settings_state, valve_kind)
        self.gear = Gear(limits, s.switch_frames, self.restarts.locked_out)
        self.valve = Valve(s, valve_kind, inputs.servo_down_us, inputs.servo_up_us)
        self.aids = Aids(s, limits)
        self.alerts = Alerts(limits)
        self.conditions = Conditions(s, limits, self.alerts, self.settings_state, valve_kind)
        self.explain = Explain()
        self.scribe = Scribe(limits)
        self.command = DOWN
        self.supply_mv = ABSENT
        self.ticks = 0

    def tick(self, inputs, outputs):
        """Read `inputs`, decide, fill `outputs`."""
        health = self.health
        facts = self.judge.facts
        health.begin(inputs.now_ms)
        self.interlock.step(inputs)
        health.mark(STAGE_SECOND_PATH, self.interlock.leave, 1)
        self._hear(inputs)
        health.mark(STAGE_CHANNELS, self.link.outage, self.limits.link_force_ticks)
        self.pressure.step(inputs)
        self._measure_supply(inputs.supply_counts)
        health.mark(STAGE_PRESSURE, self.pressure.read, 1)
        self._follow(inputs)
        health.mark(STAGE_SLOW, self.strokes.in_progress, 1)
        self._weigh()
        health.mark(STAGE_FACTS, facts.air_ok, 1)
        wanted = self.gear.step(facts)
        health.mark(STAGE_GEAR, self._gear_faults(), 0)
        self.command = self.interlock.gate(wanted)
        self._act(outputs)
        health.mark(STAGE_OUTPUTS, outputs.coil_up + outputs.coil_down, 1)
        self._tell(inputs, outputs)
        health.mark(STAGE_ALERTS, outputs.lamp, 1)
        self._finish(outputs)

    def _hear(self, inputs):
        self.frames.step(inputs)
        self.link.step(self.frames.valid)
        self.switch.step(self.frames.valid, self.link.broke, inputs.pulse_us[GEAR])
        self.throttle.step(inputs)
        self.brake.step(inputs)
        self.light.step(inputs)

    def _measure_supply(self, counts):
        self.supply_mv = ABSENT
        if self.settings.supply_fitted == 0:
            return
        # Out of the converter's range is no reading: it counts as no voltage.
        self.supply_mv = 0
        if counts < 0:
            return
        if counts > ADC_MAX:
            return
        self.supply_mv = counts * self.settings.supply_full_mv // ADC_MAX

    def _follow(self, inputs):
        self.strokes.step(self.command, self.pressure, self.brake.seen, self.brake.width_us)
        self.tank.step(self.command, self.pressure, self.strokes)
        self.ground.step(inputs.ground_level)
        self.locks.step(inputs, self.command, self.strokes)

    def _weigh(self):
        self.judge.step(
            self.command,
            self.link,
            self.switch,
            self.pressure,
            self.strokes,
            self.tank,
            self.supply_mv,
            self.ground,
            self.health,
            self.interlock.leave,
        )

    def _act(self, outputs):
        self.valve.step(self.command, outputs)
        self.aids.step(
            self.command,
            self.throttle,
            self.brake,
            self.light,
            self.locks,
            self.supply_mv,
        )
        # An invalid wiring record leaves every output off (SR-18).
        outputs.light = self.aids.light & self.judge.facts.wiring_ok

    def _tell(self, inputs, outputs):
        if self.ticks < LAST_TICK:
            self.ticks += 1
        self._fill(outputs)
        new_cause = self.explain.step(
            self.ticks,
            self.gear,
            self.pressure,
            self.strokes,
            self.link,
            self.supply_mv,
            self.health,
            self.limits.tick_ms,
            outputs,
        )
        self.conditions.step(
            self.gear,
            self.switch,
            self.link,
            self.pressure,
            self.supply_mv,
            self.strokes,
            self.tank,
            self.locks,
            self.aids,
            self.health,
            self.restarts,
        )
        self.conditions.levers(self.throttle, self.brake, self.light)
        self.alerts.step(outputs, inputs.button)
        self.scribe.step(outputs, new_cause, self.gear, self.health)

    def _fill(self, outputs):
        outputs.tick = self.ticks
        outputs.gear_command = self.command
        outputs.mode = self.gear.mode
        outputs.link = self.link.state
        outputs.switch = self.switch.position
        pressure = self.pressure
        outputs.pressure_mbar = NOT_KNOWN
        if pressure.read == 1:
            outputs.pressure_mbar = pressure.mbar
        for index in range(self.settings.sensor_count):
            outputs.grade[index] = pressure.sensors[index].grade
        outputs.supply_mv = self.supply_mv
        outputs.throttle_permille = self.throttle.permille
        outputs.brake_permille = self.brake.permille
        outputs.brakes_on = self.aids.brakes_on
        outputs.locked = self.locks.all
        for index in range(self.settings.lock_count):
            outputs.leg_locked[index] = self.locks.leg[index]
        outputs.settings_state = self.settings_state
        outputs.retained_count = self.restarts.count

    def _finish(self, outputs):
        self.health.finish()
        outputs.feed = self.health.feed_leave
        self.restarts.step(self.health.feed_leave, self.limits.tick_ms)
        outputs.retained_count = self.restarts.count
        outputs.retained_check = check_word(self.restarts.count)

    def _gear_faults(self):
        # UP without leave, or with anything latched, cannot be; if it is, stop feeding.
        if self.gear.mode != MODE_UP:
            return 0
        if self.gear.held == 1:
            return 1
        return 1 - self.interlock.leave
