"""pressure.py, for any two sensors, or one: which governs, what is lost, what is doubted (SR-05, SR-34)."""

from types import SimpleNamespace

import z3

from controller.codes import NO, UNKNOWN, YES
from controller.pressure import Pressure

from . import contracts
from .contracts import within
from .proving import Proof
from .symbolic import term
from .timers import PersistModel

OWN = "mbar read lost disagree doubted doubted_mbar jumped smooth readers pause".split()
PAUSE = 5


class Deaf:
    """A part whose outputs are set from outside; stepping it does nothing."""

    def step(self, *_):
        return


def build_pressure(explorer, count, timer, sensors, rail):
    fresh = lambda name: explorer.fresh(f"p_{name}")  # noqa: E731
    pressure = Pressure.__new__(Pressure)
    for name in ("mbar", "read", "lost", "disagree", "doubted", "doubted_mbar", "jumped", "smooth"):
        setattr(pressure, name, fresh(name))
    pressure._readers, pressure._pause, pressure._gap_mbar = fresh("readers"), fresh("pause"), fresh("gap")
    pressure._count, pressure._disagree = count, timer.build(explorer)
    pressure.sensors, pressure._rail = sensors, rail
    return pressure


def bounds(n):
    """The invariant: everything bounded, flags are flags."""
    return z3.And(
        contracts.readings(n.read, n.lost, n.disagree, n.doubted, n.jumped, n.mbar, n.doubted_mbar, n.smooth),
        within(0, n.readers, 3),
        within(0, n.pause, PAUSE),
    )


MERGES = [(Pressure, name) for name in ("_govern", "_doubt", "_gap_fact", "_smooth", "step")]


def prove_pressure(count):
    s = SimpleNamespace(**{name: z3.Int(f"p_{name}") for name in (*OWN, "gap")})
    a, b = (SimpleNamespace(**{n: z3.Int(f"p_{n}{i}") for n in ("mbar", "ready", "failed")}) for i in (0, 1))
    model = PersistModel("p_apart")
    proof = Proof(
        f"pressure: {count} sensor{'s' * (count > 1)}",
        [
            *[contracts.sensor(one.mbar, one.ready, one.failed) for one in (a, b)],
            within(50, s.gap, 2000),
            *model.assumptions,
            bounds(s),
        ],
        MERGES,
        ["sensor", "ticks"],
    )

    def step():
        sensors = [Deaf(), Deaf()]
        for index, sensor in enumerate(sensors):
            for name in ("mbar", "ready", "failed"):
                setattr(sensor, name, proof.explorer.fresh(f"p_{name}{index}"))
        pressure = build_pressure(proof.explorer, count, model, sensors, Deaf())
        pressure.step(SimpleNamespace(counts=[0, 0], rail_counts=0))
        return pressure

    def goals(pressure):
        n = SimpleNamespace(**{name: term(getattr(pressure, name)) for name in OWN if hasattr(pressure, name)})
        n.readers, n.pause = term(pressure._readers), term(pressure._pause)
        fitted = (a, b)[:count]
        reads = [z3.And(one.failed == 0, one.ready == 1) for one in fitted]
        doubts = [z3.And(one.failed == 1, one.ready == 1) for one in fitted]
        far = z3.Or(a.mbar - b.mbar > s.gap, b.mbar - a.mbar > s.gap)
        fact = z3.If(
            z3.Or(a.failed == 1, b.failed == 1),
            NO,
            z3.If(z3.Or(a.ready == 0, b.ready == 0), UNKNOWN, z3.If(far, YES, NO)),
        )
        yes, no = model.observe(fact)
        if count == 1:
            yes, no = model.yes, model.no
        return {
            "invariant is inductive": z3.And(bounds(n), model.tied(pressure._disagree, yes, no)),
            "contract: readings": contracts.readings(
                n.read, n.lost, n.disagree, n.doubted, n.jumped, n.mbar, n.doubted_mbar, n.smooth
            ),
            "SR-05 lost is no believed sensor": (n.lost == 1) == z3.And(*[one.failed == 1 for one in fitted]),
            "SR-05 read is a sample of a believed sensor": (n.read == 1) == z3.Or(*reads),
            "SR-05 the lower believed one governs": z3.And(
                *[z3.Implies(can, n.mbar <= one.mbar) for can, one in zip(reads, fitted, strict=True)],
                z3.Implies(
                    n.read == 1, z3.Or(*[z3.And(c, n.mbar == one.mbar) for c, one in zip(reads, fitted, strict=True)])
                ),
            ),
            "SR-05 only without a reading does a doubted one count, the lowest of them": z3.And(
                (n.doubted == 1) == z3.And(n.read == 0, z3.Or(*doubts)),
                *[
                    z3.Implies(z3.And(n.doubted == 1, can), n.doubted_mbar <= one.mbar)
                    for can, one in zip(doubts, fitted, strict=True)
                ],
            ),
            "SR-05 disagree is sensor_confirm of two believed ones apart, unhealed": (n.disagree == 1)
            == (yes >= model.need)
            if count == 2
            else n.disagree == s.disagree,
            "SR-17 what is not read changes neither reading nor slope": z3.Implies(
                n.read == 0, z3.And(n.mbar == s.mbar, n.smooth == s.smooth, n.jumped == 0)
            ),
        }

    return proof.run(step, goals)
