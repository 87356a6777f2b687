"""What happened in a flight, as moments: falls, moves of the stick, alerts, hazards. Read from rows and plant only."""

from controller import codes

from .case import UNLOCKED_AFTER_MS
from .expected import LINK_UNSEEN, STAYS_UP, UNHEEDED, UNLOCKED, UP_UNASKED, ms
from .watch import ALERTS, COMMAND, LATCHED, LOCKED, REFUSAL, STICK, T_US, TRAVEL

MOVED_MS = 300
UP_STROKE_MS = 4000


def alert_words(flags):
    """Words of a row's active alerts."""
    return {codes.ALERT_WORDS[index] for index, flag in enumerate(flags) if flag}


def cause_words(flags):
    """Words of a row's latched causes."""
    return {codes.CAUSE_WORDS[index] for index, flag in enumerate(flags) if flag}


class Story:
    """Moments of one Flown, times in ms since power-on, None where there is none.

    up_ms, fall_ms        first row with UP at or after the onset, first change to DOWN after that
    fall_causes           causes latched at the fall; fall_stick the stick then
    change_ms             first change of the command at or after the onset
    alert_ms              {word: when it was first active}; causes_seen, refusals_seen sets of words
    moves                 [(ms, followed, refusal shown)] of each move of the stick to UP that was flown past
    hazards               set of hazards of expected.py
    """

    def __init__(self, flown):
        self.rows = flown.watch.rows
        self.end_ms = flown.flight.bench.t_us / 1000.0
        self.up_ms = self.fall_ms = self.change_ms = self.down_ms = None
        self.fall_causes, self.fall_stick, self.fall_alerts = set(), None, set()
        self.alert_ms, self.causes_seen, self.refusals_seen = {}, set(), set()
        self.moves, self.hazards = [], set()
        self._follow(flown.up_at_onset)
        self._moves()
        self._find_hazards(flown)

    def _follow(self, up):
        before, flags, latched = up, None, None
        for row in self.rows:
            t_ms, command = row[T_US] / 1000.0, row[COMMAND]
            if command != before and self.change_ms is None:
                self.change_ms = t_ms
            if command == codes.UP:
                self.down_ms = None
                if self.up_ms is None:
                    self.up_ms = t_ms
            elif self.down_ms is None:
                self.down_ms = t_ms
            if before and command == codes.DOWN and self.fall_ms is None:
                self.fall_ms, self.fall_stick = t_ms, row[STICK]
                self.fall_causes, self.fall_alerts = cause_words(row[LATCHED]), alert_words(row[ALERTS])
            if row[ALERTS] != flags:
                flags = row[ALERTS]
                for word in alert_words(flags):
                    self.alert_ms.setdefault(word, t_ms)
            if row[LATCHED] != latched:
                latched = row[LATCHED]
                self.causes_seen |= cause_words(latched)
            if row[REFUSAL]:
                self.refusals_seen.add(codes.REFUSAL_WORDS[row[REFUSAL]])
            before = command

    def _moves(self):
        before = codes.UP if self.rows and self.rows[0][STICK] == codes.UP else codes.DOWN
        for index, row in enumerate(self.rows):
            if row[STICK] == codes.UP and before == codes.DOWN:
                due_us = row[T_US] + MOVED_MS * 1000
                seen = [later for later in self.rows[index : index + 80] if later[T_US] <= due_us]
                if self.rows[-1][T_US] >= due_us:
                    followed = any(later[COMMAND] == codes.UP for later in seen)
                    self.moves.append((row[T_US] / 1000.0, followed, bool(seen[-1][REFUSAL])))
            before = row[STICK]

    def _find_hazards(self, flown):
        expected, settings = flown.case.expected, flown.flight.bench.aircraft.settings
        if flown.watch.up_without_stick_us is not None:
            self.hazards.add(UP_UNASKED)
        self._unlocked(flown, settings)
        self._against_the_stick(flown)
        if LINK_UNSEEN in expected.hazards:
            blind_ms = flown.case.onset_ms + settings.link_force_ms + 1000
            if any(row[COMMAND] == codes.UP and row[T_US] > blind_ms * 1000 for row in self.rows):
                self.hazards.add(LINK_UNSEEN)

    def _unlocked(self, flown, settings):
        """Commanded DOWN, or without power, for the time of an extension and more, and not locked in the end."""
        tank_bar, travel, _, stick, locked = flown.flight.bench.truth()
        limit_ms = settings.extend_ms + UNLOCKED_AFTER_MS
        dead = not flown.flight.bench.powered
        since_ms = self.rows[-1][T_US] / 1000.0 if dead and self.rows else self.down_ms
        if not locked and (since_ms is not None and self.end_ms - since_ms >= limit_ms):
            self.hazards.add(UNLOCKED)
        if not locked and dead and travel < 0.5:
            self.hazards.add(STAYS_UP)

    def _against_the_stick(self, flown):
        """Stick and command apart for longer than it takes, the stick being the pilot's own."""
        down_for = up_for = legs_for = 0
        was_locked = False
        within_ms = ms(flown.case.expected.down_within, flown.flight.bench.aircraft) + 40
        for row in self.rows:
            down_for = down_for + 1 if row[STICK] == codes.DOWN else 0
            if down_for * 20 > within_ms and row[COMMAND] == codes.UP:
                self.hazards.add(STAYS_UP)
            # A gear that the pilot has sent up since is no more the one that was locked.
            was_locked = row[STICK] == codes.DOWN and (was_locked or row[LOCKED])
            if was_locked and down_for * 20 > MOVED_MS and row[TRAVEL] < 0.9 and row[COMMAND] == codes.UP:
                self.hazards.add(UP_UNASKED)
            up_for = up_for + 1 if row[COMMAND] == codes.UP and row[STICK] == codes.UP else 0
            legs_for = legs_for + 1 if up_for and row[TRAVEL] > 0.5 else 0
            if legs_for * 20 > UP_STROKE_MS:
                self.hazards.add(UNHEEDED)
