"""Ranges, cross-checks and everything derived from settings at boot, for any settings (SR-30, SR-34).

What other proofs take as times, ratios and thresholds is what these constructors make of settings that pass. Times are
proved with the air's ratios replaced by any numbers, ratios with the times replaced by any numbers: neither uses the
other.
"""

import z3

from controller import checks, interlock, limits, second_inputs, valve
from controller.codes import VALVE_TWO_COIL
from controller.levers import Lever
from controller.limits import Limits
from controller.settings import FIELDS, HIGH, LOW, NAME, range_fault

from . import contracts
from .contracts import within
from .proving import Proof, replaced
from .settings_model import ranges, rule_merges, rules, settings
from .symbolic import LIMIT, term


def prove_ranges():
    proof = Proof("settings: ranges", [within(-LIMIT + 1, z3.Int(row[NAME]), LIMIT - 1) for row in FIELDS])
    beyond = [z3.Or(z3.Int(row[NAME]) < row[LOW], z3.Int(row[NAME]) > row[HIGH]) for row in FIELDS]

    def step():
        return range_fault(settings(proof.explorer))

    def goals(fault):
        expected = z3.Not(z3.Or(*beyond)) if fault < 0 else beyond[fault]
        return {"SR-30 the range check passes what is in range, and names a row that is not": expected}

    return proof.run(step, goals)


def prove_rules():
    """Settings in range that break no rule have what the others rely on."""
    proof = Proof("settings: rules", ranges(), rule_merges())

    def step():
        return term(checks.first_fault(settings(proof.explorer)))

    def goals(fault):
        named = {f"contract: {name}": z3.Implies(fault == 0, rule) for name, rule in rules().items()}
        named["SR-30 the answer is the number of a rule"] = within(0, fault, checks.N_RULES - 1)
        return named

    return proof.run(step, goals)


def prove_times():
    """For each length of a tick."""
    # What the ratios can be is proved below.
    any_air = [within(0, z3.Int("any_ratio"), 5000), within(-11900, z3.Int("any_drop"), 11900)]
    merge = [
        *[(module, name) for module in (limits, valve) for name in ("ticks_down", "ticks_up")],
        *[(module, "at_least_two") for module in (second_inputs, interlock)],
    ]
    proof = Proof("settings: times", [*ranges(), *rules().values(), *any_air], merge, [*rules(), "drops"])
    fresh = proof.explorer.fresh

    def step():
        s = settings(proof.explorer)
        for tick_ms in range(10, 51):
            if s.tick_ms == tick_ms:
                s.tick_ms = tick_ms
                break
        any_ratio = replaced(limits, "ratio_of_tank", lambda *_: fresh("any_ratio"))
        with any_ratio, replaced(limits, "adiabatic_drop_mbar", lambda *_: fresh("any_drop")):
            derived = Limits(s)
        return s, derived, interlock.Interlock(s, 0), valve.Valve(s, VALVE_TWO_COIL, 1000, 2000)

    return proof.run(step, lambda outcome: time_goals(*outcome))


def time_goals(s, derived, second, coils):
    t = {name: term(value) for name, value in vars(derived).items()}
    switch = second._switch
    mine = {name: term(getattr(second, name)) for name in ("_ground_need", "_away_need", "_gaps_need", "_low_need")}
    halves = [(mine["_low_need"], t["low_ticks"]), (mine["_gaps_need"], t["link_force_ticks"])]
    blind = t["sensor_ticks"] + t["sensor_force_ticks"]
    return {
        "contract: ticks": contracts.ticks(*[value for name, value in t.items() if name.endswith("_ticks")]),
        "contract: link times": contracts.link_times(
            t["link_degraded_ticks"], t["link_force_ticks"], mine["_gaps_need"]
        ),
        "contract: equal times": z3.And(
            term(switch._gap_need) == t["link_degraded_ticks"],
            term(switch._steady_need) == t["link_recover_ticks"],
            term(switch._mark_need) == t["signature_age_ticks"],
            term(switch._gaps_most) == mine["_gaps_need"],
            mine["_away_need"] == t["heal_ticks"],
            mine["_ground_need"] == t["ground_ticks"],
        ),
        "contract: second times": contracts.second_times(*mine.values(), term(second._blind_need)),
        "contract: half more": z3.And(
            *[z3.And(2 * half >= 3 * whole, 2 * half <= 3 * whole + 1) for half, whole in halves],
            2 * term(second._blind_need) >= 3 * blind,
            2 * term(second._blind_need) <= 3 * blind + 2,
        ),
        "contract: coil times": contracts.coil_times(
            term(coils._pulse_need), term(coils._dead_need), term(coils._repeat_need)
        ),
        "SR-18 the dead time is 20 ms or more": term(coils._dead_need) * s.tick_ms >= 20,
        "SR-03 SR-05 SR-06 SR-13 times that force are not rounded up": z3.And(
            *[
                z3.Or(t[f"{name}_ticks"] * s.tick_ms <= term(getattr(s, f"{name}_ms")), t[f"{name}_ticks"] == 2)
                for name in FORCING
            ]
        ),
        "SR-01 SR-02 SR-07 SR-16 SR-17 times that permit or release are not rounded down": z3.And(
            *[t[f"{mine}_ticks"] * s.tick_ms >= term(getattr(s, f"{name}_ms")) for mine, name in PERMITTING.items()]
        ),
    }


FORCING = ("sensor_force", "link_degraded", "link_force")
PERMITTING = {
    "permit": "permit_confirm",
    "heal": "heal",
    "recover": "recover",
    "release": "release_hold",
    "link_recover": "link_recover",
    "link_settle": "link_settle",
    "ground": "ground_clear",
}


def prove_ratios():
    names = [(limits, "ratio_of_tank"), (limits, "adiabatic_drop_mbar")]
    proof = Proof("settings: ratios", [*ranges(), *rules().values()], names, assumes=list(rules()))
    fresh = proof.explorer.fresh

    def step():
        s = settings(proof.explorer)
        down = replaced(limits, "ticks_down", lambda *_: fresh("any_ticks"))
        with down, replaced(limits, "ticks_up", lambda *_: fresh("any_ticks")):
            derived = Limits(s)
            levers = [
                Lever(1, 1, s.throttle_idle_us, s.throttle_full_us, derived),
                Lever(2, 1, s.brake_off_us, s.brake_full_us, derived),
                Lever(3, 1, s.light_off_us, s.light_on_us, derived),
            ]
        return derived, levers

    def goals(outcome):
        derived, levers = outcome
        t = {name: term(value) for name, value in vars(derived).items()}
        ratios = [t[name] for name in ("retract_ratio", "retract_dead", "extend_ratio", "extend_dead")]
        return {
            "contract: drops": contracts.drops(ratios, t["charge_mbar"], t["deadband_mbar"], t["supply_permit_mv"]),
            "contract: travel": z3.And(*[contracts.travel(term(lever._travel_us)) for lever in levers]),
        }

    return proof.run(step, goals)
