"""The bench: the host's implementation of a board, with the air system and the devices behind its pins.

The five board methods are `sample(inputs)`, `apply(outputs)`, `now_ms()`, `feed()` and `make_safe()`. Besides, the
bench moves physical time: `advance(t_us)`. Times are us since power-on; the board's own clock is `now_ms()`.
"""

from controller import codes
from controller.settings import Settings

from .air.demand import Demand
from .air.gas import R_J_KG_K
from .air.plant import ALL_LEGS, Plant
from .devices import Rail, Receiver, Sensor, Supply, Switch
from .fault_effects import conductance
from .fault_plan import START_EFFECTS, FaultPlan

CLOCK_MASK = (1 << 30) - 1
PA_PER_BAR = 1e5
SENSOR_NAMES = ("a", "b")
# The watchdog of the board, and how long an interpreter takes from reset to the first tick: rounded up from what the
# emulated RP2040 takes at 125 MHz (boards/FIGURES.md). A valve that falls by itself is at DOWN meanwhile.
WATCHDOG_US = 500_000
BOOT_US = 1_800_000
# Memory that survives a reset does not survive a supply below this (from memory, small microcontrollers).
RETAIN_ABOVE_V = 1.5
# The bore that limits a filling hose (an assumption; it fills 0.75 L in about ten seconds).
FILLING_HOLE_MM = 0.5
FAULT_FIELDS = (
    "burst_m3_s_pa",
    "valve_stuck",
    "valve_wire_off",
    "line_burst_leg",
    "line_burst_m3_s_pa",
    "line_burst_side",
    "jam_leg",
    "jam_travel",
    "brake_drag",
    "brake_drag_m3_s_pa",
)


class Start:
    """How a flight begins; the faults that act on the start change it."""

    def __init__(self, aircraft, tank_bar):
        self.tank_bar = tank_bar
        self.settings = {"a": aircraft.packed, "b": aircraft.packed}
        self.valve_kind = aircraft.valve_kind
        self.clock_ms = 0


class Bench:
    """One aircraft on the PC, as a scenario begins. The fault fields of the devices are set by fault_effects.py."""

    all_legs = ALL_LEGS

    def __init__(self, scenario):
        aircraft = self.aircraft = scenario.aircraft
        start = self.start = Start(aircraft, scenario.start.tank_bar)
        for fault in scenario.faults:
            if fault.kind.at_start:
                START_EFFECTS[fault.kind.name](start, fault)
        self.pilot = scenario.pilot
        state = self._state = self.pilot.at(0.0)
        self.plant = Plant(
            aircraft.air, start.tank_bar * PA_PER_BAR, state.ambient_k, state.altitude_m, scenario.start.gear_down
        )
        self._make_devices(aircraft, scenario.seed)
        self.demand = Demand()
        self.plan = FaultPlan(scenario.faults)
        self.t_us = 0
        self.fed_us = 0
        self._clock_us = start.clock_ms * 1000
        self._retained = (0, 0)
        self._light = 0
        self._sticks = [0.0] * codes.N_CHANNELS
        self._faultless = Demand()
        self.repair()
        self.make_safe()
        self.advance(0)

    def _make_devices(self, aircraft, seed):
        self.sensors = [Sensor(spec, seed, name) for spec, name in zip(aircraft.sensors, SENSOR_NAMES, strict=False)]
        self.rail = Rail(aircraft.rail, seed)
        self.receiver = Receiver(aircraft.receiver, seed)
        self.supply = Supply(aircraft.supply, seed)
        switches = aircraft.switches
        self.lock_switches = [Switch(switches.lock, seed, f"lock {leg}") for leg in range(switches.lock_count)]
        self.ground_switch = Switch(switches.ground, seed, "ground")
        self._all = (*self.sensors, self.rail, self.receiver, self.supply, *self.lock_switches, self.ground_switch)

    def repair(self):
        """Everything without faults; the plan then applies what is active."""
        for device in self._all:
            device.repair()
        for name in FAULT_FIELDS:
            setattr(self.demand, name, getattr(self._faultless, name))
        self.button_stuck = False
        self.clock_rate = 1.0

    # The board.

    def boot(self, inputs):
        """Fill the fields of `inputs` that a board fills before the first tick."""
        inputs.settings_a = self.start.settings["a"]
        inputs.settings_b = self.start.settings["b"]
        inputs.valve_kind = self.start.valve_kind
        inputs.servo_down_us = self.aircraft.servo_down_us
        inputs.servo_up_us = self.aircraft.servo_up_us
        inputs.retained_count, inputs.retained_check = self._retained
        inputs.now_ms = self.now_ms()
        self.receiver.discard(self.t_us, self._sticks)
        self.fed_us = self.t_us

    def sample(self, inputs):
        """Raw values of this moment into `inputs`."""
        t_us = self.t_us
        inputs.now_ms = self.now_ms()
        self.receiver.sample(t_us, self._sticks, inputs.pulse_us, inputs.fresh)
        inputs.rail_counts = self.rail.sample()
        gauge_bar = self.plant.tank_pa_gauge / PA_PER_BAR
        for index, sensor in enumerate(self.sensors):
            inputs.counts[index] = sensor.sample(gauge_bar, self.rail.volts, t_us)
        if self.aircraft.settings.supply_fitted:
            inputs.supply_counts = self.supply.sample()
        if self.lock_switches:
            locked = self.plant.leg_locked
            for index, switch in enumerate(self.lock_switches):
                inputs.lock_level[index] = switch.sample(locked[index], t_us)
        if self.aircraft.switches.ground_fitted:
            inputs.ground_level = self.ground_switch.sample(not self._state.ground, t_us)
        inputs.button = 1 if self.button_stuck or self._state.button else 0

    def apply(self, outputs):
        """Drive coils, servo and light; keep the two words that survive a reset."""
        demand = self.demand
        demand.coil_up = outputs.coil_up
        demand.coil_down = outputs.coil_down
        demand.valve_us = outputs.valve_us
        self._light = outputs.light
        self._retained = (outputs.retained_count, outputs.retained_check)

    def now_ms(self):
        """The board's clock: wraps at 2**30, and runs at its own rate."""
        return (int(self._clock_us) // 1000) & CLOCK_MASK

    def feed(self):
        """Feed the watchdog."""
        self.fed_us = self.t_us

    def make_safe(self):
        """All outputs de-energised, as a processor in reset leaves them."""
        self.demand.coil_up = 0
        self.demand.coil_down = 0
        self.demand.valve_us = 0
        self._light = 0

    # Physical time.

    def advance(self, t_us):
        """Move to t_us, not earlier than now, under the outputs as they are; then update sticks and faults."""
        dt_us = t_us - self.t_us
        if dt_us > 0:
            self.plant.advance(dt_us * 1e-6, self.demand)
            self._clock_us += dt_us * self.clock_rate
            self.t_us = t_us
        state = self._state = self.pilot.at(t_us * 1e-6)
        self.plan.update(self, t_us)
        self._take_state(state)
        demand = self.demand
        volts = self.supply.step(t_us, demand.coil_up | demand.coil_down, self._light)
        if volts < RETAIN_ABOVE_V:
            self._retained = (0, 0)

    def _take_state(self, state):
        plant, demand, sticks = self.plant, self.demand, self._sticks
        speed = state.airspeed_m_s
        density = plant.ambient_pa_abs / (R_J_KG_K * state.ambient_k)
        demand.airspeed_q_pa = 0.5 * density * speed * speed
        demand.altitude_m = state.altitude_m
        demand.ambient_k = state.ambient_k
        demand.brake = state.brake
        demand.charge_m3_s_pa = 0.0
        if state.filling:
            demand.charge_pa_abs = self.aircraft.fill_bar * PA_PER_BAR + plant.ambient_pa_abs
            demand.charge_m3_s_pa = conductance(FILLING_HOLE_MM)
        sticks[codes.GEAR] = 1.0 if state.switch == codes.UP else 0.0
        sticks[codes.THROTTLE] = state.throttle
        sticks[codes.BRAKE] = state.brake
        sticks[codes.LIGHT] = float(state.light)
        self.receiver.transmitter_on = bool(state.transmitter)

    @property
    def powered(self):
        """Whether the supply is enough for the controller to run."""
        return self.supply.volts >= self.supply.spec.reset_below_v

    def watchdog_us(self):
        """When the watchdog bites if it is not fed again."""
        return self.fed_us + WATCHDOG_US

    def tick_ms(self):
        """Tick period of the settings that the board finds: the aircraft's while a copy is whole, else the default."""
        if self.aircraft.packed in self.start.settings.values():
            return self.aircraft.settings.tick_ms
        return Settings().tick_ms

    @property
    def stick(self):
        """Where the pilot's gear switch is, codes.DOWN or codes.UP."""
        return self._state.switch

    def truth(self):
        """(tank_bar, gear_travel, gear_valve, pilot_switch, true_locked): what the trace shows besides the outputs."""
        plant = self.plant
        travel, locked, valve_at = plant.gear_travel, all(plant.leg_locked), plant.valve_at
        return plant.tank_pa_gauge / PA_PER_BAR, travel, valve_at, codes.POSITION_WORDS[self._state.switch], locked
