"""Which rare corners a flight really met, from what was flown and not from what was meant, and how many are needed.

A corner counts only while the flight is healthy.
"""

from controller import codes

from .judge import judge
from .plan import STROKE_S

NEAR_S = 0.1  # how close to the force time a dropout counts as just below it
NEAR_BAR = 0.12
MOVING = (0.02, 0.98)
LEAST_MOVING_S = 0.2


def silences(plan, record):
    """(from, until) of each time without a frame of the pilot's of `link_degraded` or longer, as the wire showed it."""
    gap_s = plan.aircraft.settings.link_degraded_ms / 1000.0
    found, last_s = [], None
    for t_s, heard in zip(record.t_s, record.heard, strict=True):
        if heard:
            if last_s is not None and t_s - last_s >= gap_s:
                found.append((last_s, t_s))
            last_s = t_s
    return found


def met(plan, record, verdict=None):
    """Set of the names in CORNERS that a flight met while healthy."""
    verdict = verdict or judge(plan, record)
    until_s = verdict.left_s if verdict.left_s is not None else record.t_s[-1]
    view = _View(plan, record, until_s)
    return {name for name, (test, _) in CORNERS.items() if test(view)}


class _View:
    """What the corner tests look at."""

    def __init__(self, plan, record, until_s):
        self.plan = plan
        self.settings = plan.aircraft.settings
        self.until_s = until_s
        rows = zip(record.t_s, record.command, record.travel, record.tank_bar, strict=True)
        self.rows = [row for row in rows if row[0] <= until_s]
        self.silences = [row for row in silences(plan, record) if row[1] <= until_s]
        self.began = [
            t_s for (_, was, _, _), (t_s, now, _, _) in zip(self.rows, self.rows[1:], strict=False) if now > was
        ]
        budget = plan.installation.errors_bar
        self.lowest_bar = min(low for low, _ in budget)
        self.stated_bar = self.settings.sensor_error_mbar / 1000.0

    def is_up(self, from_s, until_s):
        """Whether the command was UP all the time between; False for a time outside the healthy flight."""
        if not 0.0 <= from_s < until_s <= self.until_s:
            return False
        return all(command == codes.UP for t_s, command, _, _ in self.rows if from_s <= t_s <= until_s)

    def moves_in(self, from_s, until_s, command):
        """Whether a leg was under way under that command for LEAST_MOVING_S of the time between."""
        inside = [row for row in self.rows if from_s <= row[0] <= until_s]
        moving = [row for row in inside if row[1] == command and MOVING[0] < row[2] < MOVING[1]]
        return len(moving) * self.settings.tick_ms >= 1000 * LEAST_MOVING_S

    def tapped(self, from_s, until_s):
        """Whether a brake tap began in that time after a retraction began."""
        return any(from_s <= tap[0] - t_s < until_s for tap in self.plan.taps for t_s in self.began)

    def reads_low(self):
        """Whether a sensor reads low by nine tenths of what is left of the stated error besides the noise."""
        return self.lowest_bar <= -0.9 * (self.stated_bar - self.settings.sensor_noise_mbar / 1000.0)

    def near_floor(self):
        floor_bar = self.settings.force_below_mbar / 1000.0 + self.stated_bar
        return any(command == codes.UP and tank < floor_bar + NEAR_BAR for _, command, _, tank in self.rows)

    def at_permit(self):
        enough_bar = self.settings.retract_above_mbar / 1000.0 + self.stated_bar
        return any(t_s in self.began and tank < enough_bar + NEAR_BAR for t_s, _, _, tank in self.rows)

    def near_limit(self):
        return [row for row in self.silences if row[1] - row[0] >= self.settings.link_force_ms / 1000.0 - NEAR_S]

    def long_in_stroke(self, command):
        return any(row[1] - row[0] >= 0.4 and self.moves_in(*row, command) for row in self.silences)

    def pairs(self):
        """(length, pause, length) of silences that follow each other with the gear up."""
        for (a, b), (c, d) in zip(self.silences, self.silences[1:], strict=False):
            if self.is_up(a, d):
                yield b - a, c - b, d - c

    def overlaps_up(self, spans):
        return any(self.is_up(max(span[0], 0.0), min(span[1], self.until_s)) for span in spans)


def _close(view):
    recover_s, force_s = view.settings.link_recover_ms / 1000.0, view.settings.link_force_ms / 1000.0
    return any(pause < recover_s and first + second >= force_s - 3 * NEAR_S for first, pause, second in view.pairs())


def _apart(view):
    near_s = view.settings.link_force_ms / 1000.0 - 2 * NEAR_S
    return any(min(first, second) >= near_s and pause < 0.9 for first, pause, second in view.pairs())


def _down_in_silence(view):
    downs = [t_s for t_s, up in view.plan.moves if not up]
    return any(from_s < t_s < until_s for from_s, until_s in view.silences for t_s in downs)


def _dips(view):
    longest_s = view.settings.supply_confirm_ms / 1000.0
    return view.overlaps_up([dip for dip in view.plan.dips if dip[1] - dip[0] >= 0.6 * longest_s])


def _low_source(view):
    """Two seconds with the gear up."""
    if not view.plan.low_source:
        return False
    from_s, until_s, _ = view.plan.low_source
    ticks = sum(row[1] == codes.UP for row in view.rows if from_s <= row[0] < until_s)
    return ticks * view.settings.tick_ms >= 2000


def _glitched(view, command):
    """Runs of interference one frame short of a run, on the gear channel, for two seconds under that command."""
    for from_s, until_s, channel, _, run in view.plan.glitches:
        if channel == "gear" and run == view.settings.switch_frames - 1:
            ticks = sum(row[1] == command for row in view.rows if from_s <= row[0] < until_s)
            if ticks * view.settings.tick_ms >= 2000:
                return True
    return False


# name: (test of a _View, least share of all flights). Half of a stratum at least has to have worked.
CORNERS = {
    "dropout just below the limit, gear up": (lambda v: any(v.is_up(*row) for row in v.near_limit()), 1 / 48),
    "dropout in the up stroke": (lambda v: v.long_in_stroke(codes.UP), 1 / 48),
    "dropout in the down stroke": (lambda v: v.long_in_stroke(codes.DOWN), 1 / 48),
    "two dropouts that count as one": (_close, 1 / 48),
    "two dropouts just far enough apart": (_apart, 1 / 48),
    "DOWN during a dropout": (_down_in_silence, 1 / 48),
    "noise at its peak, sample to sample": (lambda v: v.plan.noise == "peak", 1 / 24),
    "noise at its peak, slow": (lambda v: v.plan.noise == "slow peak", 1 / 24),
    "reads low, truth near the floor, gear up": (lambda v: v.reads_low() and v.near_floor(), 1 / 48),
    "reads low, retraction near the permit": (lambda v: v.reads_low() and v.at_permit(), 1 / 24),
    "sensors at opposite ends": (lambda v: v.plan.stratum == "sensors at opposite ends", 1 / 48),
    "brake tap right before the up stroke": (lambda v: v.tapped(-0.9, 0.0), 1 / 48),
    "brake tap in the up stroke": (lambda v: v.tapped(0.0, STROKE_S), 1 / 24),
    "brake tap right after the up stroke": (lambda v: v.tapped(STROKE_S, STROKE_S + 1.0), 1 / 48),
    "colder by 8 K, gear up": (lambda v: bool(v.plan.climb) and v.plan.climb[3] <= -8.0, 1 / 24),
    "climb of 300 m": (lambda v: bool(v.plan.climb) and v.plan.climb[2] >= 300.0, 1 / 24),
    "supply dip of most of its confirm time, gear up": (_dips, 1 / 48),
    "low source, gear up": (_low_source, 1 / 48),
    "interference a frame short of a run, gear up": (lambda v: _glitched(v, codes.UP), 1 / 24),
    "interference a frame short of a run, gear down": (lambda v: _glitched(v, codes.DOWN), 1 / 24),
    "sensor gap, gear up": (lambda v: v.overlaps_up(v.plan.gaps), 1 / 48),
    "late tick, gear up": (lambda v: any(v.is_up(t - 0.1, t + 0.2) for t, _ in v.plan.late), 1 / 48),
    "clock off by 5 %": (lambda v: abs(v.plan.clock_percent - 100.0) >= 5.0, 1 / 48),
}


def needed(n_flights):
    """Least count of each corner in that many flights, {name: int}."""
    return {name: max(1, int(share * n_flights)) for name, (_, share) in CORNERS.items()}
