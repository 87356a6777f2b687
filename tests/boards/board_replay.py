"""Runs on the emulated board as its main.py: plays recorded inputs into the controller, and says what that took.

Files beside it: /boot.bin (the two settings copies, one after the other, equally long), /in.bin (a row of 32-bit words
for each tick, the first is that of the boot), wire.py and the controller. It leaves /out.bin (a row of 64-bit words a
tick), and prints `key value` lines; times are microseconds, memory is bytes.
"""

import gc
import time
from array import array

ROWS = ROWS_HERE  # noqa: F821 - the test puts the number here


def memory(key):
    """Say what is free after a collection."""
    gc.collect()
    print(key, gc.mem_free())


def main():
    """All of it; imports inside, so that their memory and time are told."""
    memory("free_at_start")
    began = time.ticks_us()
    from controller.frames import Inputs, Outputs
    from controller.tick import Controller

    print("import_us", time.ticks_diff(time.ticks_us(), began))
    memory("free_imported")
    inputs, outputs = Inputs(), Outputs()
    with open("/boot.bin", "rb") as file:
        both = file.read()
    inputs.settings_a = both[: len(both) // 2]
    inputs.settings_b = both[len(both) // 2 :]
    del both
    memory("free_records")
    play(inputs, outputs, Controller)
    print("done")


def play(inputs, outputs, make):
    """Boot and tick."""
    import wire

    rows_in, rows_out = wire.layout(inputs), wire.layout(outputs)
    take, put = wire.compile_take(rows_in, 0), wire.compile_put(rows_out, 0)
    row_in = array(wire.IN_CODE, [0] * wire.n_words(rows_in))
    row_out = array(wire.OUT_CODE, [0] * wire.n_words(rows_out))
    spent = array("i", [0] * ROWS)
    memory("free_harness")
    with open("/in.bin", "rb") as source, open("/out.bin", "wb") as sink:
        source.readinto(row_in)
        take(inputs, row_in)
        began = time.ticks_us()
        controller = make(inputs)
        print("boot_us", time.ticks_diff(time.ticks_us(), began))
        memory("free_controller")
        for number in range(ROWS):
            source.readinto(row_in)
            take(inputs, row_in)
            began = time.ticks_us()
            controller.tick(inputs, outputs)
            spent[number] = time.ticks_diff(time.ticks_us(), began)
            put(outputs, row_out)
            sink.write(row_out)
        print("tick_mean_us", sum(spent) // ROWS)
        print("tick_first_us", spent[0])
        print("tick_worst_us", max(spent))
        print("tick_worst_at", list(spent).index(max(spent)))
        still(controller, inputs, outputs)


def still(controller, inputs, outputs):
    """Memory that a hundred ticks of constant inputs take."""
    gc.collect()
    gc.disable()
    before = gc.mem_alloc()
    for _ in range(100):
        inputs.now_ms += 20
        controller.tick(inputs, outputs)
    after = gc.mem_alloc()
    gc.enable()
    print("allocated", after - before)


main()
