"""What timed extensions, drops and the lock minimum say of the model: flow, dry friction, volume filled. One joint fit.

Each is a factor on what the file says, fitted by its logarithm. A factor is fitted only where the measurements would pin
it to within half as much again either way, with the others fitted too; this is judged before the fit, from how the model
answers, not from what was read. In an extension a constant load acts like dry friction: the friction found stands for
both.
"""

from dataclasses import dataclass
from math import exp, log

import numpy as np

from .bench_rows import TIME, answer, other_rows, time_rows
from .extension import LONGEST_S
from .factors import Factors, least_volume
from .fit import Told, expected_widths, scipy_parts, widths

NUDGE = 0.05
PINNED = log(1.5)
FACTORS = ("flow", "friction", "volume")
# Nudged the way in which the gear comes out more easily, so that a nudge never stops it short of its lock.
EASIER = {"flow": 1.0, "friction": -1.0, "volume": -1.0}
LOWEST = {"flow": 0.2, "friction": 0.1, "volume": 0.5}
HIGHEST = {"flow": 5.0, "friction": 10.0, "volume": 2.0}
START_FRICTIONS = (1.0, 0.5, 0.25)
MOST_STEPS = 12
# A fit ends where it gets no better by 1 %, or moves by less: times come in steps of 2 ms, and no interval is so narrow.
ENOUGH = 0.01


@dataclass(frozen=True)
class StrokeFit:
    """`told` {factor: Told} of those fitted and `untold` {factor: why} of the others; `at_limit` the factors that ended
    at the edge of what is believed; `unlocked` the extensions (bar gauge, share of the full air load) that locked on the
    bench and that the model does not lock; `strain` as in Told."""

    told: dict
    untold: dict
    at_limit: tuple[str, ...] = ()
    unlocked: tuple[tuple[float, float], ...] = ()
    strain: float = 1.0

    @property
    def factors(self):
        """Factors for the aircraft."""
        return Factors(**{name: told.value for name, told in self.told.items()})


def fit_strokes(measured, air):
    """StrokeFit of a Measured on the AirSystem that the file describes."""
    untold = _not_measured(measured, air)
    if len(untold) == len(FACTORS):
        return StrokeFit({}, untold)
    fit = _Fit(measured, air)
    start = fit.started("friction" not in untold)
    names = _told_names(fit, start, untold)
    if not names:
        return StrokeFit({}, untold, (), fit.unlocked)
    x = fit.solved(names, start)
    # The slopes by which the starting pressures count have changed with the factors.
    fit.use_slopes_at(fit.point(names, start, x))
    x = fit.solved(names, fit.point(names, start, x))
    end = fit.point(names, start, x)
    half, strain = widths(fit.jacobian(names, end), fit.residuals(end), fit.stats)
    told = {n: Told(exp(v), exp(v - h), exp(v + h), strain) for n, v, h in zip(names, x, half, strict=True)}
    low, high = fit.bounds(names)
    at_limit = tuple(n for n, v, a, b in zip(names, x, low, high, strict=True) if min(v - a, b - v) < 0.01)
    return StrokeFit(told, untold, at_limit, fit.unlocked, strain)


def _not_measured(measured, air):
    """{factor: reason} of those that nothing was measured for, or that the file leaves no room for."""
    reasons = {}
    if not measured.extensions:
        reasons["flow"] = "no extension was timed"
    if not measured.extensions and measured.lock_minimum is None:
        reasons["friction"] = "neither a lock minimum was measured nor an extension timed"
    elif max(leg.coulomb_n for leg in air.legs) <= 0.0:
        reasons["friction"] = "the file has no dry friction that a factor could act on"
    if not measured.drops:
        reasons["volume"] = "no drop was measured"
    return reasons


def _told_names(fit, start, untold):
    """The factors that the measurements can tell. Friction is given up first, then the volume, then the flow."""
    names = [name for name in FACTORS if name not in untold]
    for name in ("friction", "volume", "flow"):
        if name in names and not fit.tells(name, names, start):
            names.remove(name)
            untold[name] = "these measurements cannot tell it"
            if start[name] != 0.0:
                start[name] = 0.0
                fit.keep_what_locks(start)
    return names


class _Fit:
    """The rows and the model behind them. A point is {factor: logarithm}."""

    def __init__(self, measured, air):
        self.measured, self.air = measured, air
        self.optimize, self.stats = scipy_parts()
        self.rows = time_rows(measured, air) + other_rows(measured, air)
        self.unlocked = ()

    def at(self, row, point):
        """The model's value of a row at a point, or None."""
        return answer(row, self._air_at(point))

    def _air_at(self, point):
        return Factors(**{name: exp(value) for name, value in point.items()}).applied(self.air)

    def started(self, friction_is_free):
        """The point to start at: the file's, with less friction where the model would not lock as the bench did."""
        point = dict.fromkeys(FACTORS, 0.0)
        for friction in START_FRICTIONS if friction_is_free else (1.0,):
            point["friction"] = log(friction)
            if all(self.at(row, point) is not None for row in self.rows):
                break
        self.keep_what_locks(point)
        self.use_slopes_at(point)
        return point

    def keep_what_locks(self, point):
        """Leave out the extensions that the model does not lock at this point."""
        lost = [row for row in self.rows if self.at(row, point) is None]
        self.unlocked += tuple((row.bar, row.share) for row in lost)
        self.rows = [row for row in self.rows if row not in lost]

    def use_slopes_at(self, point):
        """Weigh the timed extensions by the slopes that the model has at this point."""
        timed = time_rows(self.measured, self._air_at(point))
        timed = [row for row in timed if (row.bar, row.share) not in self.unlocked]
        self.rows = timed + [row for row in self.rows if row.kind != TIME]

    def tells(self, name, names, point):
        """Whether the rows pin a factor, the other names being fitted with it."""
        if not self.rows:
            return False
        half = expected_widths(self.jacobian(names, point), self.stats)
        return half[names.index(name)] <= PINNED

    def residuals(self, point):
        """(model - measured) / standard uncertainty of each row; a gear that does not lock takes for ever."""
        answers = [self.at(row, point) for row in self.rows]
        answers = [LONGEST_S if value is None else value for value in answers]
        return np.array([(value - row.value) / row.sigma for value, row in zip(answers, self.rows, strict=True)])

    def jacobian(self, names, point):
        """Derivatives of the residuals by the logarithms of the named factors."""
        here, columns = self.residuals(point), []
        for name in names:
            nudge = EASIER[name] * NUDGE
            columns.append((self.residuals({**point, name: point[name] + nudge}) - here) / nudge)
        return np.column_stack(columns)

    def point(self, names, start, x):
        """The point that has the logarithms x for the names, and the rest from `start`."""
        return {**start, **dict(zip(names, (float(value) for value in x), strict=True))}

    def bounds(self, names):
        """(lowest, highest) logarithms of the names."""
        lowest = {**LOWEST, "volume": max(LOWEST["volume"], least_volume(self.air))}
        return [log(lowest[name]) for name in names], [log(HIGHEST[name]) for name in names]

    def solved(self, names, start):
        """Logarithms of the names that fit best, from a start."""
        low, high = self.bounds(names)

        # least_squares ends by the length of a step over that of x: shifted by one, that means the same near the file.
        def at(x):
            return self.point(names, start, x - 1.0)

        found = self.optimize.least_squares(
            lambda x: self.residuals(at(x)),
            [1.0 + min(max(start[name], a), b) for name, a, b in zip(names, low, high, strict=True)],
            jac=lambda x: self.jacobian(names, at(x)),
            bounds=([1.0 + a for a in low], [1.0 + b for b in high]),
            ftol=ENOUGH,
            xtol=ENOUGH,
            max_nfev=MOST_STEPS,
        )
        return found.x - 1.0
