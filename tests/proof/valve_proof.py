"""valve.py, for any wiring record, any commands and any times (SR-18).

o_up, o_down   ticks since that coil was last energised; as long as the dead time when it never was
o_on           ticks that the coil that is on has been on without a break
"""

from types import SimpleNamespace

import z3

from controller import valve
from controller.codes import DOWN, UP, VALVE_INVALID, VALVE_SERVO, VALVE_SPRING, VALVE_TWO_COIL
from controller.valve import Valve, checked_kind

from . import contracts
from .contracts import flags, within
from .proving import Proof
from .symbolic import LIMIT, term

STATE = "pulse repeat dead last any".split()


def invariant(n, pulse_need, dead_need, repeat_need):
    other_off = z3.If(n.last == UP, n.o_down, n.o_up)
    return z3.And(
        flags(n.any, n.last),
        within(0, n.dead, dead_need),
        within(0, n.pulse, pulse_need),
        within(0, n.repeat, repeat_need - 1),
        z3.And(n.o_up >= 0, n.o_down >= 0, n.o_on >= 0),
        # the coil of the other side has been off for what is gone of the dead time
        other_off >= dead_need - n.dead,
        z3.Implies(
            n.any == 0,
            z3.And(n.o_on == 0, n.dead == 0, n.repeat == 0, n.o_up >= dead_need, n.o_down >= dead_need),
        ),
        # a pulse ends before the next one is due
        z3.Implies(z3.Or(n.pulse > 0, n.o_on > 0), n.repeat + n.dead + n.pulse <= pulse_need + dead_need),
        z3.Implies(n.dead > 0, n.repeat + n.dead <= dead_need),
        z3.Implies(n.o_on > 0, n.o_on + n.pulse <= pulse_need),
    )


def prove_valve():
    names = [*STATE, *"kind down_us up_us pulse_need repeat_need dead_need command o_up o_down o_on".split()]
    s = SimpleNamespace(**{name: z3.Int(name) for name in names})

    needs = (s.pulse_need, s.dead_need, s.repeat_need)
    proof = Proof(
        "valve",
        [
            contracts.coil_times(s.pulse_need, s.dead_need, s.repeat_need),
            flags(s.command),
            within(-LIMIT + 1, s.kind, LIMIT - 1),
            z3.Implies(s.kind == VALVE_SERVO, z3.And(within(800, s.down_us, 2200), within(800, s.up_us, 2200))),
            invariant(s, *needs),
        ],
        [(Valve, "_time_pulses"), (Valve, "_drive_coil")],
        ["coil times"],
    )

    def step():
        fresh = proof.explorer.fresh
        driver = Valve.__new__(Valve)
        for name in (*STATE, "kind", "down_us", "up_us", "pulse_need", "repeat_need", "dead_need"):
            setattr(driver, f"_{name}", fresh(name))
        outputs = SimpleNamespace(coil_up=7, coil_down=7, valve_us=7)
        driver.step(fresh("command"), outputs)
        return driver, outputs

    def goals(outcome):
        driver, outputs = outcome
        n = SimpleNamespace(**{name: term(getattr(driver, f"_{name}")) for name in STATE})
        up, down, pulse_us = term(outputs.coil_up) == 1, term(outputs.coil_down) == 1, term(outputs.valve_us)
        two = s.kind == VALVE_TWO_COIL
        changed = z3.And(s.any == 1, s.command != s.last)
        n.o_up = z3.If(z3.And(two, up), 0, s.o_up + 1)
        n.o_down = z3.If(z3.And(two, down), 0, s.o_down + 1)
        n.o_on = z3.If(z3.And(two, z3.Or(up, down)), z3.If(changed, 1, s.o_on + 1), 0)
        mine = z3.If(s.command == UP, up, down)
        return {
            "invariant is inductive": z3.If(
                two, invariant(n, *needs), z3.And(*[getattr(n, m) == getattr(s, m) for m in STATE])
            ),
            "coils are on or off": flags(term(outputs.coil_up), term(outputs.coil_down)),
            "SR-18 never both coils": z3.Not(z3.And(up, down)),
            "SR-18 the other coil has been off for the dead time": z3.Implies(
                two, z3.And(z3.Implies(up, s.o_down >= s.dead_need), z3.Implies(down, s.o_up >= s.dead_need))
            ),
            "SR-18 a pulse is never longer than coil_time": z3.Implies(two, n.o_on <= s.pulse_need),
            "SR-18 DOWN is driven at the first output": z3.Implies(z3.And(two, s.any == 0, s.command == DOWN), down),
            "SR-18 a change is driven for a whole pulse after the dead time": z3.Implies(
                z3.And(two, changed), z3.And(n.pulse == s.pulse_need, n.dead + 1 == s.dead_need)
            ),
            "SR-18 a pulse that is due is driven": z3.Implies(
                z3.And(two, z3.Not(changed), s.any == 1, s.pulse > 0, s.dead == 0), mine
            ),
            "SR-18 a pulse is due again after coil_repeat": z3.Implies(
                z3.And(two, z3.Not(changed), s.repeat + 1 >= s.repeat_need), mine
            ),
            "SR-18 a coil follows the command only": z3.And(
                z3.Implies(up, s.command == UP), z3.Implies(z3.And(two, down), s.command == DOWN)
            ),
            "SR-18 spring-return: unpowered for DOWN, powered for UP": z3.Implies(
                s.kind == VALVE_SPRING, z3.And(up == (s.command == UP), z3.Not(down), pulse_us == 0)
            ),
            "SR-18 servo: a pulse from the first output on": z3.Implies(
                s.kind == VALVE_SERVO,
                z3.And(
                    pulse_us == z3.If(s.command == UP, s.up_us, s.down_us), z3.Not(z3.Or(up, down)), pulse_us >= 800
                ),
            ),
            "SR-18 an invalid record leaves everything off": z3.Implies(
                z3.And(s.kind != VALVE_SPRING, s.kind != VALVE_SERVO, z3.Not(two)),
                z3.And(z3.Not(z3.Or(up, down)), pulse_us == 0),
            ),
        }

    return proof.run(step, goals)


def prove_record():
    kind, down_us, up_us = z3.Int("kind"), z3.Int("down_us"), z3.Int("up_us")
    proof = Proof(
        "valve: wiring record",
        [within(-LIMIT // 2 + 1, value, LIMIT // 2 - 1) for value in (kind, down_us, up_us)],
        [(valve, "_is_pulse")],
    )

    def step():
        fresh = proof.explorer.fresh
        return term(checked_kind(fresh("kind"), fresh("down_us"), fresh("up_us")))

    def goals(checked):
        moves = z3.Or(up_us - down_us >= 100, down_us - up_us >= 100)
        servo = z3.And(kind == VALVE_SERVO, within(800, down_us, 2200), within(800, up_us, 2200), moves)
        fits = z3.Or(kind == VALVE_SPRING, kind == VALVE_TWO_COIL, servo)
        return {
            "SR-18 a record that cannot move the valve both ways is invalid": checked
            == z3.If(fits, kind, VALVE_INVALID)
        }

    return proof.run(step, goals)
