"""A Gear and the facts it is shown, for the tests of the mode logic."""

from types import SimpleNamespace

from controller import codes
from controller.codes import DOWN, HELD, MODE_DOWN, UP
from controller.facts import Facts
from controller.gear import Gear, command_of

SETTLE, AWAY, HOLD, FRAMES = 4, 5, 4, 2
PERMITS = {
    "settings_ok": codes.REFUSAL_SETTINGS,
    "wiring_ok": codes.REFUSAL_WIRING,
    "pressure_known": codes.REFUSAL_PRESSURE,
    "sensors_agree": codes.REFUSAL_DISAGREE,
    "air_ok": codes.REFUSAL_AIR,
    "not_charging": codes.REFUSAL_CHARGING,
    "supply_ok": codes.REFUSAL_SUPPLY,
    "ground_clear": codes.REFUSAL_GROUND,
    "leave": codes.REFUSAL_SECOND_PATH,
}
CAUSES = list(range(codes.N_CAUSES))
NOT_LATE = [cause for cause in CAUSES if cause != codes.CAUSE_LATE]


def needs(settle=SETTLE, away=AWAY, hold=HOLD):
    return SimpleNamespace(link_settle_ticks=settle, recover_ticks=away, release_ticks=hold)


class Seat:
    """A Gear and the facts it is shown: all permits hold and every cause is absent until told otherwise."""

    def __init__(self, locked_out=0, frames=FRAMES):
        self.gear = Gear(needs(), frames, locked_out)
        self.facts = Facts()
        self.facts.link_good = 1
        self.facts.absent = [1] * codes.N_CAUSES
        for name in PERMITS:
            setattr(self.facts, name, 1)

    def step(self, ticks=1, present=(), **facts):
        """`ticks` ticks; a run flag is for these ticks only, the rest stays. Returns the last command."""
        for name in ("down_run", "up_done"):
            setattr(self.facts, name, facts.pop(name, 0))
        for name, value in facts.items():
            getattr(self.facts, name)
            setattr(self.facts, name, value)
        self.facts.present = [int(cause in present) for cause in CAUSES]
        for _ in range(ticks):
            command = self.gear.step(self.facts)
            assert command == command_of(self.gear.mode)
        return command

    def awake(self):
        self.step(SETTLE)
        self.step(down_run=1, frame=DOWN)
        self.step(down_run=1)
        assert (self.gear.mode, self.gear.armed) == (MODE_DOWN, 1)
        return self

    def up(self):
        self.awake()
        assert self.step(up_done=1, frame=UP) == UP
        return self

    def held(self, cause=codes.CAUSE_LINK):
        self.awake()
        self.step(present=[cause])
        assert self.gear.mode == HELD
        self.facts.absent[cause] = 1
        return self


def release(seat, away=AWAY, downs=HOLD, **last):
    """Absent for `away` ticks, then DOWN shown for `downs`."""
    seat.step(away, frame=UP)
    seat.step(downs, frame=DOWN, **last)
