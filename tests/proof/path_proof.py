"""The mode logic's whole path in one tick, from pulses to the output, with the second path replaced by any function
whatever (SR-10): channels.py, facts.py, gear.py and the last word of interlock.py as they are, one after the other.

r_down is written from SR-10 over pulses and output: DOWN was shown by a run with a good link at or after the latest of
reset, change of the output to DOWN, refusal, release, use and degraded link. The parts' own invariants are assumed here
and proved in their proofs; that mode and output say the same is proved here.
"""

import z3

from controller.codes import DOWN, GEAR, LINK_GOOD, MODE_UP, UP
from controller.facts import Judge
from controller.interlock import Interlock

from . import channel_model, contracts, gear_model
from .channel_model import Frames, Link, Switch
from .judge_model import JudgeModel
from .proving import Proof
from .symbolic import term

ASSUMES = [*channel_model.ASSUMES, *gear_model.ASSUMES, "readings", "stroke flags", "filling", "ground", "lateness"]


def merges():
    return [
        (Frames, "step"),
        (Link, "step"),
        (Switch, "step"),
        *[(Judge, name) for name in ("_link", "_air_facts", "_supply_facts", "step")],
        *[(gear_model.Gear, name) for name in ("_first_refusal", "_refuse_move", "_watch_hold", "_arm", "step")],
        (Interlock, "gate"),
    ]


class Part:
    """Unknowns of the three parts, and what ties them."""

    def __init__(self):
        self.channel = channel_model.unknowns()
        self.gear = gear_model.unknowns()
        self.judge = JudgeModel()
        self.out, self.r_down, self.leave = z3.Int("out"), z3.Bool("r_down"), z3.Int("free_leave")

    def assumptions(self):
        g = self.gear
        return [
            *channel_model.assumptions(self.channel),
            contracts.ticks(*[getattr(g, need) for need in gear_model.NEEDS]),
            gear_model.invariant(g),
            *self.judge.inputs,
            *self.judge.state,
            contracts.flags(self.out, self.leave),
            self.judge.s.command == self.out,
            self.tie(g.mode, self.out, self.r_down, g.o_down),
        ]

    def tie(self, mode, out, r_down, o_down):
        return z3.And((mode == MODE_UP) == (out == UP), r_down == o_down)


def prove_mode_logic_alone(channel):
    part = Part()
    proof = Proof(f"mode logic alone: signature on {channel}", part.assumptions(), merges(), ASSUMES)

    def step():
        explorer = proof.explorer
        frames, link, switch, raw, inputs = channel_model.build(proof, part.channel, channel)
        frames.step(inputs)
        link.step(frames.valid)
        switch.step(frames.valid, link.broke, inputs.pulse_us[GEAR])
        leave = explorer.fresh("free_leave")
        judge, parts = part.judge.build(explorer, link=link, switch=switch, leave=leave, command=explorer.fresh("out"))
        judge.step(*parts.values())
        gear, _ = gear_model.build(explorer, part.gear)
        wanted = gear.step(judge.facts)
        second = Interlock.__new__(Interlock)
        second.leave = leave
        output = term(second.gate(wanted))
        return (frames, link, switch, raw), judge, gear, term(wanted), output

    def goals(outcome):
        channel_parts, judge, gear, wanted, output = outcome
        n = channel_model.after(part.channel, *channel_parts)
        s = gear_model.with_facts(part.gear, judge.facts, term)
        g = gear_model.after(s, gear, wanted, term)
        good = n.state == LINK_GOOD
        shown_down = z3.And(n.shows == DOWN, n.o_down >= part.channel.frames)
        shown_up = z3.And(n.shows == UP, n.o_up == part.channel.frames)
        went_up = z3.And(part.out == DOWN, output == UP)
        went_down = z3.And(part.out == UP, output == DOWN)
        kept = z3.And(part.r_down, good, z3.Not(z3.Or(went_down, g.refused, g.released)))
        r_down = z3.And(z3.Or(kept, z3.And(shown_down, good)), z3.Not(went_up))
        return {
            "invariant is inductive": part.tie(g.mode, output, r_down, g.o_down),
            "SR-10 the output goes to UP only as a fresh move completes, whatever the second path says": z3.Implies(
                went_up, z3.And(shown_up, part.r_down, good)
            ),
            "SR-08 a run to DOWN gives DOWN in its tick": z3.Implies(shown_down, output == DOWN),
            "SR-11 the second path only ever turns UP into DOWN": z3.Implies(output == UP, wanted == UP),
            "SR-09 one frame that differs changes nothing": z3.Implies(
                output != part.out, z3.Or(shown_up, shown_down, g.held == 1, g.mode == 0, g.mode == 4)
            ),
            "SR-01 the output is UP only after the whole sequence": z3.Implies(output == UP, part.gear.o_awake),
        }

    return proof.run(step, goals)
