"""Under MicroPython: proves that a tick allocates nothing (SR-34), and that the proof would see it if it did.

    micropython no_allocation.py ROOT WIRE_FOLDER

Inputs of a rich stretch of the hostile run are recorded first, as integers in an array; then they are played into a
new controller with the collector off, and then with the heap locked, which turns any allocation into MemoryError.
Both are needed: an exception raised and caught passes under the lock but costs memory. Prints one line a finding.
"""

import sys

sys.path.append(sys.argv[2])
sys.path.append(sys.argv[1])

import gc  # noqa: E402
from array import array  # noqa: E402

import hostile  # noqa: E402
import micropython  # noqa: E402
import wire  # noqa: E402

from controller.frames import Inputs, Outputs  # noqa: E402
from controller.tick import Controller  # noqa: E402

TICKS = 3000


class Leaky:
    """A controller that allocates in one tick of a hundred, as a careless line would."""

    def __init__(self, inner):
        self.inner = inner
        self.number = 0
        self.kept = None

    def tick(self, inputs, outputs):
        """One tick, and now and then a pair."""
        self.inner.tick(inputs, outputs)
        self.number += 1
        if self.number % 100 == 0:
            self.kept = (self.number, self.number)


class Raiser(Leaky):
    """Raises and catches in one tick of a hundred: passes under the lock, costs memory."""

    def tick(self, inputs, outputs):
        """One tick, and now and then an exception that nobody sees."""
        self.inner.tick(inputs, outputs)
        self.number += 1
        if self.number % 100 == 0:
            try:
                raise ValueError
            except ValueError:
                self.kept = None


def record(seed):
    """(boot inputs, rows): the inputs of the first long life of a hostile run that gets the gear up."""
    dice = hostile.Dice(seed)
    rows_in = wire.layout(Inputs())
    put = wire.compile_put(rows_in, 0)
    # 32 bits hold every hostile input, and keep the recording small beside a heap of 2 MB.
    rows = [array("i", [0] * wire.n_words(rows_in)) for _ in range(TICKS)]
    while True:
        gc.collect()
        inputs, outputs, controller, world = hostile.new_life(dice, 0, 0)
        up_ticks = 0
        for number in range(TICKS):
            world.step(outputs)
            put(inputs, rows[number])
            controller.tick(inputs, outputs)
            up_ticks += outputs.gear_command
        if up_ticks > TICKS // 10:
            return inputs, rows


def boot(inputs):
    """The boot fields alone, in new inputs."""
    again = Inputs()
    for name in ("settings_a", "settings_b", "valve_kind", "servo_down_us", "servo_up_us"):
        setattr(again, name, getattr(inputs, name))
    return again


def play(target, take, rows, inputs, outputs, seen):
    """All rows into a target; counts changes of the command in seen[0] and ticks that feed in seen[1]."""
    before = outputs.gear_command
    for number in range(TICKS):
        take(inputs, rows[number])
        target.tick(inputs, outputs)
        if outputs.gear_command != before:
            before = outputs.gear_command
            seen[0] += 1
        seen[1] += outputs.feed


def measure(make, recorded, rows, locked):
    """(bytes allocated or -1 for MemoryError, changes of the command, ticks that feed)."""
    inputs = boot(recorded)
    outputs = Outputs()
    target = make(Controller(inputs))
    take = wire.compile_take(wire.layout(inputs), 0)
    seen = array("i", [0, 0])  # reading a 64-bit element would allocate
    play(target, take, rows, inputs, outputs, seen)  # warm up
    inputs = boot(recorded)
    target = make(Controller(inputs))
    seen[0] = 0
    seen[1] = 0
    before = 0
    after = 0
    gc.collect()
    gc.disable()
    try:
        before = gc.mem_alloc()
        if locked:
            micropython.heap_lock()
        play(target, take, rows, inputs, outputs, seen)
    except MemoryError:
        before = 1
    finally:
        if locked:
            micropython.heap_unlock()
        after = gc.mem_alloc()
        gc.enable()
    return (-1 if before == 1 else after - before), seen[0], seen[1]


def itself(controller):
    """The controller as it is."""
    return controller


def main():
    """All findings."""
    recorded, rows = record(int(sys.argv[3]))
    for name, make in (("controller", itself), ("leaky", Leaky), ("raiser", Raiser)):
        for locked in (False, True):
            grown, changes, fed = measure(make, recorded, rows, locked)
            print(name, "locked" if locked else "free", grown, changes, fed)


main()
