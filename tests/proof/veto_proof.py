"""A sound mode logic is never vetoed after begin (SR-11): the second path's leave ends by itself only in a tick in which
the mode logic has a cause of its own. Unconditional: for any readings, any stutter, any frozen sensor, one or two.

The argument, as an invariant: what the second path counts towards low air the mode logic has counted at least as often,
and what the mode logic forgets the second path has forgotten; blindness counts at most the ticks until the sensors are
failed plus those that the mode logic has counted since; and the second path needs one and a half times as many.
"""

import z3

from controller.codes import CAUSE_SECOND_PATH, DOWN, N_CAUSES, UP
from controller.facts import Judge
from controller.interlock import Interlock
from controller.pressure import Pressure

from . import contracts
from .proving import Proof
from .symbolic import term
from .veto_model import VetoModel

ASSUMES = [
    "ticks", "second times", "half more", "equal times", "link times", "air rules", "switch", "link state", "sensor",
    "lockstep, switch", "lockstep, sensor", "failed", "cause forces", "begin needs", "was good stays",
    "raw switch", "stroke flags", "filling", "ground", "lateness",
]  # fmt: skip


def merges():
    names = ("_watch_ground", "_weigh_begin", "_weigh_end", "_count_seen", "step", "gate")
    return [
        *[(Interlock, name) for name in names],
        *[(Pressure, name) for name in ("_govern", "_doubt", "_gap_fact", "_smooth", "step")],
        *[(Pressure, name) for name in ("below", "at_least")],
        *[(Judge, name) for name in ("_link", "_air_facts", "_supply_facts", "step")],
    ]


def prove_never_vetoed(count):
    model = VetoModel(count)
    proof = Proof(f"never vetoed: {count} sensor{'s' * (count > 1)}", model.assumptions(), merges(), ASSUMES)

    def step():
        explorer = proof.explorer
        path, pressure, inputs = model.build(explorer)
        path.step(inputs)
        leave = path.leave
        pressure.step(inputs)
        judge, parts = model.judge.build(explorer, pressure=pressure, leave=leave, command=explorer.fresh("v_out"))
        judge.step(*parts.values())
        wanted = explorer.fresh("v_wanted")
        output = term(path.gate(wanted))
        return path, judge, pressure, output, leave

    def goals(outcome):
        path, judge, pressure, output, leave = outcome
        s, j = model.s, model.judge
        for name in ("read", "lost", "mbar", "disagree", "doubted", "doubted_mbar"):
            setattr(j.s, name, term(getattr(pressure, name)))
        j.s.leave = term(leave)
        judged = j.after(judge)
        present = judged.present
        others = z3.Or(*[present[cause] == 1 for cause in range(N_CAUSES) if cause != CAUSE_SECOND_PATH])
        sound = contracts.cause_forces(s.wanted, present, j.s.down_run)
        begins = z3.Implies(
            z3.And(s.out == DOWN, s.wanted == UP),
            contracts.begin_needs(judged.others["leave"], judged.others["link_good"]),
        )
        return {
            "invariant is inductive": z3.Implies(
                z3.And(sound, begins), model.invariant(*model.after(path, judged, output))
            ),
            "the mode logic's timers are as they are proved": model.judge.invariant(judge, judged),
            "SR-11 no veto after begin without a cause of the mode logic's own": z3.Implies(
                z3.And(s.out == UP, present[CAUSE_SECOND_PATH] == 1), others
            ),
            "SR-11 the output is the mode logic's word after begin": z3.Implies(
                z3.And(sound, s.out == UP, s.wanted == UP), output == UP
            ),
        }

    return proof.run(step, goals)
