"""The searches: what is searched, with which letters, what is asked of it afterwards, and which requirements it watches."""

from dataclasses import dataclass, field

from .liveness import Follows, Forced
from .made import SHORT_20, SHORT_50, Times, settings_with
from .nets_air import air_letters, one_sensor, pressure_network, two_sensors
from .nets_alone import gear_alone, mode_logic_alone, second_path_alone
from .nets_channel import channel_network, gear_letters, mark_letters
from .nets_flight import extras, flight, ground_letters
from .nets_outputs import ground_network, light_network, locks_network, valve_network
from .nets_time import WRAP, late_network, rate_network, restarts_network
from .nets_warning import warning_network
from .nets_whole import whole_tick
from .network import product

CHANNEL = ("SR-06", "SR-08", "SR-09", "SR-11")
AIR = ("SR-05", "SR-09", "SR-17")
FLIGHT = (
    "SR-01", "SR-02", "SR-03", "SR-04", "SR-05", "SR-06", "SR-07", "SR-08", "SR-09", "SR-10", "SR-11", "SR-13",
    "SR-16", "SR-17", "SR-19",
)  # fmt: skip
FOR_GOOD = tuple(("gear", f"gear.latched[{cause}]") for cause in (1, 2, 7, 8))


@dataclass(frozen=True)
class Plan:
    """`build()` makes the Network; `asks(settings)` the liveness questions; `flown` lets conformance.py replay it.

    `scope` says what is complete about it and what is not.
    """

    name: str
    what: str
    scope: str
    requirements: tuple
    build: object
    settings: object = None
    asks: object = None
    flown: bool = False
    short: bool = True
    most_states: int | None = None
    most_levels: int | None = None
    notes: tuple = field(default=())


def questions(settings, down="gear pulse DOWN, pressure plenty", up="gear pulse UP, pressure plenty"):
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
    within = t.link_recover + t.link_settle + t.run + t.sensor_confirm + t.heal + t.recover + t.release_hold + t.run
    asked.append(Follows(down, up, t.run, within, FOR_GOOD))
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
SMALL_LOCKS = settings_with(
    SHORT_50, lock_count=2, extend_ms=200, stroke_ms=200, stroke_settle_ms=100, lock_margin_ms=100, lock_confirm_ms=100
)
ALL_FREE = ("strokes.burst_now", "strokes.loss_now", "tank.charging", "health.late_latch", "health.clock_bad")
FEW = "plenty low open"
MORE = "plenty middle low open"


def shipped(name):
    from host_sim.aircraft import load_aircraft

    return load_aircraft(f"host_sim/aircraft/{name}.yaml").settings


COMPLETE = "complete for its letters and settings"


def flights():
    return [
        Plan(
            "flight", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("flight", SMALL, one_sensor(SMALL, FEW)),
            SMALL, questions, True,
        ),
        Plan(
            "events in flight", "bursts, filling, lateness and clock at any tick", COMPLETE, (*FLIGHT, "SR-31", "SR-33"),
            lambda: whole_flight("events", SMALL, one_sensor(SMALL, "plenty low"), ALL_FREE),
            SMALL, None, True, False,
        ),
        Plan(
            "flight with every pressure", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("edges", SMALL, one_sensor(SMALL, MORE)),
            SMALL, questions, True, False,
        ),
        Plan(
            "flight with a ground switch", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("ground", SMALL_GROUND, one_sensor(SMALL_GROUND, "plenty low")),
            SMALL_GROUND, None, True, False,
        ),
        Plan(
            "flight with measured supply", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("supply", SMALL_SUPPLY, one_sensor(SMALL_SUPPLY, "plenty")),
            SMALL_SUPPLY, supply_questions, True,
        ),
        Plan(
            "flight with a signature channel", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("signature", SMALL_MARKED, one_sensor(SMALL_MARKED, "plenty low")),
            SMALL_MARKED, None, True, False,
        ),
        Plan(
            "flight with two sensors", "both paths", COMPLETE, FLIGHT,
            lambda: whole_flight("two", SMALL_TWO, two_sensors(SMALL_TWO, "plenty low")),
            SMALL_TWO, None, True, False,
        ),
        Plan(
            "whole tick", "the unmodified Controller.tick as one part", COMPLETE, FLIGHT,
            lambda: whole_tick("whole", SMALL_BARE, bare_letters()),
        ),
        Plan(
            "whole tick, any mode logic", "Controller.tick with a mode logic that wants anything", COMPLETE,
            ("SR-08", "SR-10", "SR-11"),
            lambda: whole_tick("whole, any mode logic", SMALL_BARE, bare_letters(), any_gear=True),
        ),
        Plan(
            "whole tick, any second path", "Controller.tick with a second path that says anything", COMPLETE, FLIGHT,
            lambda: whole_tick("whole, any second path", SMALL_BARE, bare_letters(), any_second=True), short=False,
        ),
    ]  # fmt: skip


def bare_letters():
    s = SMALL_BARE
    return product(extras(s, ()), gear_letters(s, False)[:3], mark_letters(s), one_sensor(s, "plenty low"))


def supply_questions(settings):
    low, within = settings.supply_force_mv, Times(settings).supply_confirm
    return [Forced("SR-13: low supply", lambda letter: letter.values["supply_mv"] < low, within)]


def halves():
    return [
        Plan(
            "mode logic alone", "whatever the second path says", COMPLETE, FLIGHT,
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


def inputs():
    default = settings_with()
    edges = "plenty just_enough_for_the_second_path middle just_above_forcing low open short no_code beyond"
    warning = "plenty just_above_warning below_warning low open"
    return [
        Plan(
            "gear channel of Tern 30", "both decoders on raw pulses, settings as shipped, with signature", COMPLETE, CHANNEL,
            lambda: channel_network("tern30", shipped("tern30"), False), short=False,
        ),
        Plan(
            "gear channel of Curlew 24", "both decoders on raw pulses, settings as shipped", COMPLETE, CHANNEL,
            lambda: channel_network("curlew24", shipped("curlew24"), False), short=False,
        ),
        Plan(
            "gear channel with signature", "both decoders on raw pulses, shortest times, pulses at every edge", COMPLETE,
            CHANNEL, lambda: channel_network("marked", settings_with(SHORT_20, signature_channel=4)),
        ),
        Plan(
            "gear channel, runs of 10", "both decoders on raw pulses, shortest times, direction reversed", COMPLETE, CHANNEL,
            lambda: channel_network("long run", settings_with(SHORT_20, switch_frames=10, gear_up_high=0)),
        ),
        Plan(
            "pressure, one sensor", "default settings, samples at every edge", COMPLETE, AIR,
            lambda: pressure_network("one", default, one_sensor(default, edges)),
        ),
        Plan(
            "pressure, two sensors", "samples at every edge", COMPLETE, AIR,
            lambda: pressure_network("two", SMALL_TWO, two_sensors(SMALL_TWO, FEW)),
        ),
        Plan(
            "warning of low air", "beside the forcing, any command", COMPLETE, ("SR-03", "SR-12", "SR-17"),
            lambda: warning_network("warning", SMALL, one_sensor(SMALL, warning)),
        ),
        Plan(
            "clear of the ground", "the ground switch, default settings", COMPLETE, ("SR-16",),
            lambda: ground_network("ground switch", settings_with(ground_fitted=1)),
        ),
    ]  # fmt: skip


def outputs():
    kinds = {"invalid record": 0, "spring-return": 1, "two-coil": 2, "servo": 3}
    valves = [
        Plan(
            f"valve, {words}", "default settings, any commands", COMPLETE, ("SR-18",),
            lambda kind=kind: valve_network("valve", settings_with(), kind),
        )
        for words, kind in kinds.items()
    ]  # fmt: skip
    return [
        *valves,
        Plan(
            "lock switches", "two legs, any levels and commands, short strokes", COMPLETE, ("SR-14",),
            lambda: locks_network("locks", SMALL_LOCKS),
        ),
        Plan(
            "landing light", "default settings, any commands and supply", COMPLETE, ("SR-13", "SR-22"),
            lambda: light_network("light", settings_with(supply_fitted=1)),
        ),
        Plan(
            "late ticks", "ticks on time and at every edge", COMPLETE, ("SR-31",),
            lambda: late_network("late", 1000),
        ),
        Plan(
            "late ticks over the wrap", "the same where the clock wraps", COMPLETE, ("SR-31", "SR-33"),
            lambda: late_network("late over the wrap", WRAP - 25),
        ),
        Plan(
            "rate of the clock", "periods whose mean goes over every edge", COMPLETE, ("SR-33",),
            lambda: rate_network("rate"), short=False,
        ),
        Plan(
            "restarts", "resets, power cycles and health in any order", COMPLETE, ("SR-32",),
            lambda: restarts_network("restarts"),
        ),
    ]  # fmt: skip


def plans():
    """All searches, the longest first, so that two processes end at about the same time."""
    return [*flights(), *halves(), *inputs(), *outputs()]
