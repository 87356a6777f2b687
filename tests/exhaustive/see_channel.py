"""Observer of the gear channel, from the words *frame*, *run*, *fresh move* and from SR-06, SR-08, SR-09, SR-11.

It keeps its own picture and compares both decoders with it in every tick. Codes of outputs are numbers here, as their
documentation gives them: 0 down, 1 up, 2 unknown; link 0 good, 1 degraded, 2 lost.
"""

NOWHERE = 2
LONG_AGO = 1 << 14


class Hands:
    """The pilot's switch and the link, from raw pulses.

    shows        position that this tick's valid frame carries, NOWHERE without one
    down_shown   1 in each tick whose frame completes or continues a run to DOWN
    up_moved     1 in the one tick whose frame completes a run to UP
    gap          1 while no valid frame has come for `link_degraded`
    good, lost, ever_good   the link
    """

    def __init__(self, settings, times):
        self.s = settings
        self.t = times
        self.shows = NOWHERE
        self.valid = 0
        self.down_shown = 0
        self.up_moved = 0
        self.gap = 0
        self.good = 0
        self.lost = 1
        self.ever_good = 0
        self.quiet = LONG_AGO
        self.spanned = 0
        self.out_for = 0
        self.zone = NOWHERE
        self.side = NOWHERE
        self.agreeing = 0
        self.mark_age = LONG_AGO
        self.mark_fine = 0

    def see(self, fresh, width_us, mark_fresh, mark_us):
        self.valid = self._is_valid(fresh, width_us, mark_fresh, mark_us)
        self._link()
        self._runs(width_us)

    def _is_valid(self, fresh, width_us, mark_fresh, mark_us):
        s = self.s
        if s.signature_channel != 0:
            self.mark_age = min(self.mark_age + 1, self.t.signature_age)
            if mark_fresh == 1 and 800 <= mark_us <= 2200:
                self.mark_age = 0
                self.mark_fine = int(not s.signature_low_us <= mark_us <= s.signature_high_us)
            # A pulse as old as `signature_age` is a tick too old: it was there before this tick began.
            if self.mark_age >= self.t.signature_age or not self.mark_fine:
                return 0
        return int(fresh == 1 and 800 <= width_us <= 2200)

    def _link(self):
        t = self.t
        before = self.quiet
        self.quiet = 0 if self.valid else min(self.quiet + 1, t.link_degraded + 1)
        self.gap = int(self.quiet >= t.link_degraded)
        if self.gap:
            self.good = self.spanned = 0
            # A gap counts as a whole once it is one; what came before power-on is not known and counts for nothing.
            completes = before == t.link_degraded - 1
            self.out_for = min(self.out_for + (t.link_degraded if completes else 1), t.link_force)
        elif not self.good:
            self.spanned = min(self.spanned + 1, t.link_recover)
            if self.spanned == t.link_recover and self.valid:
                self.good = self.ever_good = 1
                self.spanned = 0
        if self.good:
            self.out_for = 0
        self.lost = int(self.out_for >= t.link_force)

    def _runs(self, width_us):
        s, t = self.s, self.t
        self.shows, self.down_shown, self.up_moved = NOWHERE, 0, 0
        if self.gap:
            self.zone = NOWHERE
            if self.side == 1:
                self.side, self.agreeing = NOWHERE, 0
        if not self.valid:
            return
        if width_us <= s.gear_low_us:
            self.shows = 1 - s.gear_up_high
        elif width_us >= s.gear_high_us:
            self.shows = s.gear_up_high
        else:
            self.shows = self.zone
        if self.shows == NOWHERE:
            return
        if self.shows != self.side:
            self.side, self.agreeing = self.shows, 0
        self.agreeing = min(self.agreeing + 1, t.run + 1)
        if self.agreeing >= t.run:
            self.zone = self.shows
            self.down_shown = int(self.shows == 0)
            self.up_moved = int(self.shows == 1 and self.agreeing == t.run)


def judge_decoders(hands, frames, link, switch, raw):
    """What is broken in this tick, "" for nothing. `raw` is the second path's decoder."""
    if frames.valid != hands.valid:
        return "SR-06: a frame is called valid that is not one, or the other way round"
    if switch.frame != hands.shows:
        return "SR-09: a frame shows a position that it does not carry"
    if switch.down_run != hands.down_shown:
        return "SR-08: a run to DOWN is not seen in the tick in which it completes or goes on, or is seen without one"
    if switch.up_done != hands.up_moved:
        return "SR-09: a move to UP is not seen in the one tick in which its run completes, or is seen without one"
    if (link.state == 0) != (hands.good == 1):
        return "SR-06: the link is called good while it is not, or the other way round"
    if hands.ever_good and (link.state == 2) != (hands.lost == 1):
        return "SR-06: gaps add up to link_force and are not a loss, or the other way round"
    if link.was_good != hands.ever_good:
        return "SR-06: the link is remembered wrongly"
    if (raw.shown_down, raw.moved_up) != (hands.down_shown, hands.up_moved):
        return "SR-11: the second path sees another run than there is"
    if raw.good != hands.good:
        return "SR-11: the second path calls the link good while it is not, or the other way round"
    if raw.gaps < hands.out_for:
        return "SR-11: the second path counts less time without frames than there is"
    return ""
