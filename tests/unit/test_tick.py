"""SR-34 and SR-36: bounded integers, nothing raised by any input, the same outputs for the same inputs."""

import random
import sys

import pytest

from controller import Controller, Inputs, Outputs, codes
from controller.limits import MAX_RATE_MBAR_S
from controller.packing import pack
from controller.settings import FIELDS, HIGH, LOW, NAME

from .driver import Rig, settings_with

BOUND = 2**30


def integers(thing, seen, found):
    """Every integer that can be reached from `thing` through the controller's own objects."""
    if isinstance(thing, int):
        found.append(thing)
        return
    if id(thing) in seen or isinstance(thing, (bytes, bytearray, str)):
        return
    seen.add(id(thing))
    if isinstance(thing, (list, tuple)):
        for member in thing:
            integers(member, seen, found)
        return
    names = getattr(type(thing), "__slots__", None) or vars(thing)
    for name in names:
        integers(getattr(thing, name), seen, found)


def wild(inputs, dice):
    """Anything a broken board might deliver, within the types that the record promises."""
    inputs.now_ms = dice.choice((0, 20, BOUND - 1, dice.randrange(BOUND)))
    for channel in range(codes.N_CHANNELS):
        inputs.fresh[channel] = dice.randrange(2)
        inputs.pulse_us[channel] = dice.choice((0, 800, 1100, 1900, 2200, 65535, BOUND - 1))
    for sensor in range(codes.N_SENSORS):
        inputs.counts[sensor] = dice.choice((-1, 0, 200, 2600, 3600, 4095, 65535, dice.randrange(4096)))
    inputs.rail_counts = dice.choice((0, 3102, 4095, 65535))
    inputs.supply_counts = dice.choice((-5, 0, 1500, 4095, 65535))
    for leg in range(codes.N_LEGS):
        inputs.lock_level[leg] = dice.randrange(2)
    inputs.ground_level = dice.randrange(2)
    inputs.button = dice.randrange(2)


LARGE = {
    "sensor_a_zero_counts": 399,
    "sensor_a_full_counts": 1100,
    "sensor_a_span_mbar": 16000,
    "sensor_short_counts": 4094,
    "supply_fitted": 1,
    "supply_full_mv": 40000,
    "fill_mbar": 15000,
    "retract_above_mbar": 15000,
    "warn_below_mbar": 7000,
    "rail_fitted": 1,
    "lock_count": 4,
    "burst_lead_ms": 5000,
}


@pytest.mark.sr("SR-34", "acts")
@pytest.mark.parametrize("seed", range(4))
def test_all_integers_stay_below_two_to_the_thirty_whatever_comes_in(seed):
    dice = random.Random(seed)
    rig = Rig(**LARGE)
    assert rig.controller.settings_state == codes.SETTINGS_GOOD
    for _ in range(400):
        wild(rig.inputs, dice)
        rig.controller.tick(rig.inputs, rig.outputs)
        found = []
        integers(rig.controller, set(), found)
        integers(rig.outputs, set(), found)
        assert len(found) > 500
        assert max(abs(number) for number in found) < BOUND


@pytest.mark.sr("SR-34", "acts")
@pytest.mark.parametrize("seed", range(3))
def test_all_local_integers_stay_below_two_to_the_thirty_with_the_gear_up(seed):
    """Every name of every function, line by line, while the pressure does what it likes."""
    dice = random.Random(seed)
    rig = Rig(**LARGE)
    largest = 0

    def watch(frame, event, argument):
        nonlocal largest
        if "controller" not in frame.f_code.co_filename:
            return None
        for value in frame.f_locals.values():
            if type(value) is int:
                largest = max(largest, abs(value))
        return watch

    ups = 0
    for _ in range(12):
        rig.controller = Controller(rig.inputs)
        rig.step(150, gear_us=1100, a=1099)
        rig.move_up()
        ups += rig.command == codes.UP
        before = sys.gettrace()
        sys.settrace(watch)
        try:
            for tick in range(40):
                rig.step(a=dice.choice((1099, 4000, 399, 200)) if tick > dice.randrange(4) else 4000)
        finally:
            sys.settrace(before)
    assert ups >= 10
    assert 2**20 < largest < BOUND


@pytest.mark.sr("SR-34", "acts")
def test_rate_of_a_fall_is_bounded_before_it_is_multiplied():
    rig = Rig(**LARGE)
    rig.a = 4000
    rig.awake()
    rig.move_up()
    for tick in range(300):
        rig.step(a=4000 - tick % 20)
    assert rig.command == codes.UP
    rig.step(5, a=399)
    assert codes.CAUSE_BURST in rig.causes
    high = {row[NAME]: row[HIGH] for row in FIELDS}
    assert 0 < rig.controller.strokes.burst_rate <= MAX_RATE_MBAR_S
    assert MAX_RATE_MBAR_S * (high["extend_ms"] + high["burst_lead_ms"]) < BOUND


@pytest.mark.sr("SR-34", "spares")
def test_extreme_but_accepted_settings_fly():
    """Every row at each end of its range, alone: refused by the checks, or flown without a fault."""
    flown = 0
    for row in FIELDS:
        for end in (LOW, HIGH):
            rig = Rig(**{row[NAME]: row[end]})
            rig.step(5)
            flown += rig.controller.settings_state == codes.SETTINGS_GOOD
            assert rig.command == codes.DOWN
            assert rig.outputs.feed == 1
    assert flown > 100


@pytest.mark.sr("SR-34", "acts")
def test_no_input_raises_or_retracts_without_settings():
    dice = random.Random(11)
    inputs, outputs = Inputs(), Outputs()
    controller = Controller(inputs)
    for _ in range(2000):
        wild(inputs, dice)
        controller.tick(inputs, outputs)
        assert outputs.gear_command == codes.DOWN
        assert (outputs.coil_up, outputs.coil_down, outputs.valve_us) == (0, 0, 0)


@pytest.mark.sr("SR-34", "spares")
def test_counters_stop_instead_of_growing():
    rig = Rig().awake()
    rig.controller.ticks = 2**29 - 3
    rig.step(10)
    assert rig.outputs.tick == 2**29


def everything(outputs):
    return tuple(
        tuple(value) if isinstance(value, list) else value
        for value in (getattr(outputs, name) for name in Outputs.__slots__)
    )


@pytest.mark.sr("SR-36", "acts")
def test_same_inputs_give_the_same_outputs():
    packed = pack(settings_with(sensor_count=2, supply_fitted=1, lock_count=3, ground_fitted=1))
    lives = []
    for _ in range(2):
        dice = random.Random(5)
        inputs, outputs = Inputs(), Outputs()
        inputs.settings_a = inputs.settings_b = packed
        inputs.valve_kind = codes.VALVE_TWO_COIL
        controller = Controller(inputs)
        life = []
        for _ in range(1500):
            wild(inputs, dice)
            controller.tick(inputs, outputs)
            life.append(everything(outputs))
        lives.append(life)
    assert lives[0] == lives[1]
    assert len(set(lives[0])) > 1000


@pytest.mark.sr("SR-36", "spares")
def test_inputs_are_only_read():
    rig = Rig(sensor_count=2, supply_fitted=1, lock_count=3).awake()
    before = {name: repr(getattr(rig.inputs, name)) for name in Inputs.__slots__}
    rig.controller.tick(rig.inputs, rig.outputs)
    assert before == {name: repr(getattr(rig.inputs, name)) for name in Inputs.__slots__}


@pytest.mark.sr("SR-36", "acts")
def test_two_controllers_in_one_process_share_nothing():
    one = Rig().up()
    other = Rig()
    other.step(10)
    assert one.command == codes.UP
    assert other.command == codes.DOWN
    one.step(10)
    assert one.command == codes.UP
