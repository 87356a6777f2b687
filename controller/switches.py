"""Lock switches on the legs and the ground switch: pin levels to what may be believed of them."""

from .codes import DOWN, LOCK_CLOSED, LOCK_DISTRUSTED, LOCK_NOT_FITTED, LOCK_OPEN, N_LEGS, NO, UP, YES
from .persist import Persist, Steady


class Ground:
    """SR-16. `clear` is 1 once the switch has read clear of the ground for `ground_clear`, or where none is fitted."""

    __slots__ = ("clear", "_fitted", "_level", "_steady")

    def __init__(self, settings, limits):
        self._fitted = settings.ground_fitted
        self._level = settings.ground_clear_level
        self._steady = Steady(limits.ground_ticks)
        self.clear = 0

    def step(self, level):
        if self._fitted == 0:
            self.clear = 1
            return
        if level == self._level:
            self.clear = self._steady.step(YES)
        else:
            self.clear = self._steady.step(NO)


class Locks:
    """SR-14. A leg is locked only while its switch says so and is trusted; closed with the gear up is never trusted.

    leg[4], all   LOCK_ codes; `all` is LOCK_CLOSED only when every fitted leg is
    overdue       1 while the gear is commanded down, the time to lock is over, and a leg is not locked
    distrusted    1 while any switch is not trusted
    """

    __slots__ = (
        "leg",
        "all",
        "overdue",
        "distrusted",
        "_n",
        "_level",
        "_open",
        "_closed",
        "_due",
        "_up_ticks",
        "_down",
        "_was_locked",
    )

    def __init__(self, settings, limits):
        self._n = settings.lock_count
        self._level = settings.lock_closed_level
        self.leg = [LOCK_NOT_FITTED] * N_LEGS
        self._open = [Persist(limits.lock_open_ticks, 2) for _ in range(N_LEGS)]
        self._closed = [Steady(2) for _ in range(N_LEGS)]
        for index in range(self._n):
            self.leg[index] = LOCK_OPEN
        self.all = LOCK_NOT_FITTED
        if self._n > 0:
            self.all = LOCK_OPEN
        self.overdue = 0
        self.distrusted = 0
        self._due = limits.lock_due_ticks
        self._up_ticks = limits.stroke_ticks
        self._down = 0
        self._was_locked = 0

    def step(self, inputs, command, strokes):
        """One tick. `command` is the output of the last tick."""
        if self._n == 0:
            return
        self.distrusted = 0
        closed = 0
        for index in range(self._n):
            self._step_leg(index, inputs.lock_level[index], command, strokes)
            if self.leg[index] == LOCK_CLOSED:
                closed += 1
            if self.leg[index] == LOCK_DISTRUSTED:
                self.distrusted = 1
        self._sum_up(closed, command)

    def _step_leg(self, index, level, command, strokes):
        if level == self._level:
            opened = self._open[index].step(NO)
            closed = self._closed[index].step(YES)
        else:
            opened = self._open[index].step(YES)
            closed = self._closed[index].step(NO)
        state = self.leg[index]
        if opened == 1:
            self.leg[index] = LOCK_OPEN
            return
        if closed == 0:
            return
        if state == LOCK_DISTRUSTED:
            return
        if command == DOWN:
            self.leg[index] = LOCK_CLOSED
            return
        # The up stroke is over and the switch still says locked.
        if strokes.since_change >= self._up_ticks:
            self.leg[index] = LOCK_DISTRUSTED

    def _sum_up(self, closed, command):
        self.all = LOCK_OPEN
        if closed == self._n:
            self.all = LOCK_CLOSED
        if self.distrusted == 1:
            self.all = LOCK_DISTRUSTED
        self.overdue = 0
        if command == UP:
            self._down = 0
            self._was_locked = 0
            # While up, no leg counts as locked, whatever its switch still says.
            if self.all == LOCK_CLOSED:
                self.all = LOCK_OPEN
            return
        if self._down < self._due:
            self._down += 1
        if self.all == LOCK_CLOSED:
            self._was_locked = 1
            return
        # Once locked, a leg that opens is not given the time of a stroke again.
        if self._was_locked == 1:
            self.overdue = 1
        if self._down >= self._due:
            self.overdue = 1
