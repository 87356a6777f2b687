"""The whole controller on random flights, watched by the observers of observers.py."""

import pytest
from hypothesis import HealthCheck, given, settings, target
from hypothesis import strategies as st
from unit.driver import Rig, alone, codes_of

from .observers import DOWN, SECOND_PATH, UP, Observers, Sight

PRESSURES = {"full": 7000, "enough": 5650, "thin": 5300, "low": 4600, "empty": 1000, "open": None}
SWITCHES = {"down": 1100, "up": 1900, "centre": 1500}
LINKS = ("good", "silent", "wild", "sparse")
SUPPLIES = {"fine": 5500, "sag": 4700, "flat": 4000}
TICKS = (1, 2, 3, 4, 5, 9, 11, 26, 60, 130)

beat = st.tuples(
    st.sampled_from(sorted(PRESSURES)),
    st.sampled_from(sorted(SWITCHES)),
    st.sampled_from(LINKS),
    st.sampled_from(sorted(SUPPLIES)),
    st.sampled_from(TICKS),
)
# A pilot with air and a good link, or hardly any flight would leave the ground.
calm = st.tuples(
    st.sampled_from(("full", "enough")),
    st.sampled_from(("down", "up")),
    st.just("good"),
    st.just("fine"),
    st.sampled_from((1, 2, 3, 4, 12, 130)),
)
flights = st.lists(st.one_of(calm, beat), min_size=1, max_size=12)

QUICK = settings(
    max_examples=120,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def frame(switch, link, tick):
    """(width, fresh, valid) of a tick's gear pulse."""
    width_us = SWITCHES[switch]
    if link == "silent":
        return width_us, 0, False
    if link == "wild":
        return (500 if tick % 2 else 2500), 1, False
    if link == "sparse" and tick % 4:
        return width_us, 0, False
    return width_us, 1, True


class Flight:
    """Plays beats on a rig, an observer looking on. `braking` keeps SR-04 (a) out, so that slower rules get their turn."""

    def __init__(self, rig, look, braking=False):
        self.rig = rig
        self.look = look
        self.braking = braking
        self.before = DOWN
        self.retractions = 0
        self.forced = 0
        self.up_ticks = 0

    def play(self, beats):
        for pressure, switch, link, supply, ticks in beats:
            for tick in range(ticks):
                self._tick(PRESSURES[pressure], frame(switch, link, tick), SUPPLIES[supply])
        return self

    def _tick(self, mbar, pulse, supply_mv):
        rig = self.rig
        width_us, fresh, valid = pulse
        # Air is never quite still, or the sensor would be called frozen.
        if mbar is not None:
            mbar += rig.ticks * 7 % 40
        rig.a = 0 if mbar is None else codes_of(mbar)
        rig.gear_us = width_us if fresh else 0
        rig.supply_mv(supply_mv)
        if self.braking:
            rig.brake_us = 1100 + rig.ticks % 2 * 60
        rig.step()
        sight = Sight(width_us, valid, mbar, supply_mv, rig.light_us == 1900, self.before, rig.outputs)
        self.look(sight)
        self.retractions += sight.began_up
        self.forced += bool(sight.causes)
        self.up_ticks += sight.after == UP
        self.before = sight.after


OPENING = [("full", "down", "good", "fine", 115)]


def steer(flight):
    """What makes a flight interesting: retractions, time up, something held."""
    target(float(flight.retractions), label="retractions")
    target(float(min(flight.up_ticks, flight.forced)), label="up, then forced")


@pytest.mark.sr("SR-01", "acts")
@pytest.mark.sr("SR-02", "acts")
@pytest.mark.sr("SR-06", "acts")
@pytest.mark.sr("SR-07", "acts")
@pytest.mark.sr("SR-08", "acts")
@pytest.mark.sr("SR-09", "acts")
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-13", "acts")
@pytest.mark.sr("SR-22", "acts")
@QUICK
@given(flights, st.booleans(), st.booleans())
def test_every_sentence_holds_on_every_flight(beats, cold, braking):
    rig = Rig(supply_fitted=1)
    rig.light_us = 1900
    flight = Flight(rig, Observers().see, braking)
    flight.play([] if cold else OPENING).play(beats)
    steer(flight)


@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-11", "acts")
@QUICK
@given(flights, st.lists(st.integers(0, 1), min_size=8, max_size=8))
def test_second_path_alone_keeps_the_sentence_of_one_move(beats, wishes):
    """The mode logic replaced by any function: here a random one of the tick."""
    rig = Rig(supply_fitted=1)
    observers = Observers()

    class Careless:
        def __init__(self, real):
            self.real = real

        def step(self, facts):
            self.real.step(facts)
            return wishes[rig.ticks // 3 % 8]

        def __getattr__(self, name):
            return getattr(self.real, name)

    rig.controller.gear = Careless(rig.controller.gear)

    def look(sight):
        sight.causes = set()
        observers.hands.see(sight)
        observers.radio.see(sight)
        observers.sr10_one_move_one_retraction(sight)
        observers.sr08_down_wins(sight)

    steer(Flight(rig, look).play(OPENING).play(beats))


@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-11", "acts")
@QUICK
@given(flights)
def test_mode_logic_alone_keeps_every_sentence(beats):
    """The second path replaced by one that always gives leave."""

    rig = alone(Rig(supply_fitted=1))
    steer(Flight(rig, Observers().see).play(OPENING).play(beats))


known = st.tuples(
    st.sampled_from(("full", "enough", "thin", "low")),
    st.sampled_from(sorted(SWITCHES)),
    st.sampled_from(LINKS),
    st.sampled_from(sorted(SUPPLIES)),
    st.sampled_from(TICKS),
)


@pytest.mark.sr("SR-11", "spares")
@QUICK
@given(st.lists(st.one_of(calm, known), min_size=1, max_size=12), st.booleans())
def test_sound_mode_logic_is_never_vetoed_while_the_sensor_reads(beats, braking):
    def look(sight):
        assert SECOND_PATH not in sight.causes

    steer(Flight(Rig(supply_fitted=1), look, braking).play(OPENING).play(beats))


@pytest.mark.sr("SR-02", "spares")
@pytest.mark.sr("SR-10", "spares")
@settings(QUICK, max_examples=40)
@given(st.lists(st.tuples(st.integers(3, 40), st.integers(3, 40)), min_size=1, max_size=10))
def test_pilot_with_air_and_link_gets_every_retraction_asked_for(moves):
    flight = Flight(Rig(supply_fitted=1), lambda sight: None)
    flight.play([("full", "down", "good", "fine", 130)])
    for up_ticks, down_ticks in moves:
        before = flight.retractions
        flight.play([("full", "up", "good", "fine", up_ticks)])
        assert flight.retractions == before + 1
        flight.play([("full", "down", "good", "fine", down_ticks)])
        assert flight.before == DOWN
