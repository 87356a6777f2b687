"""Judges two failures at once; pairs.py says what is judged."""

from controller import codes
from host_sim.faults import CATALOGUE

from .case import SLACK_MS
from .expected import INTERFERENCE, STAYS_UP, UNLOCKED, UP_UNASKED, ms
from .judge import AIR_CAUSES, EVENTS
from .story import Story
from .variants_radio import LOUD
from .verdict import ALERTED, FORCED, LIMIT, NO_EFFECT, REFUSED, WRONG, Verdict
from .watch import COMMAND, T_US

# A board that restarts or runs late may come to its decision later by this.
EVENT_MS = 1500
HIDDEN_AIR = "a wrong reading of the only sensor hides lost air"
HIDDEN_LINK = "valid pulses hide a lost link"
TWO_HOLES = "two holes at once"
SAME_PART = "two failures of one part, of which one shows"
LOSES_AIR = ("slow leak", "burst line", "torn hose", "brake drag")
VALID_PULSES = (
    "held pulses",
    "channel stuck high",
    "channel stuck low",
    "preset on loss",
    "channels swapped",
    "channel reversed",
)


class PairJudge:
    """Judges one pair."""

    def __init__(self, flown):
        self.flown, self.case = flown, flown.case
        self.aircraft = flown.flight.bench.aircraft
        self.story = Story(flown)
        self.wrong = []
        self.failures = {variant.failure for variant, _, _ in self.case.rows}

    def verdict(self):
        """Verdict of the pair."""
        for t_us, requirement, what in self.flown.watch.broken:
            self.wrong.append(f"{requirement}: {what} at {t_us / 1e6:.2f} s")
        limits = [limit for limit in (self._hazards(), self._reactions(), self._moves()) if limit]
        self._nuisance()
        rests_on = {"SR-10", "SR-18"}.union(*(row.rests_on for _, row, _ in self.case.rows))
        story = self.story
        forced = story.fall_ms is not None and (story.fall_causes or story.fall_stick == codes.UP)
        if self.wrong:
            outcome = WRONG
        elif limits:
            outcome = LIMIT + limits[0]
        else:
            outcome = FORCED if forced else REFUSED if story.refusals_seen else ALERTED if story.alert_ms else NO_EFFECT
        found = (story.hazards, set(story.alert_ms), story.causes_seen, story.refusals_seen)
        return Verdict(outcome, None, None, *found, bool(forced), self.wrong, rests_on)

    def _hides_air(self):
        sensor = any(CATALOGUE[failure].device in ("sensor", "rail") for failure in self.failures)
        return sensor and bool(self.failures & set(LOSES_AIR)) and len(self.aircraft.sensors) == 1

    def _hazards(self):
        """Name of the limit that admits every hazard that was found, "" without a hazard."""
        hazards = set(self.story.hazards)
        name = ""
        for _, row, _ in self.case.rows:
            if hazards & set(row.hazards):
                name = name or row.limit
                hazards -= set(row.hazards)
        if UNLOCKED in hazards and self._hides_air():
            name, hazards = HIDDEN_AIR, hazards - {UNLOCKED}
        if UNLOCKED in hazards and self.failures <= set(LOSES_AIR):
            name, hazards = TWO_HOLES, hazards - {UNLOCKED}
        if STAYS_UP in hazards and self.failures & set(VALID_PULSES):
            name, hazards = HIDDEN_LINK, hazards - {STAYS_UP}
        if UP_UNASKED in hazards and self.failures <= set(VALID_PULSES):
            # One says DOWN, the other UP: a move, to anyone who has only the pulses.
            name, hazards = SAME_PART, hazards - {UP_UNASKED}
        if hazards <= set(LOUD.hazards) and self.failures == {"glitches", "frame period"}:
            # Frames shorter than a tick: of two in one tick the clean one may go unseen.
            name, hazards = INTERFERENCE if hazards else name, set()
        self.wrong += [f"SR-08: {hazard}" for hazard in sorted(hazards)]
        return name

    def _reactions(self):
        """DOWN in time for each that asks for it; the name of what hides one from the controller."""
        if not self.flown.flight.bench.powered:
            return ""
        more_ms = EVENT_MS if self.failures & {*EVENTS, "clock rate"} else 0
        rows = self.flown.watch.rows
        for variant, row, onset_ms in self.case.rows:
            if row.up not in ("forced", "reset", "switch") or row.since == "stroke":
                continue
            due_ms = self._since(variant, onset_ms)
            if due_ms is None:
                continue
            due_ms += ms(row.within, self.aircraft) + SLACK_MS + more_ms
            late = [r for r in rows if r[T_US] / 1000.0 >= due_ms and r[COMMAND] == codes.UP]
            if not late or (row.up in ("reset", "switch") and self._has_moved()):
                continue
            if self._hidden_by_other(row):
                return self._hidden_by_other(row)
            self.wrong.append(f"{row.rests_on[0]}: {variant.label}: UP at {late[0][T_US] / 1e6:.2f} s")
        return ""

    def _hidden_by_other(self, row):
        """Name under which the other failure hides what this row asks for, "" where it must not."""
        if "link lost" in row.causes:
            return HIDDEN_LINK if self.failures & set(VALID_PULSES) else ""
        # With one copy damaged there is only one left: it is used, as SR-30 says.
        if self.failures == {"settings corrupt", "settings differ"}:
            return SAME_PART
        devices = {CATALOGUE[failure].device for failure in self.failures}
        if devices == {"sensor"} or (devices == {"receiver"} and row.up == "switch"):
            return SAME_PART
        return ""

    def _has_moved(self):
        """The pilot has moved the switch to up since: the UP that is seen is a new one."""
        return any(move_ms > self.case.onset_ms for move_ms, _, _ in self.story.moves)

    def _since(self, variant, onset_ms):
        if self.flown.up_at_onset:
            return onset_ms
        if variant.failure in EVENTS or self.story.up_ms is None:
            return None
        return max(onset_ms, self.story.up_ms)

    def _moves(self):
        """No retraction that one of them forbids; the name of what hides one from the controller."""
        name = ""
        late_ms = EVENT_MS if self.failures & set(EVENTS) else 0
        for variant, row, onset_ms in self.case.rows:
            settled_ms = onset_ms + ms(row.settled, self.aircraft) + SLACK_MS + late_ms
            hidden = self._hidden_by_other(row)
            for move_ms, followed, _ in self.story.moves:
                if row.move not in ("refused", "no") or not followed or move_ms < settled_ms:
                    continue
                name = name or hidden
                if not hidden:
                    self.wrong.append(f"{row.rests_on[0]}: {variant.label}: UP at a move at {move_ms / 1000:.2f} s")

        return name

    def _nuisance(self):
        """Neither asks, neither allows, and the air is there."""
        if self.story.fall_ms is None or any(row.up != "held" for _, row, _ in self.case.rows):
            return
        air = self.story.fall_causes <= AIR_CAUSES and self.failures & {*LOSES_AIR, "valve wire off", "valve stuck"}
        if self.story.fall_causes and not air:
            self.wrong.append(f"SR-09: forced by {', '.join(sorted(self.story.fall_causes))}")
