"""The mode logic, and the only file that changes the mode. It decides whether the gear is commanded DOWN or UP.

    waking      -> down         link good without a break for link_settle, then a run to DOWN          SR-01
    waking      -> held down    the same, with a cause latched meanwhile                                SR-07
    down        -> up           a fresh move completes and every permit holds                           SR-02, SR-10
    down        -> held down    a cause                                                                 SR-06, SR-13
    up          -> down         a run to DOWN                                                           SR-08
    up          -> held down    a cause                                                                 SR-03 to SR-06
    held down   -> down         every latched cause known absent for recover_confirm, then DOWN shown   SR-07
    any         -> waking       a tick far too late                                                     SR-31
    locked out  stays                                                                                   SR-32

Only one line below leads to MODE_UP. `armed` is 1 only in mode "down" with a good link, after a run to DOWN that was
confirmed since; every way out of that clears it. Facts are flags; `|` and `&` on flags are arithmetic that treats
every cause alike, not decisions.
"""

from .codes import (
    CAUSE_LATE,
    DOWN,
    HELD,
    LOCKED_OUT,
    MODE_DOWN,
    MODE_UP,
    N_CAUSES,
    POSITION_UNKNOWN,
    REFUSAL_AIR,
    REFUSAL_CHARGING,
    REFUSAL_DISAGREE,
    REFUSAL_GROUND,
    REFUSAL_HELD,
    REFUSAL_LOCKED_OUT,
    REFUSAL_NO_DOWN,
    REFUSAL_NONE,
    REFUSAL_PRESSURE,
    REFUSAL_SECOND_PATH,
    REFUSAL_SETTINGS,
    REFUSAL_SUPPLY,
    REFUSAL_WAKING,
    REFUSAL_WIRING,
    UP,
    WAKING,
)


def command_of(mode):
    """The gear command is a function of the mode and of nothing else."""
    if mode == MODE_UP:
        return UP
    return DOWN


class Gear:
    """State: mode, latched[9], armed, refusal, and three bounded counters (settle, away, hold)."""

    __slots__ = (
        "mode",
        "latched",
        "held",
        "armed",
        "refusal",
        "refused_now",
        "_settle",
        "_away",
        "_hold",
        "_hold_frames",
        "_settle_need",
        "_away_need",
        "_hold_need",
        "_frames_need",
    )

    def __init__(self, limits, switch_frames, locked_out):
        self._settle_need = limits.link_settle_ticks
        self._away_need = limits.recover_ticks
        self._hold_need = limits.release_ticks
        self._frames_need = switch_frames
        self.mode = WAKING
        if locked_out == 1:
            self.mode = LOCKED_OUT
        self.latched = [0] * N_CAUSES
        self.held = 0
        self.armed = 0
        self.refusal = REFUSAL_NONE
        self.refused_now = 0
        self._settle = 0
        self._away = 0
        self._hold = 0
        self._hold_frames = 0

    def step(self, facts):
        """One tick: facts in, command out (DOWN or UP)."""
        self.refused_now = 0
        if facts.link_good == 0:
            self.armed = 0
        if facts.down_run == 1:
            self.refusal = REFUSAL_NONE
        if self.mode == LOCKED_OUT:
            self._refuse_move(facts, REFUSAL_LOCKED_OUT)
            return DOWN
        self._latch(facts)
        if facts.present[CAUSE_LATE] == 1:
            # The sequence of SR-01 starts after this tick, not in it.
            self._enter(WAKING)
            self._refuse_move(facts, REFUSAL_WAKING)
            return DOWN
        if self.mode == WAKING:
            self._wake(facts)
        elif self.mode == HELD:
            self._recover(facts)
        elif self.mode == MODE_UP:
            self._stay_up(facts)
        else:
            self._stay_down(facts)
        return command_of(self.mode)

    def _latch(self, facts):
        held = 0
        latched = self.latched
        present = facts.present
        for cause in range(N_CAUSES):
            latched[cause] = latched[cause] | present[cause]
            held = held | latched[cause]
        self.held = held
        if held == 0:
            return
        if self.mode == WAKING:
            return
        if self.mode != HELD:
            self._enter(HELD)

    def _enter(self, mode):
        """Every change of mode but the one to MODE_UP: all progress towards anything is forgotten."""
        self.mode = mode
        self.armed = 0
        self._settle = 0
        self._away = 0
        self._hold = 0
        self._hold_frames = 0

    def _wake(self, facts):
        self._refuse_move(facts, REFUSAL_WAKING)
        if facts.link_good == 0:
            self._settle = 0
            return
        if self._settle < self._settle_need:
            self._settle += 1
            return
        if facts.down_run == 0:
            return
        # SR-31 ends here: the sequence of SR-01 has been gone through again.
        self.latched[CAUSE_LATE] = 0
        held = 0
        for cause in range(N_CAUSES):
            held = held | self.latched[cause]
        self.held = held
        self._enter(MODE_DOWN)
        if held == 1:
            self._enter(HELD)

    def _recover(self, facts):
        self._refuse_move(facts, REFUSAL_HELD)
        remaining = 0
        for cause in range(N_CAUSES):
            remaining = remaining | (self.latched[cause] & (1 - facts.absent[cause]))
        if remaining == 1:
            # A cause that returns takes back all progress, the time that the switch has been at down included.
            self._away = 0
            self._hold = 0
            self._hold_frames = 0
            return
        if self._away < self._away_need:
            self._away += 1
            return
        self._watch_hold(facts)
        if self._hold < self._hold_need:
            return
        if self._hold_frames < self._frames_need:
            return
        # Released by what the switch says, never by a silence.
        if facts.frame != DOWN:
            return
        for cause in range(N_CAUSES):
            self.latched[cause] = 0
        self.held = 0
        self._enter(MODE_DOWN)

    def _watch_hold(self, facts):
        # Only what the switch says now counts, not a position remembered from before.
        if facts.link_good == 0:
            self._hold = 0
            self._hold_frames = 0
            return
        if facts.frame == UP:
            self._hold = 0
            self._hold_frames = 0
            return
        if facts.frame == POSITION_UNKNOWN:
            if self._hold_frames == 0:
                return
            self._hold += 1
        else:
            self._hold += 1
            self._hold_frames += 1
        if self._hold > self._hold_need:
            self._hold = self._hold_need
        if self._hold_frames > self._frames_need:
            self._hold_frames = self._frames_need

    def _stay_up(self, facts):
        if facts.down_run == 1:
            self._enter(MODE_DOWN)
            self._arm(facts)

    def _stay_down(self, facts):
        if facts.up_done == 1:
            self._consider(facts)
        self._arm(facts)

    def _arm(self, facts):
        if facts.down_run == 0:
            return
        if facts.link_good == 0:
            return
        self.armed = 1

    def _consider(self, facts):
        """A move of the switch to UP completes in this tick. It is used up, whatever comes of it."""
        reason = self._first_refusal(facts)
        self.armed = 0
        if reason == REFUSAL_NONE:
            self.mode = MODE_UP
            return
        if reason == REFUSAL_NO_DOWN:
            if self.refusal != REFUSAL_NONE:
                # The same move, seen again after a gap: the first reason is the one that helps.
                return
        self.refusal = reason
        self.refused_now = 1

    def _first_refusal(self, facts):
        if self.armed == 0:
            return REFUSAL_NO_DOWN
        if facts.settings_ok == 0:
            return REFUSAL_SETTINGS
        if facts.wiring_ok == 0:
            return REFUSAL_WIRING
        if facts.pressure_known == 0:
            return REFUSAL_PRESSURE
        if facts.sensors_agree == 0:
            return REFUSAL_DISAGREE
        if facts.air_ok == 0:
            return REFUSAL_AIR
        if facts.not_charging == 0:
            return REFUSAL_CHARGING
        if facts.supply_ok == 0:
            return REFUSAL_SUPPLY
        if facts.ground_clear == 0:
            return REFUSAL_GROUND
        if facts.leave == 0:
            return REFUSAL_SECOND_PATH
        return REFUSAL_NONE

    def _refuse_move(self, facts, reason):
        if facts.up_done == 1:
            self.refusal = reason
            self.refused_now = 1
