"""The values of `force_below` that the chances are looked at for, and the settings that go with each.

Below the advice a board would refuse a lower forcing point alone: lock_min is lowered as far as it takes, as a builder
would have to who believes that his gear locks with less. Above the board's own limit, where a retraction from the permit could end
below the forcing point, no settings pass: there the value is put into the controller after it has started, and the point
says so.
"""

import copy
from dataclasses import dataclass

from controller import checks, packing
from controller.settings import Settings, range_fault

from ..air.sizing import end_pressure_pa_gauge
from ..aircraft_settings import THRESHOLDS
from ..engines import CPythonEngine
from ..errors import InputError
from ..quantities import whole

STEP_MBAR = 10
LEAST_LOCK_MBAR = 200
PERMIT_MARGIN_MBAR = 100
LOW_SPEED = 0.8


@dataclass(frozen=True)
class Point:
    """One value of the curve. `packed` the settings file that is flown, `settings` what is in it; `put_mbar` what the
    running controller gets in place of its forcing point, None where the file has it; `advised` the Settings of the
    advice."""

    force_below_mbar: int
    packed: bytes
    put_mbar: int | None
    settings: Settings
    advised: Settings

    @property
    def board_accepts(self):
        """Whether a board would load these settings."""
        return self.put_mbar is None

    @property
    def is_advised(self):
        """Whether this is the forcing point of the advice."""
        return self.force_below_mbar == self.advised.force_below_mbar


class Engine(CPythonEngine):
    """The controller of a Point."""

    def __init__(self, point):
        super().__init__()
        self._point = point

    def start(self, inputs):
        """A controller that has just booted, both of its paths with the point's forcing point."""
        super().start(inputs)
        if self._point.put_mbar is not None:
            # Each path has a copy of its own.
            for settings in (self._controller.settings, self._controller.interlock._s):
                settings.force_below_mbar = self._point.put_mbar


def advised_settings(aircraft, advice):
    """Settings of the aircraft with all four thresholds as advised. InputError where the board would refuse them."""
    if advice.problems:
        raise InputError(aircraft.file, "", f"there is no advice to fly: {' '.join(advice.problems)}")
    s = copy.copy(aircraft.settings)
    s.extend_ms = max(s.extend_ms, whole(1000.0 * advice.extend_s, "up"))
    s.stroke_ms = max(s.stroke_ms, s.extend_ms)
    s.sensor_error_mbar = max(s.sensor_error_mbar, whole(1000.0 * advice.error_bar, "up"))
    for key in THRESHOLDS:
        setattr(s, f"{key}_mbar", advice.mbar(key))
    s.begin_slack_mbar = min(s.begin_slack_mbar, s.retract_above_mbar - s.force_below_mbar)
    fault = checks.first_fault(s)
    if range_fault(s) >= 0 or fault:
        raise InputError(aircraft.file, "", f"the advice cannot be flown: {checks.RULE_SENTENCES[fault]}")
    return s


def points(aircraft, advice):
    """Tuple of Points, from well below the advice to near the permit; the advised one is among them."""
    advised = advised_settings(aircraft, advice)
    force = advised.force_below_mbar
    lowest = _lowest_mbar(advised, advice.calibration.air)
    low = [lowest + (force - lowest) * n // 3 for n in range(3)]
    highest = board_limit_mbar(advised)
    nearest = advised.retract_above_mbar - PERMIT_MARGIN_MBAR
    high = [highest, (highest + nearest) // 2, nearest]
    rounded = {value // STEP_MBAR * STEP_MBAR for value in low + high}
    return tuple(point_at(advised, value) for value in sorted({force} | {v for v in rounded if v != force}))


def board_limit_mbar(advised):
    """Highest forcing point that a board accepts with this permit (SR-02)."""
    return advised.retract_above_mbar - checks.retract_drop_mbar(advised) - advised.brake_mbar - PERMIT_MARGIN_MBAR


def point_at(advised, force_mbar):
    """Point of the advised Settings with another forcing point, mbar."""
    s = copy.copy(advised)
    put_mbar = None
    if force_mbar > board_limit_mbar(advised):
        put_mbar = force_mbar
    else:
        s.force_below_mbar = force_mbar
        s.lock_min_mbar = min(advised.lock_min_mbar, force_mbar - _above_lock_mbar(advised))
        s.warn_below_mbar = max(s.warn_below_mbar, checks.warn_floor_mbar(s))
        s.begin_slack_mbar = min(s.begin_slack_mbar, s.retract_above_mbar - force_mbar)
    if range_fault(s) >= 0 or checks.first_fault(s):
        raise ValueError(f"force_below {force_mbar} mbar: no settings that a board accepts")
    return Point(force_mbar, packing.pack(s), put_mbar, s, advised)


def _lowest_mbar(advised, air):
    """What an extension at 0.8 of the design speed needs at its end, without the air that it takes: much too low."""
    at_less_speed = round(end_pressure_pa_gauge(air, LOW_SPEED**2 * air.design_q_pa) / 100.0)
    least = _above_lock_mbar(advised) + LEAST_LOCK_MBAR
    return -(-max(least, min(at_less_speed, 7 * advised.force_below_mbar // 10)) // STEP_MBAR) * STEP_MBAR


def _above_lock_mbar(advised):
    """By how much a forcing point has to be above the lock minimum at the least (SR-03)."""
    return checks.force_floor_mbar(advised) - advised.lock_min_mbar
