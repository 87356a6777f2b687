"""The searches: what is searched, with which letters, what is asked of it afterwards, and which requirements it watches."""

from dataclasses import dataclass, field

from .liveness import Follows, Forced
from .made import SHORT_20, SHORT_50, Times, settings_with
from .nets_air import air_letters, one_sensor, pressure_network, two_sensors
from .nets_alone import gear_alone, mode_logic_alone, second_path_alone
from .nets_channel import channel_network, gear_letters, mark_letters
from .nets_flight import extras, flight, ground_letters
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
ALL_FREE = ("strokes.burst_now", "strokes.loss_now", "tank.charging", "health.late_latch", "health.clock_bad")
FEW = "plenty low open"
MORE = "plenty middle low open"


def shipped(name):
    from host_sim.aircraft import load_aircraft

    return load_aircraft(f"host_sim/aircraft/{name}.yaml").settings


COMPLETE = "complete for its letters and settings"


def plans():
    """All searches, the longest first, so that two processes end at about the same time."""
    return [
        Plan(
            "flight", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("flight", SMALL, one_sensor(SMALL, FEW)),
            SMALL, questions, True,
        ),
        Plan(
            "flight, everything else that can happen", "bursts, filling, lateness and clock at any tick", COMPLETE, FLIGHT,
            lambda: whole_flight("events", SMALL, one_sensor(SMALL, "plenty low"), ALL_FREE),
            SMALL, None, True, False,
        ),
        Plan(
            "flight, pressure at every edge", "both paths, one sensor", COMPLETE, FLIGHT,
            lambda: whole_flight("edges", SMALL, one_sensor(SMALL, MORE)),
            SMALL, questions, True, False,
        ),
        Plan(
            "second path alone", "whatever the mode logic wants", COMPLETE, ("SR-08", "SR-10", "SR-11", "SR-16"),
            lambda: second_path_alone(
                "second", SMALL_GROUND,
                product(ground_letters(SMALL_GROUND), gear_letters(SMALL_GROUND, False), mark_letters(SMALL_GROUND),
                        one_sensor(SMALL_GROUND, "plenty low")),
            ),
            SMALL_GROUND,
        ),
        Plan(
            "mode logic alone", "whatever the second path says", COMPLETE, FLIGHT,
            lambda: mode_logic_alone("mode", SMALL, flight_letters(SMALL, one_sensor(SMALL, FEW), ())),
            SMALL,
        ),
        Plan(
            "mode logic on its facts", "three causes, each permit missing in turn", COMPLETE,
            ("SR-01", "SR-02", "SR-07", "SR-08", "SR-09", "SR-10", "SR-31"),
            lambda: gear_alone("facts", SMALL),
            SMALL,
        ),
        Plan(
            "gear channel, shortest times, signature", "both decoders on raw pulses", COMPLETE, CHANNEL,
            lambda: channel_network("marked", settings_with(SHORT_20, signature_channel=4)),
        ),
        Plan(
            "gear channel, shortest times, run of 10", "both decoders on raw pulses, direction reversed", COMPLETE, CHANNEL,
            lambda: channel_network("long run", settings_with(SHORT_20, switch_frames=10, gear_up_high=0)),
        ),
        Plan(
            "gear channel, Curlew 24", "both decoders on raw pulses, settings as shipped", COMPLETE, CHANNEL,
            lambda: channel_network("curlew24", shipped("curlew24"), False), short=False,
        ),
        Plan(
            "pressure, one sensor, defaults", "samples at every edge", COMPLETE, AIR,
            lambda: pressure_network(
                "one", settings_with(),
                one_sensor(settings_with(), "plenty just_enough_for_the_second_path middle just_above_forcing low open short"),
            ),
        ),
        Plan(
            "pressure, two sensors", "samples at every edge", COMPLETE, AIR,
            lambda: pressure_network("two", SMALL_TWO, two_sensors(SMALL_TWO, FEW)),
        ),
    ]  # fmt: skip
