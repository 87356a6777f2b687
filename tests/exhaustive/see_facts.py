"""Observer of the mode logic on its facts alone: SR-01, SR-02, SR-07, SR-08, SR-10, SR-31 for any facts whatever."""

PERMITS = (
    "settings_ok wiring_ok pressure_known sensors_agree air_ok not_charging supply_ok ground_clear leave link_good"
).split()
LATE = 6
FOR_GOOD = 1 << 1 | 1 << 2 | 1 << 7 | 1 << 8


class Rules:
    """`t`: Times. Counters stop at their bounds."""

    def __init__(self, times):
        self.t = times
        self.before = 0
        self.held = 0
        self.armed = 0
        self.woken = 0
        self.settled = 0
        self.away_for = 0
        self.shown_for = 0
        self.frames = 0

    def see(self, facts, after, causes, refusal):
        """One tick: the facts that the mode logic was given, and what it made of them."""
        present = sum(bit << cause for cause, bit in enumerate(facts.present))
        broken = self._judge(facts, after, causes, refusal, present) or self._judge_release(facts, causes, present)
        self._follow(facts, after, causes, present)
        return (broken,)

    def _judge(self, facts, after, causes, refusal, present):
        if present & ~causes:
            return "SR-07: a cause that holds is not latched"
        if causes & ~(self.held | present):
            return "SR-07: a cause is latched that does not hold"
        if after == 1 and causes:
            return "SR-07: UP with a cause latched"
        if after == 1 and not self.woken:
            return "SR-01: UP before the first sequence is over"
        if after == 1 and facts.down_run:
            return "SR-08: UP in a tick that completes or continues a run to DOWN"
        if self.before == 1 and after == 0 and not causes and not facts.down_run:
            return "SR-09: the command falls by neither a run to DOWN nor a cause"
        begins = self.before == 0 and after == 1
        if begins and not facts.up_done:
            return "SR-10: UP begins in a tick in which no move completes"
        if begins and not self.armed:
            return "SR-10: UP begins with a move whose DOWN is too old"
        missing = [name for name in PERMITS if getattr(facts, name) == 0]
        if begins and missing:
            return f"SR-02: UP begins though {missing[0]} is missing"
        if facts.up_done and self.before == 0 and after == 0 and refusal == 0:
            return "SR-02: a move is not followed and no refusal shows"
        return ""

    def _judge_release(self, facts, causes, present):
        gone = self.held & ~causes & ~(1 << LATE)
        if not gone:
            return ""
        if gone & FOR_GOOD:
            return "SR-07: a cause is released that stays until power-off"
        if causes:
            return "SR-07: one cause is released while another holds"
        if self.away_for < self.t.recover or not self._absent(facts, self.held):
            return "SR-07: released before every cause was known absent for recover"
        if self.shown_for + 1 < self.t.release_hold or self.frames + 1 < self.t.run:
            return "SR-07: released before DOWN was shown for release_hold and a run"
        if facts.frame != 0:
            return "SR-07: released in a tick that does not show DOWN"
        return ""

    def _absent(self, facts, causes):
        return all(facts.absent[cause] for cause in range(len(facts.absent)) if causes >> cause & 1 and cause != LATE)

    def _follow(self, facts, after, causes, present):
        t = self.t
        late = present >> LATE & 1
        good = facts.link_good
        released = self.held and not causes
        if not good or facts.up_done or late or causes or released or (self.before == 1 and after == 0):
            self.armed = 0
        woken_before = self.woken
        if self.settled == t.link_settle and good and facts.down_run and not late:
            self.woken = 1
        if late:
            self.woken = self.settled = 0
        else:
            self.settled = min(self.settled + 1, t.link_settle) if good else 0
        if facts.down_run and good and self.woken and not causes:
            self.armed = 1
        self._count_release(facts, causes, woken_before and not late)
        self.held = causes
        self.before = after

    def _count_release(self, facts, causes, counting):
        t = self.t
        if not causes or not counting or not self._absent(facts, causes):
            self.away_for = self.shown_for = self.frames = 0
        elif self.away_for < t.recover:
            self.away_for += 1
        elif not facts.link_good or facts.frame == 1:
            self.shown_for = self.frames = 0
        elif facts.frame == 0:
            self.frames = min(self.frames + 1, t.run)
            self.shown_for = min(self.shown_for + 1, t.release_hold)
        elif self.frames:
            self.shown_for = min(self.shown_for + 1, t.release_hold)
