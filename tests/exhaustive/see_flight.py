"""Observers of the command, one class for each group of sentences, from the requirements' text alone.

Each is told what the two observers of raw inputs saw (see_channel.Hands, see_air.Gauge), what the command was before
and is after this tick, and which causes are latched (a mask, bit n for cause n). Codes are numbers, as the outputs'
documentation gives them: command 0 down, 1 up; causes 0 low air, 1 burst, 2 air lost in the stroke, 3 pressure unknown,
4 link, 5 supply, 6 late, 7 clock, 8 second path.
"""

from .see_air import Persisting

LOW_AIR, BURST, STROKE_LOSS, PRESSURE, LINK, SUPPLY, LATE, CLOCK, SECOND_PATH = range(9)
FOR_GOOD = 1 << BURST | 1 << STROKE_LOSS | 1 << CLOCK | 1 << SECOND_PATH
NOT_MEASURED = -2


def has(mask, cause):
    return mask >> cause & 1


class Moves:
    """SR-01, SR-08, SR-09, SR-10, SR-31: when the command may change at all.

    armed   DOWN was confirmed, the link good, at or after everything that SR-10 names
    sure    the same, and not in the very tick in which waking ended or a latch was released
    woken   the first sequence of SR-01 has been gone through, and since the last late tick again
    """

    def __init__(self, times, locked_out=0):
        self.t = times
        self.locked_out = locked_out
        self.armed = 0
        self.sure = 0
        self.woken = 0
        self.settled = 0
        self.held_before = 0

    def see(self, before, after, causes, good, down_shown, up_moved, shows, late):
        broken = self._judge(before, after, causes, good, down_shown, up_moved, late)
        self._arm(before, after, causes, good, down_shown, up_moved, late)
        self.held_before = int(causes != 0)
        return (broken,)

    def see_any_wish(self, before, after, good, down_shown, up_moved, shows):
        """For a second path whose mode logic may wish anything: a fall needs no reason, and nothing wakes."""
        self.woken = 1
        broken = self._judge(before, after, 0, good, down_shown, up_moved, before == 1 and after == 0)
        self._arm(before, after, 0, good, down_shown, up_moved, 0)
        return (broken,)

    def _judge(self, before, after, causes, good, down_shown, up_moved, late):
        if self.locked_out and after == 1:
            return "SR-32: UP while locked out"
        # Waking ends in the tick in which a run to DOWN is shown, so UP is at least a run away.
        if not self.woken and after == 1:
            return "SR-01: UP before the link was good for link_settle and DOWN was shown after that"
        if late and after == 1:
            return "SR-31: UP in a tick that was far too late"
        if down_shown and after == 1:
            return "SR-08: UP in a tick in which a run to DOWN completes or goes on"
        if causes and after == 1:
            return "SR-07: UP with a cause latched"
        if before == 0 and after == 1:
            if not up_moved:
                return "SR-10: UP begins in a tick in which no move completes"
            if not (self.armed and good):
                return "SR-10: UP begins with a move whose DOWN is too old"
        if before == 1 and after == 0 and not causes and not down_shown and not late:
            return "SR-09: the command falls by neither a run to DOWN nor a cause"
        return ""

    def _arm(self, before, after, causes, good, down_shown, up_moved, late):
        released = self.held_before and not causes
        if not good or up_moved or late or (before == 1 and after == 0) or released or causes:
            self.armed = self.sure = 0
        woken_before = self.woken
        if self.settled == self.t.link_settle and good and down_shown and not late:
            self.woken = 1
        if late:
            self.woken = self.settled = 0
        else:
            self.settled = min(self.settled + 1, self.t.link_settle) if good else 0
        if down_shown and good and self.woken and not causes and not late:
            self.armed = 1
            self.sure = int(self.sure or (woken_before and not released))


class Permits:
    """SR-02, SR-16, SR-19: what UP needs when it begins; and that a move which all of it allows is followed.

    `spare` 0: a refusal is never called wrong, for machines in which somebody else may refuse.
    """

    def __init__(self, settings, times, spare=1):
        self.s = settings
        self.t = times
        self.spare = spare
        self.air_for = 0
        self.supply_for = 0
        self.clear_for = 0

    def see(self, before, after, causes, good, up_moved, armed, gauge, supply_mv, ground, charging, refusal):
        """`armed` as Moves had it before this tick; `gauge` (read, mbar, lost, disagree)."""
        s, t = self.s, self.t
        read, mbar, lost, disagree = gauge
        enough = read and mbar >= s.retract_above_mbar
        self.air_for = min(self.air_for + 1, t.permit_confirm) if enough else 0
        fed = supply_mv == NOT_MEASURED or supply_mv >= s.supply_force_mv + 300
        self.supply_for = min(self.supply_for + 1, t.permit_confirm) if fed else 0
        clear = not s.ground_fitted or ground == s.ground_clear_level
        self.clear_for = min(self.clear_for + 1, t.ground_clear) if clear else 0
        missing = self._missing(causes, good, lost, disagree, charging)
        if before == 0 and after == 1:
            return (missing,)
        if not (up_moved and before == 0):
            return ("",)
        if refusal == 0:
            return ("SR-02: a move is not followed and no refusal shows",)
        if self.spare and armed and good and not missing:
            return ("SR-02: a move is refused that every permit allows",)
        return ("",)

    def _missing(self, causes, good, lost, disagree, charging):
        s, t = self.s, self.t
        if self.air_for < t.permit_confirm or lost:
            return "SR-02: UP begins without enough air for permit_confirm"
        if disagree:
            return "SR-05: UP begins while two sensors disagree"
        if not good:
            return "SR-06: UP begins without a good link"
        if causes:
            return "SR-02: UP begins with something latched"
        if self.supply_for == 0 or (self.spare and self.supply_for < t.permit_confirm):
            return "SR-02: UP begins without supply"
        if s.ground_fitted and self.clear_for < t.ground_clear:
            return "SR-16: UP begins while the ground switch has not read clear for its time"
        if charging:
            return "SR-19: UP begins while the tank is being filled"
        return ""


def doubted_below(fact, doubted, threshold_mbar):
    """`fact`, or True where nothing is known but what a sensor that is not believed reads below the threshold: that it
    may say, on the safe side, and nothing else."""
    if fact is None and doubted is not None and doubted < threshold_mbar:
        return True
    return fact


class Forcing:
    """SR-03, SR-05, SR-06, SR-13, SR-33, the latches of SR-04 and SR-31: each forces when it must, and only then."""

    def __init__(self, settings, times):
        self.s = settings
        self.t = times
        self.low_surely = Persisting(times.low_confirm, times.heal)
        self.low_perhaps = Persisting(times.low_confirm, times.heal)
        self.blind = Persisting(times.sensor_force, times.heal)
        self.sag = Persisting(times.supply_confirm, times.heal)
        self.causes_before = 0

    def see(self, before, after, causes, lost, ever_good, gauge, doubted, supply_mv, burst, loss, late, clock):
        must, may = self._conditions(before, lost and ever_good, gauge, doubted, supply_mv)
        for cause, now in ((BURST, burst), (STROKE_LOSS, loss), (LATE, late), (CLOCK, clock)):
            must |= now << cause
            may |= now << cause
        fresh = causes & ~self.causes_before
        self.causes_before = causes
        if must & ~causes:
            return (f"{WORDS[lowest(must & ~causes)]} does not force and latch in its time",)
        if must and after == 1:
            return (f"{WORDS[lowest(must)]} does not put the gear down",)
        fresh &= ~(1 << SECOND_PATH)
        if fresh & ~may:
            return (f"{WORDS[lowest(fresh & ~may)]} forces though it does not hold",)
        return ("",)

    def _conditions(self, before, link_lost, gauge, doubted, supply_mv):
        """(causes that have to be latched now, causes that may be)."""
        read, mbar, lost, _ = gauge
        must = int(link_lost) << LINK
        may = must
        if before == 1:
            low = bool(mbar < self.s.force_below_mbar) if read else None
            must |= self.low_surely.step(low) << LOW_AIR
            may |= self.low_perhaps.step(doubted_below(low, doubted, self.s.force_below_mbar)) << LOW_AIR
            blind = self.blind.step(True if lost else False if read else None) << PRESSURE
            must |= blind
            may |= blind
        else:
            for persisting in (self.low_surely, self.low_perhaps, self.blind):
                persisting.forget()
        if supply_mv != NOT_MEASURED:
            sag = self.sag.step(supply_mv < self.s.supply_force_mv) << SUPPLY
            must |= sag
            may |= sag
        return must, may


WORDS = (
    "SR-03: low air", "SR-04: a burst", "SR-04: air lost in the stroke", "SR-05: pressure unknown",
    "SR-06: a lost link",
    "SR-13: low supply", "SR-31: a late tick", "SR-33: a wrong clock", "SR-11: the second path",
)  # fmt: skip


def lowest(mask):
    return (mask & -mask).bit_length() - 1
