"""Runs on the emulated board as its main.py: what each part of a step costs, and that a step takes no memory.

Prints `key value` lines; times are microseconds, memory is bytes.
"""

import gc
import time

gc.collect()
print("free_at_start", gc.mem_free())
from boards.common.early import down  # noqa: E402
from boards.rp2040 import clock, pins  # noqa: E402

wiring, servo = down(clock, pins)
from boards.common.start import Start  # noqa: E402
from boards.rp2040 import chip  # noqa: E402

start = Start(chip, wiring, servo)
began = time.ticks_us()
reason = start.hold_reason()
print("check_us", time.ticks_diff(time.ticks_us(), began))
print("whole", int(reason == (0, "")))
began = time.ticks_us()
made = start.make()
print("make_us", time.ticks_diff(time.ticks_us(), began))
loop = made.loop
loop.open_log(made.parts.flash)
gc.collect()
print("free_made", gc.mem_free())
ROUNDS = 20


def cost(key, call, *arguments):
    """The mean time of a call, without that of the loop around it."""
    call(*arguments)
    began = time.ticks_us()
    for _ in range(ROUNDS):
        pass
    empty = time.ticks_diff(time.ticks_us(), began)
    began = time.ticks_us()
    for _ in range(ROUNDS):
        call(*arguments)
    print(key, (time.ticks_diff(time.ticks_us(), began) - empty) // ROUNDS)


def grown(call, rounds):
    """Bytes that many calls take."""
    for _ in range(20):
        call()
    gc.collect()
    gc.disable()
    before = gc.mem_alloc()
    for _ in range(rounds):
        call()
    after = gc.mem_alloc()
    gc.enable()
    return after - before


parts = made.parts
inputs = made.cycle.inputs
outputs = made.cycle.outputs
print("allocated", grown(loop.step, 100))
kept = []
print("allocated_control", grown(lambda: kept.append((len(kept), 0)), 10))
cost("cost_capture", parts.capture.take, inputs.pulse_us, inputs.fresh)
cost("cost_converter", parts.sensors[0].counts)
cost("cost_contacts", parts.contacts.read, inputs)
cost("cost_sample", made.board.sample, inputs)
cost("cost_valve", parts.valve.apply, outputs)
cost("cost_signals", parts.signals.apply, outputs)
cost("cost_apply", made.board.apply, outputs)
cost("cost_journal", loop.log.step, 0, 0, 0)
cost("cost_step", loop.step)
print("done")
