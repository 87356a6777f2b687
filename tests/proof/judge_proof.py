"""The judge of facts.py, for any readings, any timers and any times: what its flags mean, and what the mode logic's
proof takes from it (SR-02, 03, 05, 06, 07, 11, 13, 16, 17)."""

from types import SimpleNamespace

import z3

from controller.codes import SETTINGS_GOOD, SETTINGS_ONE_COPY, VALVE_INVALID, VALVE_SPRING
from controller.facts import Judge

from . import contracts
from .judge_model import JudgeModel, meaning_goals
from .proving import Proof
from .symbolic import LIMIT, term


def merges():
    return [(Judge, "_link"), (Judge, "_air_facts"), (Judge, "_supply_facts"), (Judge, "step")]


def prove_judge():
    model = JudgeModel()
    assumes = ["ticks", "switch", "link state", "readings", "stroke flags", "ground", "lateness", "leave"]
    proof = Proof("judge", [*model.inputs, *model.link_and_switch, *model.state], merges(), assumes)

    def step():
        judge, parts = model.build(proof.explorer)
        judge.step(*parts.values())
        return judge

    def goals(judge):
        n = model.after(judge)
        return {
            "invariant is inductive": model.invariant(judge, n),
            "contract: facts": contracts.facts(n.present, n.absent, n.others.values()),
            **meaning_goals(model, n),
        }

    return proof.run(step, goals)


def prove_judge_at_boot():
    """SR-30, SR-18: the constructor's two permits, for any state of settings and any kind of valve."""
    state, kind = z3.Int("state"), z3.Int("kind")
    times = [z3.Int(name) for name in ("low", "force", "supply", "heal", "permit")]
    proof = Proof(
        "judge: at boot",
        [
            contracts.ticks(*times),
            contracts.within(10, z3.Int("tick_ms"), 50),
            *[contracts.within(-LIMIT + 1, value, LIMIT - 1) for value in (state, kind)],
        ],
        assumes=["ticks"],
    )

    def step():
        fresh = proof.explorer.fresh
        limits = SimpleNamespace(
            low_ticks=fresh("low"),
            sensor_force_ticks=fresh("force"),
            supply_ticks=fresh("supply"),
            heal_ticks=fresh("heal"),
            permit_ticks=fresh("permit"),
            tick_ms=fresh("tick_ms"),
        )
        return Judge(SimpleNamespace(), limits, fresh("state"), fresh("kind"))

    def goals(judge):
        usable = z3.Or(state == SETTINGS_GOOD, state == SETTINGS_ONE_COPY)
        counts = (
            judge._low.count,
            judge._pressure.count,
            judge._supply.count,
            judge._air.count,
            judge._supply_ok.count,
        )
        return {
            "SR-30 settings permit only when one copy is valid": (term(judge.facts.settings_ok) == 1) == usable,
            "SR-18 wiring permits only with a valid record": (term(judge.facts.wiring_ok) == 1)
            == (kind != VALVE_INVALID),
            "SR-13 a driven valve gets 200 ms or less of low supply": z3.Implies(
                kind != VALVE_SPRING,
                z3.Or(term(judge._supply.need) * z3.Int("tick_ms") <= 200, term(judge._supply.need) == 2),
            ),
            "SR-13 never more than the time that was set": z3.And(
                term(judge._supply.need) <= times[2], term(judge._supply.need) >= 2
            ),
            "timers begin at nothing": z3.And(*[term(count) == 0 for count in counts]),
        }

    return proof.run(step, goals)
