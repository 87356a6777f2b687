"""Proof of the second path's last word, with the mode logic replaced by any function whatever (SR-10, SR-11, SR-16).

The sensors' and the switch's outputs are free unknowns too, so that nothing here rests on how they are decoded.
o_down: a run to DOWN was confirmed with a good link at or after the latest of change to DOWN, use and not-good link.
o_out: the output of the tick before.
"""

from types import SimpleNamespace

import pytest
import z3

from controller.codes import DOWN, UP
from controller.interlock import Interlock

from . import contracts
from .proving import Proof
from .symbolic import LIMIT, term

STATE = ("leave", "_ready", "_ground", "_low", "_low_away", "_blind", "_blind_away")
NEEDS = ("_ground_need", "_low_need", "_blind_need", "_gaps_need", "_away_need")
FREE = (
    "good",
    "gaps",
    "shown_down",
    "moved_up",
    "known0",
    "mbar0",
    "bad0",
    "known1",
    "mbar1",
    "bad1",
    "level",
    "wanted",
)
SETTINGS = ("retract_above", "force_below", "slack", "clear_level", "ground_fitted", "usable")
ASSUMES = ["second times", "air rules", "raw switch", "raw sensor"]


class Deaf:
    """A part whose outputs are set from outside; stepping it does nothing."""

    def step(self, *_):
        return


def flag(value):
    return z3.And(value >= 0, value <= 1)


def invariant(s):
    return z3.And(
        flag(s.leave),
        flag(s._ready),
        z3.Implies(s.leave == 1, z3.And(s._ready == 0, s.o_out == UP)),
        z3.Implies(s.o_out == UP, s.leave == 1),
        z3.Implies(s._ready == 1, s.o_down),
        s._ground >= 0,
        s._ground <= s._ground_need,
        *[getattr(s, name) >= 0 for name in STATE],
        s._low_away <= s._away_need,
        s._blind_away <= s._away_need,
        # while the leave lasts, nothing has counted to its end
        z3.Implies(s.leave == 1, z3.And(s._low < s._low_need, s._blind < s._blind_need)),
        s._low <= s._low_need,
        s._blind <= s._blind_need,
    )


def prove_interlock(sensors):
    s = SimpleNamespace(**{name: z3.Int(name) for name in (*STATE, *NEEDS, *FREE, *SETTINGS, "o_out")})
    s.o_down = z3.Bool("o_down")
    flags = (
        "good",
        "shown_down",
        "moved_up",
        "known0",
        "known1",
        "bad0",
        "bad1",
        "wanted",
        "clear_level",
        "ground_fitted",
        "usable",
    )
    proof = Proof(
        f"second path: {sensors} sensor{'s' * (sensors > 1)}",
        [
            contracts.second_times(*[getattr(s, need) for need in NEEDS]),
            *[flag(getattr(s, name)) for name in (*flags, "o_out")],
            *[z3.And(v > -LIMIT, v < LIMIT) for v in (s.level, s.gaps)],
            contracts.air_rules(z3.IntVal(200), s.force_below, s.retract_above, s.slack),
            contracts.raw_switch(s.good, s.shown_down, s.moved_up),
            contracts.raw_sensor(s.known0, s.bad0, s.mbar0),
            contracts.raw_sensor(s.known1, s.bad1, s.mbar1),
            invariant(s),
        ],
        [(Interlock, "_watch_ground"), (Interlock, "_weigh_begin"), (Interlock, "_weigh_end"), (Interlock, "gate")],
        ASSUMES,
    )

    def step():
        unknown = proof.explorer.fresh
        path = Interlock.__new__(Interlock)
        for name in (*STATE, *NEEDS):
            setattr(path, name, unknown(name))
        path._usable = unknown("usable")
        path._s = SimpleNamespace(
            sensor_count=sensors,
            ground_clear_level=unknown("clear_level"),
            ground_fitted=unknown("ground_fitted"),
            retract_above_mbar=unknown("retract_above"),
            begin_slack_mbar=unknown("slack"),
            force_below_mbar=unknown("force_below"),
        )
        path._switch = Deaf()
        for name in ("good", "gaps", "shown_down", "moved_up"):
            setattr(path._switch, name, unknown(name))
        path._sensors = [Deaf(), Deaf()]
        for index, sensor in enumerate(path._sensors):
            sensor.known, sensor.mbar = unknown(f"known{index}"), unknown(f"mbar{index}")
            sensor.bad = unknown(f"bad{index}")
        inputs = SimpleNamespace(counts=[0, 0], rail_counts=0, ground_level=unknown("level"))
        path.step(inputs)
        leave_given = path.leave
        output = path.gate(unknown("wanted"))
        return path, term(leave_given), term(output)

    def goals(outcome):
        path, given, output = outcome
        n = SimpleNamespace(**vars(s))
        for name in STATE:
            setattr(n, name, term(getattr(path, name)))
        n.o_out = output
        went_up = z3.And(s.o_out == DOWN, output == UP)
        went_down = z3.And(s.o_out == UP, output == DOWN)
        kept = z3.And(s.o_down, s.good == 1, z3.Not(went_down), s.moved_up == 0)
        n.o_down = z3.Or(kept, z3.And(s.shown_down == 1, s.good == 1))
        known = [getattr(s, f"known{i}") == 1 for i in range(sensors)]
        bad = [getattr(s, f"bad{i}") == 1 for i in range(sensors)]
        enough = [
            z3.Implies(is_known, getattr(s, f"mbar{i}") >= s.retract_above - s.slack)
            for i, is_known in enumerate(known)
        ]
        low = z3.And(
            z3.Or(*known),
            *[z3.Implies(is_known, getattr(s, f"mbar{i}") < s.force_below) for i, is_known in enumerate(known)],
        )
        return {
            "invariant is inductive": invariant(n),
            "SR-10 UP only as an own fresh move completes, whatever the mode logic says": z3.Implies(
                went_up, z3.And(s.moved_up == 1, s.o_down, s.good == 1)
            ),
            "contract: leave": flag(given),
            "SR-11 it can only turn UP into DOWN": z3.Implies(output == UP, s.wanted == UP),
            "SR-11 UP only with leave": z3.Implies(output == UP, given == 1),
            "SR-11 leave begins only with its own reading of the pressure": z3.Implies(
                went_up, z3.And(z3.Or(*known), *enough)
            ),
            "SR-11 its own run to DOWN ends the leave": z3.Implies(s.shown_down == 1, output == DOWN),
            "SR-16 UP only clear of the ground": z3.Implies(
                z3.And(went_up, s.ground_fitted == 1), z3.And(s.level == s.clear_level, n._ground >= s._ground_need)
            ),
            "SR-30 UP only with usable settings": z3.Implies(went_up, s.usable == 1),
            "SR-06 a gap of its own full length ends the leave": z3.Implies(
                z3.And(s.leave == 1, s.gaps >= s._gaps_need), output == DOWN
            ),
            "SR-03 low air of its own full length ends the leave": z3.Implies(
                z3.And(s.leave == 1, low, s._low + 1 >= s._low_need), output == DOWN
            ),
            "SR-05 blindness of its own full length ends the leave": z3.Implies(
                z3.And(s.leave == 1, z3.And(*bad), s._blind + 1 >= s._blind_need), output == DOWN
            ),
            "SR-11 leave is kept while nothing speaks against it": z3.Implies(
                z3.And(
                    s.leave == 1,
                    s.wanted == UP,
                    s.shown_down == 0,
                    s.gaps < s._gaps_need,
                    z3.Not(low),
                    z3.Or(*known),
                ),
                output == UP,
            ),
            "SR-17 what is not known clears nothing": z3.Implies(
                z3.And(s.leave == 1, n.leave == 1, z3.Not(z3.Or(*known))), n._low == s._low
            ),
        }

    return proof.run(step, goals)


@pytest.mark.parametrize("sensors", [1, pytest.param(2, marks=pytest.mark.deep)])
@pytest.mark.sr("SR-10", "acts")
@pytest.mark.sr("SR-11", "acts")
@pytest.mark.sr("SR-11", "spares")
def test_second_path_for_any_mode_logic(sensors):
    prove_interlock(sensors).assert_proved()
