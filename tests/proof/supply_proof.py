"""The supply voltage in tick.py, for any code and any settings in range (SR-13, SR-34)."""

from types import SimpleNamespace

import z3

from controller.frames import ABSENT
from controller.tick import Controller

from .contracts import flags, within
from .proving import Proof
from .symbolic import LIMIT, PRODUCT, term


def prove_supply():
    fitted, full_mv, counts = z3.Int("fitted"), z3.Int("full_mv"), z3.Int("counts")
    proof = Proof(
        "supply",
        [flags(fitted), within(3300, full_mv, 40000), within(-LIMIT + 1, counts, LIMIT - 1)],
    )

    def step():
        fresh = proof.explorer.fresh
        controller = Controller.__new__(Controller)
        controller.settings = SimpleNamespace(supply_fitted=fresh("fitted"), supply_full_mv=fresh("full_mv"))
        controller._measure_supply(fresh("counts"))
        return term(controller.supply_mv)

    def goals(supply_mv):
        known = within(0, counts, 4095)
        return {
            "SR-13 what is not fitted is absent, what is out of range no voltage": z3.If(
                fitted == 0,
                supply_mv == ABSENT,
                supply_mv == z3.If(known, PRODUCT(counts, full_mv) / 4095, 0),
            ),
            "SR-13 a voltage is never below nothing nor above the full one": z3.Implies(
                fitted == 1, within(0, supply_mv, full_mv)
            ),
        }

    return proof.run(step, goals)
