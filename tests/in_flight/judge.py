"""One flown case against the table and the truth: an outcome, what is wrong with it if anything, and the times."""

from controller import codes
from host_sim.faults import CATALOGUE

from .air_truth import cause_names
from .base_flights import PHASE_BY_NAME
from .case import SLACK_MS
from .expected import FILLING, UNLOCKED, ms
from .story import Story, alert_words
from .verdict import ALERTED, FORCED, LIMIT, NO_EFFECT, REFUSED, WRONG, Verdict
from .watch import ALERTS, COMMAND, FEED, LOCKED, LOW, MAY, MUST, SAYS_LOCKED, T_US

NOT_FED = ("late ticks", "clock rate")
RESTARTING = ("brown-out", "reset", "late ticks", "clock rate")
# What happens once: with the gear down nothing is asked for, and what UP comes later is not its concern.
EVENTS = ("brown-out", "reset", "late ticks")
AIR_CAUSES = {"low air", "burst", "air lost in stroke"}
# An alert is looked for a receiver frame and two ticks after it is due.
SEEN_MS = SLACK_MS + 20


class Judge:
    """Judges one case.Flown. `base_alerts` are the alert words and refusals that the flight shows without a failure."""

    def __init__(self, flown, base_words):
        self.flown, self.case = flown, flown.case
        self.expected = flown.case.expected
        self.aircraft = flown.flight.bench.aircraft
        self.settings = self.aircraft.settings
        self.story = Story(flown)
        self.wrong = []
        self.rests_on = set(self.expected.rests_on) | {"SR-10", "SR-18", "SR-22"}
        self.reaction_ms = self.allowed_ms = None
        self.base_words = base_words

    def verdict(self):
        """Verdict of the case."""
        for t_us, requirement, what in self.flown.watch.broken:
            self._fault(requirement, f"{what} at {t_us / 1e6:.2f} s")
        self._air()
        self._reaction()
        self._nuisance()
        self._alert()
        self._moves()
        self._board()
        self._locks()
        extra = self.story.hazards - set(self.expected.hazards)
        for hazard in sorted(extra):
            self._fault("SR-08", hazard)
        return self._sum_up()

    def _fault(self, requirement, what):
        self.rests_on.add(requirement)
        self.wrong.append(f"{requirement}: {what}")

    def _is_sound_air(self):
        return CATALOGUE[self.case.variant.failure].device not in ("sensor", "rail")

    def _air(self):
        """SR-03, SR-04 and SR-12 by the plant's own pressure."""
        self.may = set()
        if not self._is_sound_air():
            self.may = AIR_CAUSES
            return
        told, may = False, 0
        for row in self.flown.watch.rows:
            may |= row[MAY]
            if row[MUST] and row[COMMAND] == codes.UP and not told:
                told = True
                self._fault("SR-03", f"UP with {', '.join(sorted(cause_names(row[MUST])))} at {row[T_US] / 1e6:.2f} s")
            if row[LOW]:
                self.rests_on.add("SR-12")
                if not row[ALERTS][codes.ALERT_AIR_LOW] and not told:
                    told = True
                    self._fault("SR-12", f"no air-low alert at {row[T_US] / 1e6:.2f} s")
        self.may = cause_names(may)
        if may:
            self.rests_on |= {"SR-03", "SR-04"}

    def _since(self):
        """The moment from which `within` and `alert_within` count with UP; None where nothing is asked for."""
        if self.expected.since == "stroke":
            return self.story.change_ms
        onset = 0 if self.case.variant.before_flight else self.case.onset_ms
        if self.flown.up_at_onset:
            return onset
        if self.case.variant.failure in EVENTS:
            return None
        return None if self.story.up_ms is None else max(onset, self.story.up_ms)

    def _reaction(self):
        expected, story = self.expected, self.story
        since_ms = self._since()
        if story.fall_ms is not None and since_ms is not None and self._was_forced():
            self.reaction_ms = story.fall_ms - since_ms
        if expected.up not in ("forced", "reset", "switch") or since_ms is None:
            return
        if expected.since == "stroke" and story.change_ms != story.up_ms:
            return
        self.allowed_ms = ms(expected.within, self.aircraft) + SLACK_MS
        due_ms = since_ms + self.allowed_ms
        rows = self.flown.watch.rows
        after = [row for row in rows if row[T_US] / 1000.0 >= due_ms]
        down_ms = next(
            (r[T_US] / 1000.0 for r in rows if r[T_US] / 1000.0 >= since_ms and r[COMMAND] == codes.DOWN), None
        )
        if down_ms is not None and down_ms <= due_ms:
            return
        if expected.up == "reset" and not self.flown.flight.bench.powered:
            return
        if after and down_ms is None or down_ms is not None and down_ms > due_ms:
            self._fault(expected.rests_on[0], f"DOWN was due at {due_ms / 1000:.2f} s")
        elif not after:
            self._fault("SR-36", "the flight was not flown to the time of its reaction")

    def _was_forced(self):
        return self.story.fall_causes or self.story.fall_stick == codes.UP or self.flown.watch.resets > 0

    def _nuisance(self):
        """A fall that nothing asked for, one for another cause than it should be, and one without its alert."""
        expected, story = self.expected, self.story
        if story.fall_ms is None:
            return
        causes = story.fall_causes
        if causes:
            self.rests_on.add("SR-25")
            if not story.fall_alerts & {"gear forced down", "gear held down"}:
                self._fault("SR-25", "forced without saying so")
            ours = set(expected.causes) | (self.may if expected.up != "forced" or not expected.causes else self.may)
            if expected.up == "may" and not expected.causes:
                ours = causes
            if expected.up == "held" and not causes & self.may:
                self._fault("SR-09", f"forced by {', '.join(sorted(causes))}, which nothing asked for")
            elif not causes & ours:
                self._fault("SR-09", f"forced by {', '.join(sorted(causes))}")
            elif (
                expected.up in ("may", "held")
                and causes <= AIR_CAUSES
                and self._is_sound_air()
                and not causes & self.may
            ):
                self._fault("SR-09", f"forced by {', '.join(sorted(causes))} with air enough")
        elif story.fall_stick == codes.UP and expected.up not in ("reset", "switch", "may"):
            self._fault("SR-09", "DOWN by neither the stick nor a cause")

    def _alert(self):
        expected, story = self.expected, self.story
        if not expected.alerts:
            return
        onset = 0 if self.case.variant.before_flight else self.case.onset_ms
        since_ms = onset
        if expected.since == "stroke":
            since_ms = story.change_ms
        elif expected.alert_with == "up":
            since_ms = self._since()
        elif expected.alert_with == "down":
            since_ms = None if story.down_ms is None else max(onset, story.down_ms)
        if since_ms is None or self._nothing_to_lose(onset):
            return
        due_ms = since_ms + ms(expected.alert_within, self.aircraft) + SEEN_MS
        if self.story.end_ms < due_ms or (expected.alert_with == "up" and not self._up_until(due_ms)):
            return
        seen = [story.alert_ms[word] for word in expected.alerts if word in story.alert_ms]
        if not seen or min(seen) > due_ms:
            self._fault(expected.rests_on[-1], f"none of {', '.join(expected.alerts)} at {due_ms / 1000:.2f} s")

    def _nothing_to_lose(self, onset_ms):
        """A link that had not been good yet cannot be lost (SR-01 holds the gear anyway)."""
        return "link lost" in self.expected.alerts and onset_ms < 600

    def _up_until(self, due_ms):
        return all(
            row[COMMAND] == codes.UP for row in self.flown.watch.rows if self._since() <= row[T_US] / 1e3 <= due_ms
        )

    def _moves(self):
        expected = self.expected
        settled_ms = ms(expected.settled, self.aircraft) + SLACK_MS
        onset = 0 if self.case.variant.before_flight else self.case.onset_ms
        filling = PHASE_BY_NAME[self.case.phase].kind == "filling"
        for move_ms, followed, shown in self.story.moves:
            if filling:
                self.rests_on.add("SR-19")
                if followed and self.flown.watch.resets:
                    self.story.hazards.add(FILLING)
                elif followed and self._is_sound_air():
                    self._fault("SR-19", "UP while the tank is being filled")
                continue
            if move_ms < onset + settled_ms or expected.move == "any":
                continue
            if expected.move == "followed":
                self.rests_on.add("SR-02")
                if not followed:
                    self._fault("SR-02", f"a move at {move_ms / 1000:.2f} s that was not followed")
                continue
            if followed:
                self._fault(expected.rests_on[0], f"UP at a move at {move_ms / 1000:.2f} s")
            elif expected.move == "refused" and not shown:
                self._fault("SR-02", f"a refusal at {move_ms / 1000:.2f} s that does not show")

    def _board(self):
        failure, watch = self.case.variant.failure, self.flown.watch
        self.rests_on.add("SR-31")
        if failure not in NOT_FED and not all(row[FEED] for row in watch.rows):
            self._fault("SR-31", "a tick that did not feed the watchdog")
        if failure not in RESTARTING and watch.resets:
            self._fault("SR-31", f"{watch.resets} restarts")

    def _locks(self):
        """SR-14: legs that are not locked are told, and are never told to be locked."""
        if not self.aircraft.switches.lock_count or self.case.variant.failure == "lock switch stuck closed":
            return
        self.rests_on.add("SR-14")
        due = (self.settings.extend_ms + self.settings.lock_margin_ms + SLACK_MS) // self.settings.tick_ms
        open_for = false_for = 0
        for row in self.flown.watch.rows:
            open_for = open_for + 1 if row[COMMAND] == codes.DOWN and not row[LOCKED] else 0
            false_for = false_for + 1 if row[SAYS_LOCKED] and not row[LOCKED] else 0
            if open_for == due + 2 and "not locked" not in alert_words(row[ALERTS]):
                self._fault("SR-14", f"a leg not locked at {row[T_US] / 1e6:.2f} s and no alert")
            if false_for == 15:
                self._fault("SR-14", f"told to be locked at {row[T_US] / 1e6:.2f} s and is not")

    def _sum_up(self):
        story, expected = self.story, self.expected
        alerts = set(story.alert_ms) - self.base_words
        refusals = story.refusals_seen - self.base_words
        forced = story.fall_ms is not None and bool(self._was_forced()) and not self._by_pilot()
        dead_down = not self.flown.flight.bench.powered and self.flown.up_at_onset and UNLOCKED not in story.hazards
        seen = bool(alerts or refusals or story.causes_seen)
        if self.wrong:
            outcome = WRONG
        elif story.hazards or (expected.unseen and not seen):
            outcome = LIMIT + expected.limit
        elif forced or dead_down:
            outcome = FORCED
        elif refusals:
            outcome = REFUSED
        elif alerts:
            outcome = ALERTED
        else:
            outcome = NO_EFFECT
        return Verdict(
            outcome,
            self.reaction_ms if forced else None,
            self.allowed_ms,
            story.hazards,
            alerts,
            story.causes_seen,
            refusals,
            forced or dead_down,
            self.wrong,
            self.rests_on,
        )

    def _by_pilot(self):
        """The pilot's own move to DOWN, with nothing latched."""
        return not self.story.fall_causes and self.story.fall_stick == codes.DOWN
