"""SR-35: ten samples a second with the gear up or a stroke under way, one a second at rest, or while room runs out."""

import pytest

from boards.common.flashlog_samples import Sampler
from controller.codes import DOWN, UP
from controller.journal import KEPT, KIND_SAMPLE, RECORD_BYTES
from tests.unit.driver import Rig


def samples(rig, sampler, ticks, thin=0):
    """Ticks at which a sample was written, by the controller or by the sampler."""
    journal, seen = rig.controller.scribe.journal, []
    for _ in range(ticks):
        before = journal.written
        rig.step()
        sampler.step(journal, rig.outputs, rig.controller.strokes.in_progress, thin)
        for number in range(before, journal.written):
            at = number % KEPT * RECORD_BYTES
            if journal.data[at] == KIND_SAMPLE:
                seen.append(rig.ticks)
    return seen


@pytest.mark.sr("SR-35", "acts")
@pytest.mark.parametrize("tick_ms", [10, 15, 20, 30, 35, 40, 50])
def test_ten_a_second_with_the_gear_up_and_one_at_rest(tick_ms):
    rig = Rig(tick_ms=tick_ms)
    sampler = Sampler(tick_ms)
    rest = samples(rig, sampler, 20_000 // tick_ms)
    assert rig.outputs.gear_command == DOWN and abs(len(rest) - 20) <= 1
    rig.up()
    up = samples(rig, sampler, 20_000 // tick_ms)
    assert rig.outputs.gear_command == UP
    assert 190 <= len(up) <= 201 and len(set(up)) == len(up)
    steps = [after - before for before, after in zip(up, up[1:], strict=False)]
    assert max(steps) * tick_ms <= 200
    rig.move_down()
    assert rig.outputs.gear_command == DOWN
    stroke = samples(rig, sampler, 2_000 // tick_ms)
    assert rig.controller.strokes.in_progress == 1 and 18 <= len(stroke) <= 21


def test_thinned_samples_are_the_controllers_own():
    rig = Rig()
    sampler = Sampler(20)
    rig.awake()
    rig.move_up()
    assert len(samples(rig, sampler, 500, thin=1)) == 10


def test_a_sample_says_what_the_tick_said():
    rig = Rig()
    sampler = Sampler(20)
    rig.awake()
    rig.move_up()
    journal = rig.controller.scribe.journal
    while True:
        rig.step()
        before = journal.written
        sampler.step(journal, rig.outputs, 1, 0)
        if journal.written > before:
            break
    raw = journal.data[before % KEPT * RECORD_BYTES :][:RECORD_BYTES]
    assert raw[0] == KIND_SAMPLE
    assert int.from_bytes(raw[4:8], "little") == rig.outputs.tick
    assert int.from_bytes(raw[10:12], "little") == rig.outputs.pressure_mbar > 6900
    assert raw[12] == rig.outputs.mode * 2 + UP
