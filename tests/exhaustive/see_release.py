"""Observers of the release of latches (SR-07) and of the second path's veto (SR-11)."""

from .see_flight import FOR_GOOD, LATE, LINK, LOW_AIR, NOT_MEASURED, PRESSURE, SECOND_PATH, SUPPLY, has


class Release:
    """SR-07: together, each known absent for `recover`, and DOWN then shown for `release_hold`."""

    def __init__(self, settings, times):
        self.s = settings
        self.t = times
        self.held = 0
        self.away_for = 0
        self.shown_for = 0
        self.frames = 0

    def see(self, after, causes, good, shows, woken, gauge, supply_mv):
        """`woken` as Moves had it before this tick."""
        gone = self.held & ~causes
        broken = ""
        if gone & FOR_GOOD:
            broken = "SR-07: a cause is released that stays until power-off"
        elif gone & ~(1 << LATE) and causes:
            broken = "SR-07: one cause is released while another holds"
        elif gone & ~(1 << LATE):
            broken = self._judge(good, shows, gauge, supply_mv)
        self._count(causes, good, shows, woken, gauge, supply_mv)
        if gone and not broken and not causes:
            self.away_for = self.shown_for = self.frames = 0
        self.held = causes
        return (broken,)

    def _judge(self, good, shows, gauge, supply_mv):
        t = self.t
        if self.away_for < t.recover or not self._absent(self.held & ~(1 << LATE), good, gauge, supply_mv):
            return "SR-07: released before every cause was known absent for recover"
        if self.shown_for + 1 < t.release_hold or self.frames + 1 < t.run:
            return "SR-07: released before DOWN was shown for release_hold and a run"
        if shows != 0:
            return "SR-07: released in a tick that does not show DOWN"
        return ""

    def _count(self, causes, good, shows, woken, gauge, supply_mv):
        if not causes or not self._absent(causes, good, gauge, supply_mv) or not woken:
            self.away_for = self.shown_for = self.frames = 0
            return
        if self.away_for < self.t.recover:
            self.away_for += 1
            return
        if not good or shows == 1:
            self.shown_for = self.frames = 0
        elif shows == 0:
            self.frames = min(self.frames + 1, self.t.run)
            self.shown_for = min(self.shown_for + 1, self.t.release_hold)
        elif self.frames:
            self.shown_for = min(self.shown_for + 1, self.t.release_hold)

    def _absent(self, causes, good, gauge, supply_mv):
        read, mbar, lost, _ = gauge
        absent = not causes & FOR_GOOD
        if has(causes, LINK):
            absent = absent and good
        if has(causes, LOW_AIR):
            absent = absent and read and mbar >= self.s.retract_above_mbar
        if has(causes, PRESSURE):
            absent = absent and read and not lost
        if has(causes, SUPPLY) and supply_mv != NOT_MEASURED:
            absent = absent and supply_mv >= self.s.supply_force_mv + 300
        return bool(absent)


class Veto:
    """SR-11: the second path turns UP into DOWN and nothing else, and never against a sound mode logic."""

    def see(self, before, after, wanted, leave, causes):
        if after == 1 and wanted == 0:
            return ("SR-11: the second path turned DOWN into UP",)
        if after == 1 and leave == 0:
            return ("SR-11: UP without the second path's leave",)
        if has(causes, SECOND_PATH):
            return ("SR-11: a sound mode logic was vetoed",)
        return ("",)
