"""Searches of the whole decision path, of each half of it alone, and what is asked of them afterwards."""

from .liveness import Follows, Forced
from .made import SHORT_20, SHORT_50, Times, settings_with
from .nets_air import air_letters, frozen_sensor, one_sensor, two_sensors
from .nets_alone import gear_alone, mode_logic_alone, second_path_alone
from .nets_channel import gear_letters, mark_letters
from .nets_flight import extras, flight, ground_letters
from .nets_whole import whole_tick
from .network import product
from .plan import COMPLETE, Plan

# What every flight watches; the letters of each decide what else can happen in it.
FLIGHT = ("SR-01", "SR-02", "SR-06", "SR-07", "SR-08", "SR-09", "SR-10", "SR-11", "SR-17")
LOW = (*FLIGHT, "SR-03")
BLIND = (*LOW, "SR-05")
FOR_GOOD = tuple(("gear", f"gear.latched[{cause}]") for cause in (1, 2, 7, 8))


def follows(settings):
    """No state is a trap. The bound is the sum of all that may have to be waited for one after another."""
    t = Times(settings)
    within = t.link_recover + t.link_settle + t.run + t.sensor_confirm + t.heal + t.recover + t.release_hold + t.run
    return Follows("gear pulse DOWN, pressure plenty", "gear pulse UP, pressure plenty", t.run, within, FOR_GOOD)


def questions(settings):
    """What a whole flight is asked. The bounds are sums of the requirements' times, in ticks."""
    t = Times(settings)
    codes = air_letters(settings, "plenty low open")
    fresh_down = settings.gear_low_us if settings.gear_up_high else settings.gear_high_us

    def both(letter, name):
        values = letter.values
        return values["code_a"] == codes[name] and (settings.sensor_count == 1 or values["code_b"] == codes[name])

    # Two of three samples make the median; a sensor that was off needs three in a row.
    asked = [
        Forced("SR-03: low air", lambda letter: both(letter, "low"), 2 + t.low_confirm),
        Forced("SR-05: no sensor", lambda letter: both(letter, "open"), t.sensor_confirm + t.sensor_force),
        Forced("SR-06: silence", lambda letter: letter.values["fresh"] == 0, t.link_force),
        Forced(
            "SR-08: DOWN shown", lambda letter: letter.values["fresh"] == 1 and letter.values["us"] == fresh_down, t.run
        ),
    ]
    if settings.supply_fitted:
        low = settings.supply_force_mv
        asked.append(Forced("SR-13: low supply", lambda letter: letter.values["supply_mv"] < low, t.supply_confirm))
    asked.append(follows(settings))
    return asked


def flight_letters(settings, airs, free):
    """Extra letters first, so that the quiet ones are the first of the alphabet."""
    return product(extras(settings, free), gear_letters(settings, False), mark_letters(settings, False), airs)


def whole_flight(name, settings, airs, free=(), **kinds):
    network = flight(name, settings, flight_letters(settings, airs, free), **kinds)
    network.n_quiet = len(network.letters) // len(extras(settings, free))
    return network


SMALL = settings_with(SHORT_50)
SMALL_20 = settings_with(SHORT_20)
SMALL_MARKED = settings_with(SHORT_50, signature_channel=4)
SMALL_TWO = settings_with(SHORT_50, sensor_count=2)
SMALL_GROUND = settings_with(SHORT_50, ground_fitted=1)
SMALL_SUPPLY = settings_with(SHORT_50, supply_fitted=1)
# A hold longer than a run, or a release could not come in a silence after one.
SMALL_LONG_HOLD = settings_with(SHORT_50, release_hold_ms=150)
SMALL_BARE = settings_with(SHORT_50, throttle_fitted=0, brake_fitted=0, light_fitted=0)
ALL_FREE = ("strokes.burst_now", "strokes.loss_now", "tank.charging", "health.late_latch", "health.clock_bad")
FEW = "plenty low open"
MORE = "plenty middle low open"


def flights():
    return [
        Plan(
            "flight", "both paths, one sensor", COMPLETE, BLIND,
            lambda: whole_flight("flight", SMALL, one_sensor(SMALL, FEW)),
            SMALL, questions, True,
        ),
        Plan(
            "events in flight", "bursts, filling, lateness and clock at any tick", COMPLETE,
            (*LOW, "SR-04", "SR-19", "SR-31", "SR-33"),
            lambda: whole_flight("events", SMALL, one_sensor(SMALL, "plenty low"), ALL_FREE),
            SMALL, event_questions, True, False,
        ),
        Plan(
            "flight with every pressure", "both paths, one sensor", COMPLETE, BLIND,
            lambda: whole_flight("edges", SMALL, one_sensor(SMALL, MORE)),
            SMALL, questions, True, False,
        ),
        Plan(
            "flight with a ground switch", "both paths, one sensor", COMPLETE, (*LOW, "SR-16"),
            lambda: whole_flight("ground", SMALL_GROUND, one_sensor(SMALL_GROUND, "plenty low")),
            SMALL_GROUND, None, True, False,
        ),
        Plan(
            "flight with measured supply", "both paths, one sensor", COMPLETE, (*FLIGHT, "SR-13"),
            lambda: whole_flight("supply", SMALL_SUPPLY, one_sensor(SMALL_SUPPLY, "plenty")),
            SMALL_SUPPLY, supply_questions, True,
        ),
        Plan(
            "flight with a signature channel", "both paths, one sensor", COMPLETE, LOW,
            lambda: whole_flight("signature", SMALL_MARKED, one_sensor(SMALL_MARKED, "plenty low")),
            SMALL_MARKED, None, True, False,
        ),
        Plan(
            "flight with a sensor that freezes", "both paths, one sensor, frozen or not at any tick", COMPLETE, BLIND,
            lambda: whole_flight("frozen", SMALL, one_sensor(SMALL, "plenty low") + frozen_sensor(SMALL)),
            SMALL, None, True,
        ),
        Plan(
            "flight with one of two sensors failing", "both paths; a refusal by the second path is its right", COMPLETE,
            BLIND, lambda: one_failing(SMALL_TWO), SMALL_TWO, None, True, False,
        ),
        Plan(
            "flight at 20 ms", "both paths, one sensor, the shortest times at the default tick", COMPLETE, BLIND,
            lambda: whole_flight("default tick", SMALL_20, one_sensor(SMALL_20, FEW)),
            SMALL_20, questions, True, False,
        ),
        Plan(
            "flight with two sensors", "both paths", COMPLETE, BLIND,
            lambda: whole_flight("two", SMALL_TWO, two_sensors(SMALL_TWO, "plenty low")),
            SMALL_TWO, None, True, False,
        ),
        Plan(
            "whole tick", "the unmodified Controller.tick as one part", COMPLETE, LOW,
            lambda: whole_tick("whole", SMALL_BARE, bare_letters()),
        ),
        Plan(
            "whole tick, any mode logic", "Controller.tick with a mode logic that wants anything", COMPLETE,
            ("SR-08", "SR-10", "SR-11"),
            lambda: whole_tick("whole, any mode logic", SMALL_BARE, bare_letters(), any_gear=True),
            most_states=60_000,
        ),
        Plan(
            "whole tick, any second path", "Controller.tick with a second path that says anything", COMPLETE, LOW,
            lambda: whole_tick("whole, any second path", SMALL_BARE, bare_letters(), any_second=True), short=False,
        ),
    ]  # fmt: skip


def one_failing(settings):
    """Three pulses, and all readings but those with a bad sample of the first sensor. The second path goes on reading
    a sensor that the mode logic has set aside, and may refuse a move for what it reads there (SR-11)."""
    airs = [letter for letter in two_sensors(settings, FEW) if "a open" not in letter.words]
    gears = gear_letters(settings, False)[:3]
    return flight("one failing", settings, product(extras(settings, ()), gears, mark_letters(settings), airs), spare=0)


def bare_letters():
    s = SMALL_BARE
    return product(extras(s, ()), gear_letters(s, False)[:3], mark_letters(s), one_sensor(s, "plenty low"))


def event_questions(settings):
    return [
        Forced(words, lambda letter, name=name: letter.values[name] == 1, 1)
        for words, name in (
            ("SR-04: a burst", "strokes.burst_now"),
            ("SR-04: air lost in the stroke", "strokes.loss_now"),
            ("SR-31: a tick far too late", "health.late_latch"),
            ("SR-33: a wrong clock", "health.clock_bad"),
        )
    ]


def supply_questions(settings):
    low = settings.supply_force_mv
    return [
        Forced("SR-13: low supply", lambda letter: letter.values["supply_mv"] < low, Times(settings).supply_confirm),
        follows(settings),
    ]


def halves():
    return [
        Plan(
            "locked out", "both paths after a third reset", COMPLETE, ("SR-32",),
            lambda: whole_flight("locked out", SMALL, one_sensor(SMALL, "plenty"), locked_out=1),
        ),
        Plan(
            "mode logic alone", "whatever the second path says", COMPLETE, BLIND,
            lambda: mode_logic_alone("mode", SMALL, flight_letters(SMALL, one_sensor(SMALL, FEW), ())),
        ),
        Plan(
            "second path alone", "whatever the mode logic wants", COMPLETE, ("SR-08", "SR-10", "SR-11", "SR-16"),
            lambda: second_path_alone("second", SMALL_GROUND, product(
                ground_letters(SMALL_GROUND), gear_letters(SMALL_GROUND, False), mark_letters(SMALL_GROUND),
                one_sensor(SMALL_GROUND, "plenty low"),
            )),
        ),
        Plan(
            "facts", "mode logic on its facts: three causes, each permit missing in turn", COMPLETE,
            ("SR-01", "SR-02", "SR-07", "SR-08", "SR-09", "SR-10", "SR-16", "SR-19", "SR-31"),
            lambda: gear_alone("facts", SMALL_LONG_HOLD),
        ),
    ]  # fmt: skip
