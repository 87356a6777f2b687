"""Observers of the requirements, one method a sentence, written from the sentences alone.

They keep their own picture of the inputs: widths to positions, gaps to link, three samples to a median. They share no
code and no constant with the controller. Each asserts what must be so in every flight; it may be weaker than the
sentence, never stronger.
"""

# Codes of the outputs, as their documentation gives them.
DOWN, UP = 0, 1
LOW_AIR, BURST, STROKE_LOSS, PRESSURE, LINK, SUPPLY, LATE, CLOCK, SECOND_PATH = range(9)
FOR_GOOD = {BURST, STROKE_LOSS, CLOCK, SECOND_PATH}

# The default settings in ticks of 20 ms.
RUN = 3
DEGRADED = 5
LINK_RECOVER = 10
LINK_FORCE = 50
SETTLE = 100
PERMIT = 10
CONFIRM = 25
HEAL = 10
RECOVER = 100
HOLD = 10
STROKE = 175
RETRACT_MBAR = 5600
FORCE_MBAR = 4700
SUPPLY_MV = 4500
MARGIN_MV = 300


class Sight:
    """What may be known of one tick. `mbar` None for a sample that cannot be one."""

    def __init__(self, width_us, valid, mbar, supply_mv, light_on, before, outputs):
        self.width_us = width_us
        self.valid = valid
        self.mbar = mbar
        self.supply_mv = supply_mv
        self.light_on = light_on
        self.before = before
        self.after = outputs.gear_command
        self.causes = {cause for cause in range(9) if outputs.latched[cause] == 1}
        self.light = outputs.light
        self.refused = outputs.refusal != 0
        self.began_up = before == DOWN and self.after == UP
        self.fell = before == UP and self.after == DOWN


class Hands:
    """The switch by the definition of a run. `zone` is what a frame in the dead zone says: the position last confirmed,
    nothing after a gap, since what was shown before a loss counts for nothing."""

    def __init__(self):
        self.zone = None
        self.side = None
        self.run = 0
        self.silence = 10**6
        self.down_shown = False
        self.up_completes = False

    def see(self, sight):
        self.down_shown = False
        self.up_completes = False
        self.silence = 0 if sight.valid else self.silence + 1
        if self.silence == DEGRADED:
            self.zone = None
            if self.side == "up":
                self.run = 0
        if not sight.valid:
            return
        side = "down" if sight.width_us <= 1300 else "up" if sight.width_us >= 1700 else self.zone
        if side is None:
            return
        self.run = self.run + 1 if side == self.side else 1
        self.side = side
        if self.run >= RUN:
            self.zone = side
            self.down_shown = side == "down"
            self.up_completes = side == "up" and self.run == RUN


class Radio:
    """The link, good or not, and the one timer of time without frames."""

    def __init__(self):
        self.silence = 10**6
        self.spanned = 0
        self.good = False
        self.ever_good = False
        self.outage = 0

    def see(self, sight):
        self.silence = 0 if sight.valid else self.silence + 1
        if self.silence >= DEGRADED:
            self.good = False
            self.spanned = 0
            self.outage += DEGRADED if self.silence == DEGRADED else 1
        else:
            self.spanned += 1
            if self.spanned >= LINK_RECOVER and sight.valid:
                self.good = self.ever_good = True
        if self.good:
            self.outage = 0


class Gauge:
    """Median of three samples, None while one of them is missing, and since when all samples were good."""

    def __init__(self):
        self.last = [None, None, None]
        self.mbar = None
        self.good_for = 0

    def see(self, sight):
        self.last = self.last[1:] + [sight.mbar]
        self.mbar = None if None in self.last else sorted(self.last)[1]
        self.good_for = 0 if sight.mbar is None else self.good_for + 1


class Observers:
    """`see` every tick; an assertion fails where a sentence is broken."""

    def __init__(self):
        self.hands = Hands()
        self.radio = Radio()
        self.gauge = Gauge()
        self.settled = 0
        self.woken = False
        self.armed = False
        self.enough_for = 0
        self.supply_for = 0
        self.low_for = 0
        self.sag = 0
        self.sag_over_for = 0
        self.held = set()
        self.absent_for = 0
        self.down_ticks = 0
        self.down_frames = 0
        self.down_for = 0

    def see(self, sight):
        self.hands.see(sight)
        self.radio.see(sight)
        self.gauge.see(sight)
        self.sr10_one_move_one_retraction(sight)
        self.sr01_waking(sight)
        self.sr02_permits(sight)
        self.sr03_low_air(sight)
        self.sr06_lost_link(sight)
        self.sr07_latches(sight)
        self.sr08_down_wins(sight)
        self.sr09_only_runs_and_causes(sight)
        self.sr13_supply(sight)
        self.sr22_light(sight)
        self.held = sight.causes

    def sr10_one_move_one_retraction(self, sight):
        if not self.radio.good:
            self.armed = False
        if sight.began_up:
            assert self.hands.up_completes, "UP in a tick in which no move completes"
            assert self.armed, "UP by a move whose DOWN is too old"
        released = self.held and not sight.causes
        if self.hands.up_completes or sight.fell or released:
            self.armed = False
        if self.hands.down_shown and self.radio.good:
            self.armed = True

    def sr01_waking(self, sight):
        if self.settled >= SETTLE and self.hands.down_shown:
            self.woken = True
        self.settled = self.settled + 1 if self.radio.good else 0
        if not self.woken:
            assert sight.after == DOWN, "UP before the first sequence"

    def sr02_permits(self, sight):
        enough = self.gauge.mbar is not None and self.gauge.mbar >= RETRACT_MBAR
        self.enough_for = self.enough_for + 1 if enough else 0
        self.supply_for = self.supply_for + 1 if sight.supply_mv >= SUPPLY_MV + MARGIN_MV else 0
        if sight.began_up:
            assert self.radio.good, "UP without a good link"
            assert not sight.causes, "UP with a latch"
            assert self.enough_for >= PERMIT, "UP without enough air for its time"
            assert self.supply_for >= 1, "UP without supply"
        if self.hands.up_completes and sight.before == DOWN and sight.after == DOWN:
            assert sight.refused, "a refused move that does not show"

    def sr03_low_air(self, sight):
        believed = self.gauge.mbar is not None and self.gauge.good_for > HEAL
        low = believed and self.gauge.mbar < FORCE_MBAR and sight.before == UP
        self.low_for = self.low_for + 1 if low else 0
        if self.low_for >= CONFIRM:
            assert sight.after == DOWN, "UP with low air"
        if LOW_AIR in sight.causes - self.held:
            assert sight.before == UP
            assert self.gauge.mbar is not None and self.gauge.mbar < FORCE_MBAR, "forced without low air"

    def sr06_lost_link(self, sight):
        if self.radio.outage >= LINK_FORCE and self.radio.ever_good:
            assert sight.after == DOWN, "UP without a link"
            assert LINK in sight.causes, "a lost link that does not latch"
        if LINK in sight.causes - self.held:
            assert self.radio.outage >= LINK_FORCE, "forced by a link that is not lost"

    def sr07_latches(self, sight):
        if sight.causes:
            assert sight.after == DOWN, "UP with a latch"
        assert not (self.held & FOR_GOOD) - sight.causes, "released before power-off"
        if self.held:
            assert not sight.causes or self.held <= sight.causes, "released one by one"
        absent = bool(self.held)
        if LINK in self.held:
            absent = absent and self.radio.good
        if LOW_AIR in self.held:
            absent = absent and self.gauge.mbar is not None and self.gauge.mbar >= RETRACT_MBAR
        if SUPPLY in self.held:
            absent = absent and sight.supply_mv >= SUPPLY_MV + MARGIN_MV
        if PRESSURE in self.held:
            absent = absent and sight.mbar is not None
        self.absent_for = self.absent_for + 1 if absent and not sight.causes - self.held else 0
        self._count_down_shown(sight)
        if self.held and not sight.causes:
            assert self.absent_for >= RECOVER + HOLD - 1, "released too early"
            assert self.down_ticks >= HOLD, "released before DOWN was shown for its time"
            assert self.down_frames >= RUN, "released by less than a run"

    def _count_down_shown(self, sight):
        if not self.radio.good or (sight.valid and self.hands.side != "down"):
            self.down_ticks = self.down_frames = 0
            return
        if sight.valid:
            self.down_frames += 1
        if self.down_frames > 0:
            self.down_ticks += 1

    def sr08_down_wins(self, sight):
        if self.hands.down_shown:
            assert sight.after == DOWN, "UP against a run to DOWN"

    def sr09_only_runs_and_causes(self, sight):
        if sight.fell and not sight.causes:
            assert self.hands.down_shown, "DOWN by neither a run nor a cause"
        if sight.began_up:
            assert sight.width_us >= 1700, "UP in the dead zone"

    def sr13_supply(self, sight):
        if sight.supply_mv < SUPPLY_MV:
            self.sag += 1
            self.sag_over_for = 0
        else:
            self.sag_over_for += 1
            if self.sag_over_for >= HEAL:
                self.sag = 0
        if self.sag >= CONFIRM:
            assert sight.after == DOWN, "UP without supply"
            assert SUPPLY in sight.causes, "low supply that does not latch"
        if SUPPLY in sight.causes - self.held:
            assert self.sag >= CONFIRM, "forced by a short sag"
        if sight.supply_mv < SUPPLY_MV + MARGIN_MV:
            assert sight.light == 0, "light not shed"

    def sr22_light(self, sight):
        self.down_for = self.down_for + 1 if sight.after == DOWN else 0
        if sight.light == 1:
            assert sight.after == DOWN, "light with UP"
            assert sight.light_on, "light against its switch"
            assert self.down_for >= STROKE, "light before the stroke is over"
