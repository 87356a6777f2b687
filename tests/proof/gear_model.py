"""The mode logic under proof: its state, facts and observers as unknowns, its invariant, and its safety goals.

Observers are written from the requirement's text as z3 terms and share no code with the controller. `o` names them:
o_down   a run to DOWN was confirmed with a good link at or after the latest of reset, change to DOWN, refusal,
         release, use, and not-good link (SR-10)
o_settle ticks that the link has been good without a break since reset, up to what SR-01 asks
o_awake  the sequence of SR-01 has been completed since the latest reset or far too late tick
o_latch  per cause: it was present since the last release (SR-07)
o_away   ticks that every latched cause has been known absent without a break
o_hold   ticks, and o_frames frames, that valid frames have shown DOWN since then, link good throughout
"""

from types import SimpleNamespace

import z3

from controller.codes import (
    CAUSE_LATE,
    DOWN,
    HELD,
    LOCKED_OUT,
    MODE_DOWN,
    MODE_UP,
    N_CAUSES,
    REFUSAL_NONE,
    UP,
    WAKING,
)
from controller.facts import Facts
from controller.gear import Gear

from . import contracts
from .contracts import FOR_GOOD

COUNTERS = ("_settle", "_away", "_hold", "_hold_frames")
NEEDS = ("_settle_need", "_away_need", "_hold_need", "_frames_need")
PERMITS = (
    "settings_ok",
    "wiring_ok",
    "pressure_known",
    "sensors_agree",
    "air_ok",
    "not_charging",
    "supply_ok",
    "ground_clear",
    "leave",
)
FACT_FLAGS = ("link_good", "down_run", "up_done", *PERMITS)
ASSUMES = ["ticks", "channel rules", "switch", "facts"]


def unknowns():
    """All unknown integers and observer values, by name."""
    names = ["mode", "held", "armed", "refusal", *COUNTERS, *NEEDS, "frame", *FACT_FLAGS]
    names += [f"latched{c}" for c in range(N_CAUSES)]
    names += [f"present{c}" for c in range(N_CAUSES)] + [f"absent{c}" for c in range(N_CAUSES)]
    names += ["o_settle", "o_away", "o_hold", "o_frames"]
    values = {name: z3.Int(name) for name in names}
    for name in ("o_down", "o_awake", *[f"o_latch{c}" for c in range(N_CAUSES)]):
        values[name] = z3.Bool(name)
    return SimpleNamespace(**values)


def is_flag(value):
    return z3.And(value >= 0, value <= 1)


def each(holder, name):
    return [getattr(holder, f"{name}{c}") for c in range(N_CAUSES)]


def invariant(s):
    """What holds between ticks, of the gear's state and the observers. `s` has terms by name."""
    any_latched = z3.Or(*[value == 1 for value in each(s, "latched")])
    free = z3.Or(s.mode == MODE_DOWN, s.mode == MODE_UP)
    rules = [
        z3.And(s.mode >= WAKING, s.mode <= LOCKED_OUT),
        is_flag(s.held),
        is_flag(s.armed),
        *[is_flag(value) for value in each(s, "latched")],
        s.held == z3.If(any_latched, 1, 0),
        z3.Implies(free, s.held == 0),
        z3.Implies(s.mode == HELD, s.held == 1),
        z3.Implies(z3.And(s.latched6 == 1), z3.Or(s.mode == WAKING, s.mode == LOCKED_OUT)),
        *[
            z3.And(getattr(s, n) >= 0, getattr(s, n) <= getattr(s, need))
            for n, need in zip(COUNTERS, NEEDS, strict=True)
        ],
        # the strengthening: armed implies the switch was seen at DOWN, in mode "down"
        z3.Implies(s.armed == 1, z3.And(s.o_down, s.mode == MODE_DOWN)),
        z3.Implies(z3.And(s.mode != WAKING, s.mode != LOCKED_OUT), s.o_awake),
        z3.Implies(s.mode == WAKING, s._settle <= s.o_settle),
        s.o_settle >= 0,
        z3.Implies(s.mode == HELD, z3.And(s._away <= s.o_away, s._hold <= s.o_hold, s._hold_frames <= s.o_frames)),
        z3.Implies(s.mode == HELD, z3.Implies(s._away < s._away_need, z3.And(s._hold == 0, s._hold_frames == 0))),
        z3.Implies(z3.And(s.mode != HELD), z3.And(s._away == 0, s._hold == 0, s._hold_frames == 0)),
        z3.And(s.o_away >= 0, s.o_hold >= 0, s.o_frames >= 0),
        # an observer's latch is held: nothing was forgotten
        *[z3.Implies(seen, held == 1) for seen, held in zip(each(s, "o_latch"), each(s, "latched"), strict=True)],
        *[z3.Implies(held == 1, seen) for seen, held in zip(each(s, "o_latch"), each(s, "latched"), strict=True)],
    ]
    return z3.And(*rules)


def assumptions(s):
    """Settings that pass the checks, facts as facts.py makes them, and the invariant."""
    return [
        contracts.ticks(*[getattr(s, need) for need in NEEDS]),
        contracts.switch(s.frame, s.down_run, s.up_done),
        contracts.facts(each(s, "present"), each(s, "absent"), [getattr(s, name) for name in FACT_FLAGS]),
        invariant(s),
    ]


def build(explorer, s):
    """A Gear and Facts whose every field is unknown."""

    def unknown(name):
        return explorer.fresh(name)

    gear = Gear.__new__(Gear)
    for name in ("mode", "held", "armed", "refusal", *COUNTERS, *NEEDS):
        setattr(gear, name, unknown(name))
    gear.refused_now = 0
    gear.latched = [unknown(f"latched{c}") for c in range(N_CAUSES)]
    facts = Facts()
    for name in ("frame", *FACT_FLAGS):
        setattr(facts, name, unknown(name))
    facts.present = [unknown(f"present{c}") for c in range(N_CAUSES)]
    facts.absent = [unknown(f"absent{c}") for c in range(N_CAUSES)]
    return gear, facts


def with_facts(s, facts, term):
    """`s` with the facts of a larger run in the place of unknowns."""
    filled = SimpleNamespace(**vars(s))
    for name in ("frame", *FACT_FLAGS):
        setattr(filled, name, term(getattr(facts, name)))
    for c in range(N_CAUSES):
        setattr(filled, f"present{c}", term(facts.present[c]))
        setattr(filled, f"absent{c}", term(facts.absent[c]))
    return filled


def after(s, gear, command, term):
    """State after the tick, observers included, as terms by the same names."""
    n = SimpleNamespace(**vars(s))
    for name in ("mode", "held", "armed", "refusal", *COUNTERS):
        setattr(n, name, term(getattr(gear, name)))
    for c in range(N_CAUSES):
        setattr(n, f"latched{c}", term(gear.latched[c]))
    n.refused = term(gear.refused_now) == 1
    n.command = term(command)
    n.was_up = s.mode == MODE_UP
    n.went_up = z3.And(z3.Not(n.was_up), n.command == UP)
    n.went_down = z3.And(n.was_up, n.command == DOWN)
    _observe_sr01(s, n)
    _observe_sr07(s, n)
    _observe_sr10(s, n)
    return n


def _observe_sr01(s, n):
    good = s.link_good == 1
    late = s.present6 == 1
    settled = s.o_settle >= s._settle_need
    n.settled_before = settled
    # A far too late tick asks for the whole sequence again (SR-31).
    n.o_settle = z3.If(z3.And(good, z3.Not(late)), s.o_settle + 1, 0)
    completes = z3.And(good, z3.Not(late), settled, s.down_run == 1)
    n.o_awake = z3.And(z3.Not(late), z3.Or(s.o_awake, completes))


def _observe_sr07(s, n):
    latched = [z3.Or(seen, now == 1) for seen, now in zip(each(s, "o_latch"), each(s, "present"), strict=True)]
    all_away = z3.And(*[z3.Implies(is_l, gone == 1) for is_l, gone in zip(latched, each(s, "absent"), strict=True)])
    n.away_now = z3.If(all_away, s.o_away + 1, 0)
    shown = z3.And(all_away, s.link_good == 1, s.frame != UP, s.o_away >= s._away_need)
    n.hold_now = z3.If(shown, s.o_hold + 1, 0)
    n.frames_now = z3.If(shown, s.o_frames + z3.If(s.frame == DOWN, 1, 0), 0)
    late_done = z3.And(s.mode == WAKING, n.mode != WAKING)
    n.released = z3.And(s.mode == HELD, n.mode == MODE_DOWN)
    for c in range(N_CAUSES):
        kept = latched[c]
        if c == CAUSE_LATE:
            kept = z3.And(kept, z3.Not(late_done))
        kept = z3.And(kept, z3.Not(n.released))
        # Locked out holds DOWN by itself and latches nothing.
        setattr(n, f"o_latch{c}", z3.If(s.mode == LOCKED_OUT, getattr(s, f"o_latch{c}"), kept))
    in_hold = z3.And(n.mode == HELD, s.mode == HELD)
    n.o_away = z3.If(in_hold, n.away_now, 0)
    n.o_hold = z3.If(in_hold, n.hold_now, 0)
    n.o_frames = z3.If(in_hold, n.frames_now, 0)


def _observe_sr10(s, n):
    reset_by = z3.Or(s.link_good == 0, n.refused, n.went_down, n.released)
    kept = z3.And(s.o_down, z3.Not(reset_by))
    confirmed = z3.And(s.down_run == 1, s.link_good == 1)
    n.o_down = z3.And(z3.Or(kept, confirmed), z3.Not(n.went_up))


def goals(s, n):
    """{name: term}: what every tick has to satisfy, whatever the facts."""
    held_causes = [
        z3.Implies(z3.Or(getattr(s, f"o_latch{c}"), getattr(s, f"present{c}") == 1), n.command == DOWN)
        for c in range(N_CAUSES)
    ]
    return {
        "invariant is inductive": invariant(n),
        "contract: cause forces": contracts.cause_forces(n.command, each(s, "present"), s.down_run),
        "contract: begin needs": z3.Implies(n.went_up, contracts.begin_needs(s.leave, s.link_good)),
        "SR-01 UP only after the whole sequence": z3.Implies(n.command == UP, s.o_awake),
        "SR-01 waking ends only after link_settle and a run": z3.Implies(
            z3.And(s.mode == WAKING, n.mode != WAKING), z3.And(n.settled_before, s.down_run == 1, s.link_good == 1)
        ),
        "SR-02 UP begins only with every permit": z3.Implies(
            n.went_up, z3.And(*[getattr(s, name) == 1 for name in (*PERMITS, "link_good")])
        ),
        "SR-02 UP begins only with nothing latched": z3.Implies(
            n.went_up, z3.And(*[z3.Not(seen) for seen in each(s, "o_latch")])
        ),
        "SR-02 a move that is not followed shows a refusal": z3.Implies(
            z3.And(s.up_done == 1, n.command == DOWN, z3.Not(n.went_down)), n.refusal != REFUSAL_NONE
        ),
        "SR-02 a refusal shows until DOWN is seen": z3.Implies(
            z3.And(s.refusal != REFUSAL_NONE, s.down_run == 0), n.refusal != REFUSAL_NONE
        ),
        "SR-03 SR-04 SR-05 SR-06 SR-13 a cause gives DOWN in its tick, and while it is latched": z3.And(*held_causes),
        "SR-07 release only after recover_confirm and release_hold": z3.Implies(
            n.released,
            z3.And(
                s.o_away >= s._away_need,
                n.hold_now >= s._hold_need,
                n.frames_now >= s._frames_need,
                s.link_good == 1,
            ),
        ),
        "SR-07 what holds until power-off is never released": z3.And(
            *[z3.Implies(getattr(s, f"o_latch{c}"), getattr(n, f"latched{c}") == 1) for c in FOR_GOOD]
        ),
        "SR-07 release leaves DOWN": z3.Implies(n.released, n.command == DOWN),
        "SR-08 a run to DOWN gives DOWN": z3.Implies(s.down_run == 1, n.command == DOWN),
        "SR-10 UP begins only as a fresh move completes": z3.Implies(
            n.went_up, z3.And(s.up_done == 1, s.o_down, s.link_good == 1)
        ),
        "SR-16 UP begins only clear of the ground": z3.Implies(n.went_up, s.ground_clear == 1),
        "SR-32 locked out stays": z3.Implies(s.mode == LOCKED_OUT, z3.And(n.mode == LOCKED_OUT, n.command == DOWN)),
    }
