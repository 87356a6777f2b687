"""Drives a Controller as a board would: millibar to codes, switch positions to pulses, one call a tick.

All times are given in ticks of the settings in use (20 ms by default). Pressures are gauge, mbar.
"""

from controller import Controller, Inputs, Outputs, codes
from controller.packing import pack
from controller.settings import Settings

DOWN_US = 1100
UP_US = 1900
CENTRE_US = 1500
SILENT = 0

# What a healthy aircraft with the default settings looks like.
FULL_MBAR = 7000
# The default air system: 34 mL filled from 750 mL at 7 bar cost about 0.32 bar once the heat has come back.
STROKE_MBAR = 320
IDLE_US = 1100
HALF_THROTTLE_US = 1500


def settings_with(**changes):
    """Default Settings with `changes`; a misspelt name is an AttributeError."""
    made = Settings()
    for name, value in changes.items():
        getattr(made, name)
        setattr(made, name, value)
    return made


def codes_of(mbar, zero=399, full=3591, span_mbar=10000):
    """ADC code of a gauge pressure, rounded up so that the controller reads at least `mbar`."""
    return zero - (-mbar * (full - zero) // span_mbar)


class Rig:
    """A controller with its inputs. Set what differs, then `step`."""

    def __init__(self, valve_kind=codes.VALVE_SPRING, a=None, b=None, retained=(0, 0), servo=(0, 0), **changes):
        self.settings = settings_with(**changes)
        packed = pack(self.settings)
        self.inputs = Inputs()
        self.inputs.settings_a = packed if a is None else a
        self.inputs.settings_b = packed if b is None else b
        self.inputs.valve_kind = valve_kind
        self.inputs.servo_down_us, self.inputs.servo_up_us = servo
        self.inputs.retained_count, self.inputs.retained_check = retained
        self.controller = Controller(self.inputs)
        self.outputs = Outputs()
        self.ticks = 0
        self.now_ms = 0
        self.period_ms = self.controller.settings.tick_ms
        # What the world does until told otherwise.
        self.gear_us = DOWN_US
        self.throttle_us = HALF_THROTTLE_US
        self.brake_us = IDLE_US
        self.light_us = IDLE_US
        self.spare_us = SILENT
        self.a = codes_of(FULL_MBAR)
        self.b = codes_of(FULL_MBAR)
        self.rail = self.settings.rail_nominal_counts
        self.supply = codes_of_supply(5500, self.settings.supply_full_mv)
        self.locks = [1 - self.settings.lock_closed_level] * codes.N_LEGS
        self.ground = self.settings.ground_clear_level
        self.button = 0

    # the world

    def air(self, mbar):
        """Both sensors read `mbar`."""
        self.a = codes_of(mbar)
        self.b = codes_of(mbar)

    def supply_mv(self, mv):
        self.supply = codes_of_supply(mv, self.settings.supply_full_mv)

    # time

    def step(self, ticks=1, **world):
        """`ticks` ticks with the attributes in `world` set first and left so; returns the outputs."""
        for name, value in world.items():
            getattr(self, name)
            if name in ("air", "supply_mv"):
                getattr(self, name)(value)
            else:
                setattr(self, name, value)
        for _ in range(ticks):
            self._fill()
            self.controller.tick(self.inputs, self.outputs)
            self.ticks += 1
            self.now_ms = (self.now_ms + self.period_ms) & 0x3FFFFFFF
        return self.outputs

    def _fill(self):
        seen = self.inputs
        seen.now_ms = self.now_ms
        widths = (self.gear_us, self.throttle_us, self.brake_us, self.light_us, self.spare_us)
        for channel, width_us in enumerate(widths):
            seen.fresh[channel] = 0 if width_us == SILENT else 1
            if width_us != SILENT:
                seen.pulse_us[channel] = width_us
        seen.counts[0] = self.a
        seen.counts[1] = self.b
        seen.rail_counts = self.rail
        seen.supply_counts = self.supply
        for leg in range(codes.N_LEGS):
            seen.lock_level[leg] = self.locks[leg]
        seen.ground_level = self.ground
        seen.button = self.button

    def until(self, predicate, limit):
        """Steps until `predicate(outputs)`; returns how many ticks it took. Fails after `limit`."""
        for count in range(1, limit + 1):
            if predicate(self.step()):
                return count
        raise AssertionError(f"not within {limit} ticks")

    # states

    def awake(self):
        """Past SR-01: down, armed, nothing latched."""
        self.step(150, gear_us=DOWN_US)
        assert self.outputs.mode == codes.MODE_DOWN
        return self

    def move_up(self):
        """The pilot's switch to up, for one run."""
        return self.step(self.settings.switch_frames, gear_us=UP_US)

    def move_down(self):
        """The pilot's switch to down, for one run."""
        return self.step(self.settings.switch_frames, gear_us=DOWN_US)

    def up(self, settle=True):
        """Gear up at FULL_MBAR; with `settle` the stroke is over, and has cost what a stroke costs."""
        self.awake()
        self.move_up()
        assert self.outputs.gear_command == codes.UP
        if settle:
            self.glide(FULL_MBAR, FULL_MBAR - STROKE_MBAR, 100)
            self.step(200)
            assert self.outputs.gear_command == codes.UP
        return self

    def glide(self, start_mbar, end_mbar, ticks):
        """Pressure moves evenly from one value to the other; returns the outputs."""
        for tick in range(1, ticks + 1):
            self.step(air=start_mbar + (end_mbar - start_mbar) * tick // ticks)
        return self.outputs

    # views

    @property
    def command(self):
        return self.outputs.gear_command

    @property
    def causes(self):
        return [code for code in range(codes.N_CAUSES) if self.outputs.latched[code] == 1]

    def shows(self, alert):
        return self.outputs.active[alert] == 1


class Lenient:
    """Stands in for the second path and always gives leave, so that the mode logic is tested alone."""

    leave = 1

    def step(self, inputs):
        pass

    def gate(self, wanted):
        return wanted


def alone(rig):
    """The same rig, its second path lenient."""
    rig.controller.interlock = Lenient()
    return rig


def codes_of_supply(mv, full_mv):
    """ADC code of a supply voltage, rounded up."""
    return -(-mv * 4095 // full_mv)
