"""Hostile inputs for the controller, the same on CPython and on MicroPython, from one linear congruential generator.

A run is a row of lives. A life begins with a reset: settings copies that may be valid, damaged or unlike each other, a
wiring record, two retained words. It goes on in spells of 5 to 250 ticks in which some inputs are broken in one of
their ways, up to any integer at all. After every tick all outputs go into a CRC; one CRC is handed over each BLOCK
ticks, so that two runs are compared cheaply and a difference is found where it began.
"""

from array import array
from binascii import crc32

import wire

from controller import codes
from controller.checks import first_fault
from controller.frames import Inputs, Outputs
from controller.packing import pack
from controller.settings import FIELDS, HIGH, LOW, NAME, Settings
from controller.tick import Controller

BLOCK = 1000
N_WAYS = 12
ANY = 0x3FFFFFFF
CHOICES = (
    "sensor_count",
    "rail_fitted",
    "supply_fitted",
    "lock_count",
    "lock_closed_level",
    "ground_fitted",
    "ground_clear_level",
    "signature_channel",
    "gear_up_high",
    "throttle_fitted",
    "brake_fitted",
    "light_fitted",
)


class Dice:
    """Numbers of 31 bits; the same everywhere because no step leaves 62 bits."""

    def __init__(self, seed):
        self.state = seed & 0x7FFFFFFF

    def below(self, n):
        """0 .. n - 1."""
        self.state = (self.state * 1103515245 + 12345) & 0x7FFFFFFF
        return (self.state >> 7) % n

    def between(self, low, high):
        """low .. high."""
        return low + self.below(high - low + 1)

    def one_in(self, n):
        """True once in n times."""
        return self.below(n) == 0


def make_settings(dice, quiet=False):
    """Settings that pass every check: fittings at random, and a few other values moved as far as the checks allow."""
    settings = Settings()
    # Quick to wake and to heal, so that a life of a thousand ticks sees much.
    settings.link_settle_ms = 300
    settings.recover_ms = 200
    if quiet:
        settings.tick_ms = 50
    for row in FIELDS:
        name = row[NAME]
        before = getattr(settings, name)
        if name in CHOICES or dice.one_in(8):
            low = row[LOW]
            high = row[HIGH]
            if name not in CHOICES and dice.below(4):
                low = max(low, before * 3 // 4)
                high = min(high, before * 5 // 4)
            setattr(settings, name, dice.between(low, high))
            if first_fault(settings) != 0:
                setattr(settings, name, before)
    return settings


def make_copies(dice, settings, inputs):
    """Fill both settings copies: mostly sound, else damaged, cut short, empty, or two valid ones that differ."""
    packed = pack(settings)
    inputs.settings_a = packed
    inputs.settings_b = packed
    way = dice.below(12)
    if way == 0:
        inputs.settings_a = damaged(dice, packed)
    if way == 1:
        inputs.settings_b = damaged(dice, packed)
    if way == 2:
        inputs.settings_a = damaged(dice, packed)
        inputs.settings_b = b""
    if way == 3:
        inputs.settings_b = pack(make_settings(dice))


def damaged(dice, packed):
    """One byte changed, or cut short."""
    data = bytearray(packed)
    if dice.one_in(3):
        return bytes(data[: dice.below(len(data))])
    data[dice.below(len(data))] ^= dice.between(1, 255)
    return bytes(data)


class World:
    """What the inputs of one life are made from. `begin` starts a spell, `step` fills the inputs of one tick."""

    def __init__(self, dice, settings, inputs, quiet):
        self.dice = dice
        self.s = settings
        self.inputs = inputs
        self.now_ms = dice.below(2) * (0x40000000 - 4000)
        self.micro = 8000000 if dice.below(4) else 2000000
        self.slope = 0
        self.rate = 100
        self.up = 0
        self.down_ticks = 0
        self.ticks = 0
        self.ways = [0] * N_WAYS
        self.left = 60
        self.quiet = quiet
        self.lock_stuck = dice.one_in(4)
        self.was_up = 0

    def begin(self, gear_command):
        """A new spell: calm, with one or two inputs broken, or with nearly all of them."""
        dice = self.dice
        self.left = dice.between(5, 250)
        if gear_command == codes.DOWN or dice.one_in(2):
            self.up = 1 - self.up
        self.rate = dice.between(60, 140)
        self.slope = 0
        for index in range(N_WAYS):
            self.ways[index] = 0
        if self.quiet:
            # Up for long where the controller lets it, else one more move of the switch.
            self.left = 5000
            if gear_command == codes.DOWN:
                self.left = 70
            self.slope = 0 - (dice.between(100, 200) << dice.below(4))
            return
        mood = dice.below(6)
        if mood < 3:
            return
        if dice.one_in(4):
            self.slope = (0 - 80000) >> dice.below(6)
        if dice.one_in(12):
            self.slope = 20000
        n_broken = 2 if mood < 5 else N_WAYS
        for _ in range(n_broken):
            self.ways[dice.below(N_WAYS)] = dice.between(1, 7)
        if dice.one_in(4):
            self.ways[6] = self.ways[7] = dice.between(1, 3)

    def step(self, outputs):
        """Fill the inputs of one tick. `outputs` are those of the tick before."""
        if self.left == 0:
            self.begin(outputs.gear_command)
        self.left -= 1
        self.ticks += 1
        self._clock()
        for channel in range(codes.N_CHANNELS):
            self._channel(channel)
        self._pressure(outputs.gear_command)
        self._supply()
        self._switches(outputs)

    def _clock(self):
        dice = self.dice
        step = self.s.tick_ms
        way = self.ways[0]
        if way == 1:
            step = step * self.rate // 100
        if way == 2:
            step += dice.below(3) * 30
        if way == 3 and dice.one_in(20):
            step += dice.between(50, 300)
        if way == 4 and dice.one_in(30):
            step = dice.between(0 - 2000, 2000)
        if way == 5 and dice.one_in(30):
            step = dice.below(ANY)
        self.now_ms = (self.now_ms + step) & ANY
        self.inputs.now_ms = self.now_ms

    def _channel(self, channel):
        dice = self.dice
        inputs = self.inputs
        way = self.ways[1 + channel]
        low = 1100
        high = 1900
        if channel == codes.GEAR and self.s.gear_up_high == 0:
            low = 1900
            high = 1100
        width = low
        at_high = self.up == 1
        if channel != codes.GEAR:
            # Levers move every few seconds; in a quiet life they rest, because a brake application hides a leak.
            at_high = not self.quiet and (self.ticks >> 8) & channel
        if at_high:
            width = high
        fresh = 1
        if way == 1:
            fresh = 0
        if way == 2:
            fresh = dice.below(2)
        if way == 3 and dice.one_in(3):
            width = dice.between(500, 2500)
        if way == 4:
            width = dice.between(2040, 2160)
        if way == 5:
            width = dice.between(self.s.gear_low_us - 60, self.s.gear_high_us + 60)
        if way == 6 and dice.one_in(4):
            width = dice.between(0 - ANY, ANY)
        if way == 7:
            width = dice.below(4) * 700
        inputs.pulse_us[channel] = width + dice.below(5)
        inputs.fresh[channel] = fresh

    def _pressure(self, gear_command):
        dice = self.dice
        inputs = self.inputs
        self.micro += self.slope
        if gear_command != self.was_up:
            # A stroke costs air, mostly.
            self.was_up = gear_command
            self.micro -= 100000 * dice.between(1, 3)
        if self.micro < 0:
            self.micro = 0
        if self.micro > 9500000:
            self.micro = 9500000
        mbar = self.micro // 1000
        if self.ways[9] == 1:
            mbar = dice.below(9500)
        if self.ways[9] == 2:
            mbar = self.s.force_below_mbar + dice.between(0 - 60, 700)
        inputs.rail_counts = self.s.rail_nominal_counts
        if self.ways[10] == 1:
            inputs.rail_counts = dice.below(4096)
        if self.ways[10] == 2:
            inputs.rail_counts = dice.between(0 - ANY, ANY)
        zero = self.s.sensor_a_zero_counts
        span = self.s.sensor_a_full_counts - zero
        for index in range(codes.N_SENSORS):
            counts = zero + mbar * span // self.s.sensor_a_span_mbar + dice.below(5)
            way = self.ways[6 + index]
            if way == 1:
                counts = 0
            if way == 2:
                counts = 4095
            if way == 3:
                counts = inputs.counts[index]
            if way == 4 and dice.one_in(5):
                counts = dice.below(4096)
            if way == 5:
                counts += dice.between(80, 300)
            if way == 6 and dice.one_in(5):
                counts = dice.between(0 - ANY, ANY)
            inputs.counts[index] = counts

    def _supply(self):
        dice = self.dice
        force = self.s.supply_force_mv * 4095 // self.s.supply_full_mv
        counts = force + 400
        if self.ways[8] == 1:
            counts = force + dice.between(0 - 40, 140)
        if self.ways[8] == 2:
            counts = force - 60
        if self.ways[8] == 4:
            counts = force + 50
        if self.ways[8] == 3:
            counts = dice.between(0 - ANY, ANY)
        self.inputs.supply_counts = counts

    def _switches(self, outputs):
        dice = self.dice
        inputs = self.inputs
        way = self.ways[11]
        self.down_ticks += 1
        if outputs.gear_command == codes.UP:
            self.down_ticks = 0
        closed = self.s.lock_closed_level
        for leg in range(codes.N_LEGS):
            level = 1 - closed
            if self.down_ticks > 100 or way == 1 or (leg == 0 and self.lock_stuck):
                level = closed
            if way == 2:
                level = dice.below(2)
            if way == 3 and leg == 1:
                level = 1 - closed
            inputs.lock_level[leg] = level
        inputs.ground_level = self.s.ground_clear_level
        if way == 4:
            inputs.ground_level = 1 - self.s.ground_clear_level
        if way == 5:
            inputs.ground_level = dice.between(0 - 1, 2)
        inputs.button = 0
        if way == 6:
            inputs.button = dice.below(2)


def new_life(dice, retained_count, retained_check):
    """(inputs, outputs, controller, world) after a reset."""
    inputs = Inputs()
    # A quiet life sees what takes minutes: a leak, a count of restarts that heals.
    quiet = dice.one_in(10)
    settings = make_settings(dice, quiet)
    make_copies(dice, settings, inputs)
    inputs.valve_kind = dice.between(1, 3)
    if dice.one_in(12):
        inputs.valve_kind = codes.VALVE_INVALID
    inputs.servo_down_us = 1100
    inputs.servo_up_us = 1900
    if dice.below(5) < 2:
        inputs.retained_count = retained_count
        inputs.retained_check = retained_check
    elif dice.one_in(3):
        inputs.retained_count = dice.below(5)
        inputs.retained_check = dice.below(ANY)
    world = World(dice, settings, inputs, quiet)
    inputs.now_ms = world.now_ms
    return inputs, Outputs(), Controller(inputs), world


def run(seed, n_ticks, on_block, on_tick):
    """Run n_ticks. `on_block(crc)` at the end of every BLOCK ticks; `on_tick(number, outputs, words)` after each tick."""
    dice = Dice(seed)
    rows = wire.layout(Outputs())
    put = wire.compile_put(rows, 0)
    words = array(wire.OUT_CODE, [0] * wire.n_words(rows))
    retained_count = 0
    retained_check = 0
    life_left = 0
    crc = 0
    for number in range(n_ticks):
        if life_left == 0:
            inputs, outputs, controller, world = new_life(dice, retained_count, retained_check)
            life_left = dice.between(1, 200) if dice.one_in(3) else dice.between(400, 3000)
            if world.quiet:
                life_left = 7000
        life_left -= 1
        world.step(outputs)
        controller.tick(inputs, outputs)
        retained_count = outputs.retained_count
        retained_check = outputs.retained_check
        put(outputs, words)
        crc = crc32(words, crc)
        on_tick(number, outputs, words)
        if number % BLOCK == BLOCK - 1:
            on_block(crc)
