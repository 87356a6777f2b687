"""strokes.py for one and two sensors, any slopes and any settings that pass (SR-04, SR-05, SR-15, SR-34).

With one sensor everything is the source's own; with two, what each of them says is replaced by any function whatever,
since the one-sensor proof has shown what that is, and the rule between the two is proved.
"""

from contextlib import ExitStack

import z3

from controller.codes import UP, YES

from . import contracts
from .proving import Proof, replaced
from .strokes_model import SAMPLES, Strokes, StrokesModel
from .symbolic import term

ASSUMES = ["ticks", "drops", "air rules", "slope", "window", "readings"]


def prove_strokes(count):
    model = StrokesModel(count, any_facts=count > 1)
    proof = Proof(f"strokes: {count} sensor{'s' * (count > 1)}", model.assumptions(), model.merges(), ASSUMES)

    def step():
        path, arguments, sensors = model.build(proof.explorer)
        with ExitStack() as stack:
            for name, function in model.replacements(proof.explorer):
                stack.enter_context(replaced(Strokes, name, function))
            path.step(*arguments)
        return path, sensors

    def goals(outcome):
        path, sensors = outcome
        s, n = model.s, model.after(path)
        brakes_away = n.o_brake >= s.brake_settle_ticks
        restarted = z3.And(*[term(slope.window.restarted) == 1 for slope in path._slopes])
        begun = z3.And(*[term(slope.begun) == 1 for slope in path._slopes])
        return {
            "invariant is inductive": model.invariant(n),
            "contract: stroke flags": contracts.stroke_flags(
                n.in_progress, term(path.burst_now), term(path.loss_now), n.too_cheap
            ),
            "contract: costs": z3.And(*[contracts.cost(term(sensor.expected)) for sensor in sensors]),
            "SR-04 (a) a burst is three samples of a mean fall that would soon reach the lock minimum": n.burst_now
            == z3.And(n.burst_fact == YES, n.o_burst >= SAMPLES),
            "SR-04 (a) only with UP, outside a stroke, 0.6 s after the brakes moved": z3.Implies(
                n.burst_now, z3.And(s.command == UP, n.o_since >= s.stroke_ticks, brakes_away)
            ),
            "SR-04 (a) no window reaches back into a stroke": z3.Implies(n.in_progress == 1, restarted),
            "SR-04 (b) a loss is three samples of a fall beyond what a retraction costs": n.loss_now
            == z3.And(n.loss_fact == YES, n.o_loss >= SAMPLES),
            "SR-04 (b) only with UP, in the stroke": z3.Implies(
                n.loss_now, z3.And(s.command == UP, n.o_since < s.stroke_ticks)
            ),
            "SR-04 a change of command begins a stroke for every sensor": n.changed == begun,
            "SR-09 one sample is neither burst nor loss": z3.And(
                z3.Implies(s.o_burst < SAMPLES - 1, z3.Not(n.burst_now)),
                z3.Implies(s.o_loss < SAMPLES - 1, z3.Not(n.loss_now)),
            ),
            "SR-05 only a whole stroke from a settled end judges a sensor frozen": z3.And(
                *[
                    z3.Implies(term(sensor.judged) == 1, z3.And(s.from_settled == 1, n.o_since == s.stroke_ticks))
                    for sensor in sensors
                ]
            ),
            "SR-15 too cheap only after a whole stroke without brakes": z3.Implies(
                z3.And(n.too_cheap == 1, s.too_cheap == 0), z3.And(s.from_settled == 1, n.braked == 0)
            ),
        }

    return proof.run(step, goals)
