"""Searches of the parts on their own: channels, sensors, slopes, outputs, time. `plans` lists all there are."""

from .made import SHORT_20, SHORT_50, settings_with
from .nets_air import one_sensor, pressure_network, two_sensors
from .nets_channel import channel_network
from .nets_outputs import ground_network, light_network, locks_network, valve_network
from .nets_slopes import burst_network, loss_network
from .nets_slow import slow_network
from .nets_time import WRAP, late_network, rate_network, restarts_network
from .nets_warning import warning_network
from .plan import COMPLETE, Plan
from .plans import FEW, SMALL, SMALL_TWO, flights, halves

CHANNEL = ("SR-06", "SR-08", "SR-09", "SR-11")
AIR = ("SR-05", "SR-09", "SR-17")
SMALL_LOCKS = settings_with(
    SHORT_50, lock_count=2, extend_ms=200, stroke_ms=200, stroke_settle_ms=100, lock_margin_ms=100, lock_confirm_ms=100
)


def shipped(name):
    from host_sim.aircraft import load_aircraft

    return load_aircraft(f"host_sim/aircraft/{name}.yaml").settings


def inputs():
    default = settings_with()
    edges = "plenty just_enough_for_the_second_path middle just_above_forcing low open short no_code beyond"
    warning = "plenty just_above_warning below_warning low open"
    return [
        Plan(
            "gear channel of Tern 30", "both decoders on raw pulses, settings as shipped, with signature", COMPLETE,
            CHANNEL,
            lambda: channel_network("tern30", shipped("tern30"), False), short=False,
        ),
        Plan(
            "gear channel of Curlew 24", "both decoders on raw pulses, settings as shipped", COMPLETE,
            CHANNEL,
            lambda: channel_network("curlew24", shipped("curlew24"), False), short=False,
        ),
        Plan(
            "gear channel with signature", "both decoders on raw pulses, shortest times, pulses at every edge",
            COMPLETE,
            CHANNEL, lambda: channel_network("marked", settings_with(SHORT_20, signature_channel=4)),
        ),
        Plan(
            "gear channel, runs of 10", "both decoders on raw pulses, shortest times, direction reversed", COMPLETE,
            CHANNEL,
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


def slopes():
    bounded = "bounded: every row of letters up to this many ticks"
    scaled = "complete for its letters, with spans of 60, 30 and 180 s scaled to a few seconds"
    return [
        Plan(
            "burst", "falls of pressure outside a stroke", bounded, ("SR-04",),
            lambda: burst_network("burst"), most_levels=7, limit="bounded", short=False,
        ),
        Plan(
            "burst, fewer ticks", "falls of pressure outside a stroke", bounded, ("SR-04",),
            lambda: burst_network("burst"), most_levels=6, limit="bounded",
        ),
        Plan(
            "air lost in the stroke", "falls of pressure from its first tick on", bounded, ("SR-04",),
            lambda: loss_network("loss"), most_levels=8, limit="bounded",
        ),
        Plan(
            "filling and leak", "second by second, any commands", scaled, ("SR-15", "SR-19"),
            lambda: slow_network("slow", settings_with()), limit="scaled", short=False,
        ),
        Plan(
            "filling and leak, fewer letters", "second by second, any commands", scaled, ("SR-15", "SR-19"),
            lambda: slow_network("slow", settings_with(), few=True), limit="scaled",
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
    return [*flights(), *halves(), *inputs(), *slopes(), *outputs()]
