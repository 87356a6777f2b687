"""Why the pilot was overridden: each cause with its own reading, straight to Explain."""

from types import SimpleNamespace as As

import pytest

from controller import codes
from controller.explain import Explain
from controller.frames import NOT_KNOWN, Outputs

# One value for each reading, so that none can be taken for another.
READINGS = {
    codes.CAUSE_LOW_AIR: 4600,
    codes.CAUSE_BURST: 321,
    codes.CAUSE_STROKE_LOSS: 777,
    codes.CAUSE_PRESSURE: codes.SENSOR_FROZEN,
    codes.CAUSE_LINK: 50 * 20,
    codes.CAUSE_SUPPLY: 4400,
    codes.CAUSE_LATE: 155,
    codes.CAUSE_CLOCK: 1301,
    codes.CAUSE_SECOND_PATH: 0,
}


class Bench:
    def __init__(self):
        self.explain = Explain()
        self.outputs = Outputs()
        self.tick = 100
        self.gear = As(latched=[0] * codes.N_CAUSES, held=0, refused_now=0, refusal=codes.REFUSAL_NONE)
        self.air = As(mbar=4600, read=1, doubted=0, doubted_mbar=4500, sensors=[As(grade=codes.SENSOR_FROZEN)])
        self.strokes = As(burst_rate=321, fall_mbar=777)
        self.link = As(outage=50)
        self.health = As(late_ms=155, period_sum_ms=1301)
        self.mv = 4400

    def step(self, latched=(), refusal=codes.REFUSAL_NONE, refused_now=0):
        """One tick; (new, cause, value, tick)."""
        self.tick += 1
        self.gear.latched = [int(cause in latched) for cause in range(codes.N_CAUSES)]
        self.gear.held = int(bool(latched))
        self.gear.refusal, self.gear.refused_now = refusal, refused_now
        new = self.explain.step(
            self.tick, self.gear, self.air, self.strokes, self.link, self.mv, self.health, 20, self.outputs
        )
        assert self.outputs.latched == self.gear.latched
        return new, self.outputs.cause, self.outputs.cause_value, self.outputs.cause_tick

    @property
    def refusal(self):
        return self.outputs.refusal, self.outputs.refusal_value, self.outputs.refusal_tick


@pytest.mark.sr("SR-25", "acts")
@pytest.mark.parametrize("cause", list(READINGS))
def test_each_cause_has_its_own_reading_of_its_first_tick(cause):
    bench = Bench()
    assert bench.step([cause]) == (1, cause, READINGS[cause], 101)
    bench.air.mbar = bench.strokes.burst_rate = bench.strokes.fall_mbar = bench.link.outage = bench.mv = 1
    bench.health.late_ms = bench.health.period_sum_ms = bench.air.sensors[0].grade = 1
    assert bench.step([cause]) == (0, cause, READINGS[cause], 101)
    assert bench.step() == (0, codes.CAUSE_NONE, 0, 101)


@pytest.mark.sr("SR-25", "acts")
def test_of_two_causes_in_one_tick_the_first_of_the_list_is_named():
    for first in range(codes.N_CAUSES - 1):
        for second in range(first + 1, codes.N_CAUSES):
            assert Bench().step([second, first])[1] == first


@pytest.mark.sr("SR-25", "acts")
def test_cause_that_comes_later_is_not_the_reason_until_the_first_is_released():
    bench = Bench()
    bench.step([codes.CAUSE_LATE])
    assert bench.step([codes.CAUSE_LATE, codes.CAUSE_LOW_AIR]) == (0, codes.CAUSE_LATE, 155, 101)
    assert bench.step([codes.CAUSE_LOW_AIR]) == (1, codes.CAUSE_LOW_AIR, 4600, 103)


@pytest.mark.sr("SR-25", "acts")
def test_low_air_of_a_sensor_that_is_not_believed_shows_that_reading():
    bench = Bench()
    bench.air.doubted = 1
    assert bench.step([codes.CAUSE_LOW_AIR]) == (1, codes.CAUSE_LOW_AIR, 4500, 101)


def test_at_boot_nothing_is_named():
    assert Bench().step() == (0, codes.CAUSE_NONE, 0, 0)


@pytest.mark.sr("SR-02", "acts")
@pytest.mark.parametrize(
    "reason, read, value",
    [
        (codes.REFUSAL_AIR, 1, 4600),
        (codes.REFUSAL_PRESSURE, 0, NOT_KNOWN),
        (codes.REFUSAL_SUPPLY, 1, 4400),
        (codes.REFUSAL_SUPPLY, 0, 4400),
    ],
)
def test_refusal_keeps_its_reading_and_its_tick_while_it_shows(reason, read, value):
    bench = Bench()
    bench.air.read = read
    bench.step(refusal=reason, refused_now=1)
    assert bench.refusal == (reason, value, 101)
    bench.air.mbar = bench.mv = 1
    bench.step(refusal=reason)
    assert bench.refusal == (reason, value, 101)
    bench.step()
    assert bench.refusal == (codes.REFUSAL_NONE, 0, 0)


@pytest.mark.sr("SR-02", "acts")
def test_second_refusal_is_shown_with_its_own_tick():
    bench = Bench()
    bench.step(refusal=codes.REFUSAL_AIR, refused_now=1)
    bench.air.mbar = 5000
    bench.step(refusal=codes.REFUSAL_AIR, refused_now=1)
    assert bench.refusal == (codes.REFUSAL_AIR, 5000, 102)
