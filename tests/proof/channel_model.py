"""Proof of the gear channel, for every pulse, every state and every setting that passes the checks.

Both decoders, channels.py and second_inputs.py, run side by side on the same unknown inputs: that they agree in every
tick is what lets a sound mode logic begin an UP with the second path's leave (SR-11). Observers are z3 terms written
from the text: o_quiet ticks since the last valid frame; o_down, o_up valid frames in a row that agree, a gap of
`link_degraded` restarting those to UP only.
"""

from types import SimpleNamespace

import z3

from controller.channels import Frames, Link, Switch
from controller.codes import DOWN, GEAR, LINK_GOOD, LINK_LOST, POSITION_UNKNOWN, UP
from controller.frames import Inputs
from controller.second_inputs import RawSwitch

from . import contracts
from .symbolic import LIMIT, term

NAMES = (
    "state outage was_good silence recover position seen run "
    "zone good gaps downs ups shown quiet steady mark_age mark_ok age outside "
    "degraded recover_need force gaps_most frames low high up_high sig_low sig_high sig_age "
    "fresh width sig_fresh sig_width o_quiet o_down o_up"
).split()
# One unknown stands for both paths' copy of each time and setting.
ASSUMES = ["ticks", "link times", "channel rules", "equal times"]


def between(low, value, high):
    return z3.And(low <= value, value <= high)


def invariant(s):
    top = s.degraded + 1
    pair = z3.And(s.silence == top, s.quiet == s.degraded)
    link = [
        between(LINK_GOOD, s.state, LINK_LOST),
        between(0, s.was_good, 1),
        between(0, s.silence, top),
        between(0, s.outage, s.force),
        between(0, s.recover, s.recover_need),
        z3.Implies(s.state == LINK_GOOD, z3.And(s.outage == 0, s.recover == 0, s.silence < s.degraded)),
        z3.Implies(s.state == LINK_GOOD, s.was_good == 1),
        z3.Implies(z3.And(s.was_good == 1, s.outage >= s.force), s.state == LINK_LOST),
        z3.Implies(s.silence >= s.degraded, s.recover == 0),
    ]
    switch = [
        between(DOWN, s.position, POSITION_UNKNOWN),
        between(DOWN, s.seen, POSITION_UNKNOWN),
        z3.Implies(s.seen == POSITION_UNKNOWN, s.run == 0),
        z3.Implies(s.seen == DOWN, between(0, s.run, s.frames)),
        z3.Implies(s.seen == UP, between(0, s.run, s.frames + 1)),
        z3.Implies(z3.And(s.seen == DOWN, s.run == s.frames), s.position == DOWN),
        z3.Implies(z3.And(s.seen == UP, s.run == s.frames + 1), z3.And(s.position == UP, s.zone == UP)),
    ]
    same = [
        s.good == z3.If(s.state == LINK_GOOD, 1, 0),
        z3.Or(s.silence == s.quiet, pair),
        s.steady == s.recover,
        between(0, s.gaps, s.gaps_most),
        s.outage == z3.If(s.gaps < s.force, s.gaps, s.force),
        s.shown == s.zone,
        between(DOWN, s.zone, POSITION_UNKNOWN),
        z3.Or(s.zone == POSITION_UNKNOWN, s.zone == s.position),
        z3.Implies(s.silence >= s.degraded, s.zone == POSITION_UNKNOWN),
        s.downs == z3.If(s.seen == DOWN, s.run, 0),
        z3.Or(
            s.ups == z3.If(s.seen == UP, s.run, 0),
            # the mode logic's decoder marks a completed run at once, the other one with the next frame
            z3.And(s.seen == UP, s.run == s.frames + 1, s.ups == s.frames),
        ),
        s.age == s.mark_age,
        between(0, s.age, s.sig_age),
        s.outside == s.mark_ok,
        between(0, s.outside, 1),
        z3.Implies(s.age == s.sig_age, s.outside == 0),
    ]
    seen = [
        s.o_quiet >= 0,
        s.o_down >= 0,
        s.o_up >= 0,
        z3.Implies(s.seen == DOWN, z3.And(s.o_up == 0, s.run == z3.If(s.o_down < s.frames, s.o_down, s.frames))),
        z3.Implies(s.seen == UP, z3.And(s.o_down == 0, s.run == z3.If(s.o_up < s.frames, s.o_up, s.frames + 1))),
        z3.Implies(s.seen == POSITION_UNKNOWN, z3.And(s.o_down == 0, s.o_up == 0)),
        z3.Implies(z3.And(s.seen == UP, s.silence >= s.degraded), s.run == 0),
        z3.Implies(pair, z3.And(s.seen == POSITION_UNKNOWN, s.was_good == 0)),
        z3.Implies(s.seen == POSITION_UNKNOWN, s.position == POSITION_UNKNOWN),
        # from power-on to the first frame nothing is known of the silence before
        z3.Or(
            s.o_quiet == s.silence,
            z3.And(s.silence == top, s.o_quiet >= top),
            z3.And(s.silence == top, s.seen == POSITION_UNKNOWN, s.was_good == 0),
        ),
        z3.Implies(s.was_good == 0, s.state == LINK_LOST),
        # the timer has counted at least the silence that goes on
        z3.Implies(
            z3.And(s.o_quiet >= s.degraded, s.was_good == 1),
            s.outage >= z3.If(s.o_quiet < s.force, s.o_quiet, s.force),
        ),
    ]
    return z3.And(*link, *switch, *same, *seen)


def unknowns():
    return SimpleNamespace(**{name: z3.Int(name) for name in NAMES})


def assumptions(s):
    return [
        contracts.ticks(s.recover_need, s.sig_age),
        contracts.link_times(s.degraded, s.force, s.gaps_most),
        contracts.channel_rules(s.low, s.high, s.frames),
        between(0, s.up_high, 1),
        between(800, s.sig_low, 2200),
        between(800, s.sig_high, 2200),
        # What a board may hand over: any integer.
        *[between(-LIMIT + 1, v, LIMIT - 1) for v in (s.fresh, s.width, s.sig_fresh, s.sig_width)],
        invariant(s),
    ]


def build(proof, s, channel):
    """Both decoders with every field unknown, and the raw inputs."""

    def unknown(name):
        return proof.explorer.fresh(name)

    frames = Frames.__new__(Frames)
    frames.valid = 0
    frames._channel = channel
    frames._low_us, frames._high_us, frames._age_need = unknown("sig_low"), unknown("sig_high"), unknown("sig_age")
    frames._age, frames._outside = unknown("age"), unknown("outside")
    link = Link.__new__(Link)
    link.broke = 0
    link.state, link.outage, link.was_good = unknown("state"), unknown("outage"), unknown("was_good")
    link._silence, link._recover = unknown("silence"), unknown("recover")
    link._degraded, link._need, link._force = unknown("degraded"), unknown("recover_need"), unknown("force")
    switch = Switch.__new__(Switch)
    switch.frame, switch.down_run, switch.up_done = POSITION_UNKNOWN, 0, 0
    switch.position, switch._seen, switch._run = unknown("position"), unknown("seen"), unknown("run")
    switch._zone = unknown("zone")
    switch._need, switch._low_us, switch._high_us = unknown("frames"), unknown("low"), unknown("high")
    switch._up_high = unknown("up_high")
    raw = RawSwitch.__new__(RawSwitch)
    raw.shown_down, raw.moved_up = 0, 0
    raw._s = SimpleNamespace(
        switch_frames=unknown("frames"),
        gear_low_us=unknown("low"),
        gear_high_us=unknown("high"),
        gear_up_high=unknown("up_high"),
        signature_channel=channel,
        signature_low_us=unknown("sig_low"),
        signature_high_us=unknown("sig_high"),
    )
    raw.good, raw.gaps, raw._downs, raw._ups = unknown("good"), unknown("gaps"), unknown("downs"), unknown("ups")
    raw._shown, raw._quiet, raw._steady = unknown("shown"), unknown("quiet"), unknown("steady")
    raw._mark_age, raw._mark_ok, raw._mark_need = unknown("mark_age"), unknown("mark_ok"), unknown("sig_age")
    raw._gap_need, raw._steady_need, raw._gaps_most = unknown("degraded"), unknown("recover_need"), unknown("gaps_most")
    inputs = Inputs()
    inputs.fresh[GEAR], inputs.pulse_us[GEAR] = unknown("fresh"), unknown("width")
    if channel:
        inputs.fresh[channel], inputs.pulse_us[channel] = unknown("sig_fresh"), unknown("sig_width")
    return frames, link, switch, raw, inputs


def after(s, frames, link, switch, raw):
    n = SimpleNamespace(**vars(s))
    n.state, n.outage, n.was_good = term(link.state), term(link.outage), term(link.was_good)
    n.silence, n.recover = term(link._silence), term(link._recover)
    n.position, n.seen, n.run = term(switch.position), term(switch._seen), term(switch._run)
    n.zone = term(switch._zone)
    n.good, n.gaps, n.downs, n.ups = term(raw.good), term(raw.gaps), term(raw._downs), term(raw._ups)
    n.shown, n.quiet, n.steady = term(raw._shown), term(raw._quiet), term(raw._steady)
    n.mark_age, n.mark_ok = term(raw._mark_age), term(raw._mark_ok)
    n.age, n.outside = term(frames._age), term(frames._outside)
    n.valid = term(frames.valid)
    n.frame = term(switch.frame)
    n.pairs = [(term(switch.down_run), term(raw.shown_down)), (term(switch.up_done), term(raw.moved_up))]
    # The observers, from the text.
    low_side = z3.If(s.up_high == 1, DOWN, UP)
    high_side = 1 - low_side
    side = z3.If(s.width <= s.low, low_side, z3.If(s.width >= s.high, high_side, s.zone))
    n.shows = z3.If(n.valid == 1, side, POSITION_UNKNOWN)
    n.o_quiet = z3.If(n.valid == 1, 0, s.o_quiet + 1)
    gap = n.o_quiet >= s.degraded
    n.o_down = z3.If(n.shows == DOWN, s.o_down + 1, z3.If(n.shows == UP, 0, s.o_down))
    n.o_up = z3.If(n.shows == UP, s.o_up + 1, z3.If(z3.Or(n.shows == DOWN, gap), 0, s.o_up))
    return n


def goals(s, n, channel):
    (down_run, shown_down), (up_done, moved_up) = n.pairs
    wide_enough = z3.And(s.fresh == 1, s.width >= 800, s.width <= 2200)
    named = {
        "invariant is inductive": invariant(n),
        "SR-11 both paths see the same runs": z3.And(down_run == shown_down, up_done == moved_up),
        "SR-08 SR-09 a run to DOWN is that many frames that agree": (down_run == 1)
        == z3.And(n.shows == DOWN, n.o_down >= s.frames),
        "SR-09 a run to UP is that many frames without a gap": (up_done == 1)
        == z3.And(n.shows == UP, n.o_up == s.frames),
        "contract: switch": contracts.switch(n.frame, down_run, up_done),
        "contract: raw switch": contracts.raw_switch(n.good, shown_down, moved_up),
        "contract: lockstep, switch": z3.Implies(
            n.was_good == 1,
            contracts.lockstep_switch(
                n.state, n.outage, s.force, down_run, up_done, n.good, n.gaps, shown_down, moved_up
            ),
        ),
        "contract: was good stays": contracts.was_good_stays(s.was_good, n.was_good),
        "contract: link state": contracts.link_state(n.state, n.was_good),
        "frame": z3.And(n.frame == n.shows, z3.Implies(n.valid == 1, wide_enough)),
        "SR-06 silence of link_force is a loss": z3.Implies(
            z3.And(n.o_quiet >= s.force, s.was_good == 1), n.state == LINK_LOST
        ),
        "SR-06 only a frame makes the link good": z3.Implies(
            z3.And(s.state != LINK_GOOD, n.state == LINK_GOOD), n.valid == 1
        ),
        "SR-06 the timer never falls but by a good link": z3.Or(n.outage >= s.outage, n.state == LINK_GOOD),
        "SR-17 a gap of link_degraded is never a good link": z3.Implies(n.o_quiet >= s.degraded, n.state != LINK_GOOD),
    }
    if channel == 0:
        named["a frame of the right width is valid"] = (n.valid == 1) == wide_enough
    else:
        marked = z3.And(s.sig_fresh == 1, s.sig_width >= 800, s.sig_width <= 2200)
        inside = z3.And(marked, s.sig_width >= s.sig_low, s.sig_width <= s.sig_high)
        named["SR-06 a signature frame is invalid from the first one on"] = z3.Implies(inside, n.valid == 0)
        named["SR-06 a frame with a good companion is valid"] = z3.Implies(
            z3.And(marked, z3.Not(inside), wide_enough), n.valid == 1
        )
    return named
