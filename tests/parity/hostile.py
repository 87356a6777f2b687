"""Hostile inputs for the controller, the same on CPython and on MicroPython, from one linear congruential generator.

A run is a row of lives. A life begins with a reset: settings copies that may be valid, damaged or unlike each other, a
wiring record, two retained words. It goes on in spells of 5 to 250 ticks in which some inputs are broken in one of
their ways, up to any integer at all. After every tick all outputs go into a CRC; one CRC is handed over each BLOCK
ticks, so that two runs are compared cheaply and a difference is found where it began.
"""

from array import array
from binascii import crc32

import wire
from hostile_world import ANY, Dice, World

from controller import codes
from controller.checks import first_fault
from controller.frames import Inputs, Outputs
from controller.packing import pack
from controller.settings import FIELDS, HIGH, LOW, NAME, Settings
from controller.tick import Controller

BLOCK = 1000
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
