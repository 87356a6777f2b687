"""sensor.py and the second path's reading of the same sensor side by side, for any code, any rail, any calibration."""

from types import SimpleNamespace

import z3

from controller.sensor import Sensor

from . import contracts
from .contracts import MOST_MBAR, flags, within
from .proving import Proof
from .sensor_model import SensorModel, sample_goals
from .symbolic import term


def prove_sensor():
    model = SensorModel("s")
    proof = Proof("sensor", model.assumptions(), model.merges(), ["ticks", "sensor rules"])

    def step():
        rail = model.build_rail(proof.explorer)
        mine, raw, counts = model.build(proof.explorer)
        rail_counts = proof.explorer.fresh("s_rail_counts")
        rail.step(rail_counts)
        mine.step(counts, rail)
        raw.step(counts, rail_counts)
        return model.after(mine, raw, rail), mine

    def goals(outcome):
        n, mine = outcome
        return {
            "invariant is inductive": z3.And(model.invariant(n), model.confirm.tied(mine._confirm, n.yes, n.no)),
            "contract: sensor": contracts.sensor(n.mbar, n.ready, n.failed),
            "contract: lockstep, sensor": contracts.lockstep_sensor(n.mbar, n.ready, n.bad, n.known, n.raw_mbar),
            "contract: failed": (n.failed == 1) == (n.yes >= model.confirm.need),
            "contract: raw sensor": contracts.raw_sensor(n.known, n.bad, n.raw_mbar),
            **sample_goals(model, n),
        }

    return proof.run(step, goals)


def prove_frozen():
    """The verdict on a stroke's span, and its forgetting at the next one's begin."""
    s = SimpleNamespace(**{name: z3.Int(name) for name in "raw_low raw_high frozen code expected".split()})
    proof = Proof(
        "sensor: frozen",
        [
            *[within(0, value, 4095) for value in (s.raw_low, s.raw_high)],
            flags(s.frozen),
            within(1, s.code, 512),
            within(-MOST_MBAR, s.expected, MOST_MBAR),
        ],
        assumes=["costs", "code"],
    )

    def step():
        fresh = proof.explorer.fresh
        sensor = Sensor.__new__(Sensor)
        sensor.raw_low, sensor.raw_high, sensor.frozen = fresh("raw_low"), fresh("raw_high"), fresh("frozen")
        sensor.code_mbar_x16 = fresh("code")
        sensor.judge_span(fresh("expected"))
        verdict = term(sensor.frozen)
        sensor.watch_span()
        return verdict, sensor

    def goals(outcome):
        verdict, sensor = outcome
        seen, span = s.raw_high >= s.raw_low, s.raw_high - s.raw_low
        due = s.expected * 16 >= 8 * s.code
        still = z3.If(due, 1, s.frozen)
        return {
            "SR-05 frozen is 2 codes or less where 8 were due, until a stroke moves it": verdict
            == z3.If(seen, z3.If(span > 2, 0, still), s.frozen),
            "SR-05 a stroke begins with no span": z3.And(term(sensor.raw_low) == 4095, term(sensor.raw_high) == 0),
        }

    return proof.run(step, goals)
