"""Every variant in every phase: the list of cases, and what came of each."""

import functools

from host_sim.engines import make_engine
from host_sim.flight import Flight

from .base_flights import MIDDLE, PHASE_BY_NAME, PHASES, NoTrace, base_scenario
from .case import Case, Flown, fly_case
from .expected import Expected, Variant
from .judge import Judge
from .story import Story
from .variants import VARIANTS
from .watch import Watch, fly_on

SHORT_PHASES = ("take-off roll and lift-off", "retraction", "up and cruising", "extension")
SHORT_SLOW = "slow leak, 0.2 mm"
NOTHING_FAILED = Variant("none", "", (), {"curlew": Expected(), "tern": Expected()})


def phases_of(variant):
    """Phases that a variant is flown in."""
    if variant.before_flight:
        return (PHASE_BY_NAME["power-on, waking"],)
    if variant.phases:
        return tuple(PHASE_BY_NAME[name] for name in variant.phases)
    return tuple(phase for phase in PHASES if phase.kind != "long")


def cases_of(variant, once=False):
    """All cases of a variant; with `once` one onset a phase, in its middle."""
    for aircraft in variant.expected:
        for phase in phases_of(variant):
            onsets = (0,) if variant.before_flight else phase.onsets_ms(MIDDLE if once else variant.grid)
            for onset_ms in onsets:
                yield Case(variant, aircraft, phase.name, onset_ms)


def short_cases_of(index):
    """The short form of VARIANTS[index]: four phases, one aircraft where the same is expected of both, and the slow
    leak that ends in low air."""
    variant = VARIANTS[index]
    kept = tuple(variant.expected)
    if len({id(row) for row in variant.expected.values()}) == 1:
        kept = (kept[index % len(kept)],)
    for case in cases_of(variant, once=True):
        slow = variant.label == SHORT_SLOW
        if slow or case.aircraft in kept and (variant.before_flight or case.phase in SHORT_PHASES):
            yield case


@functools.cache
def base_words(aircraft, kind):
    """Alert words and refusals that a base flight shows when nothing fails."""
    scenario = base_scenario(aircraft, kind)
    flight, watch = Flight(scenario, make_engine("cpython"), NoTrace()), Watch(scenario.aircraft)
    flight.begin()
    watch.keep = True
    fly_on(flight, watch, flight.end_us)
    phase = next(phase.name for phase in PHASES if phase.kind == kind)
    story = Story(Flown(Case(NOTHING_FAILED, aircraft, phase, 0), watch, flight, False))
    return set(story.alert_ms) | story.refusals_seen


def judge_case(case):
    """judge.Verdict of a case."""
    return Judge(fly_case(case), base_words(case.aircraft, PHASE_BY_NAME[case.phase].kind)).verdict()


def all_variants(name=""):
    """Variants whose label contains a name."""
    return [variant for variant in VARIANTS if name in variant.label]
