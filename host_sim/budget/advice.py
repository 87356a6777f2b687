"""All four thresholds of one installation, or why its tank cannot give them, and what would help."""

import copy
from dataclasses import dataclass, replace

from controller import checks

from ..air.sizing import extend_side, retract_side
from ..air.spec import AirSystem
from ..aircraft_settings import permit_floor_mbar
from ..devices import RailSpec, SensorSpec
from ..quantities import show_pressure, whole
from . import terms
from .accuracy import Accuracy, error_parts
from .calibration import Calibration, calibrate
from .extension import extend
from .strokes import cycle_after
from .terms import Term
from .use import Use

SHOWN = 1e-9


@dataclass(frozen=True)
class Installed:
    """What the advice is about: all of an aircraft file that has to do with air and with reading its pressure.

    `ratings` {part: (bar, node)}; `accuracy` of the worst sensor; `measured` a measured.Measured or None. `unit` is what
    sentences are written in, `round_unit` what thresholds are round numbers of, "" for the same.
    """

    air: AirSystem
    leg_names: tuple[str, ...]
    unit: str
    fill_bar: float
    speed_m_s: float
    use: Use
    ratings: dict
    accuracy: Accuracy
    sensor: SensorSpec
    rail: RailSpec
    rail_measured: bool
    measured: object = None
    round_unit: str = ""

    def shown_in(self, unit):
        """The same, with its sentences in another unit; thresholds stay round numbers of the owner's."""
        return replace(self, unit=unit, round_unit=self.round_unit or self.unit)


@dataclass(frozen=True)
class Advice:
    """`thresholds` {key: Threshold}; `extend_s` the slowest extension that counted, `simulated_extend_s` by the plant;
    `error_parts` [(words, bar)] and their `error_bar`; `cycles` that the fill allows; `problems` why these thresholds
    cannot be met, `helps` what would change that; `calibration` what the measurements made of the model."""

    thresholds: dict
    extend_s: float
    simulated_extend_s: float | None
    error_parts: list
    error_bar: float
    cycles: int
    problems: list
    helps: list
    calibration: Calibration

    def mbar(self, key):
        """An advised threshold in whole mbar, as it goes into the settings."""
        return whole(self.thresholds[key].advised_bar * 1000.0, "up")


def advise(installed, settings, with_helps=True, extend_s=None):
    """Advice for an Installed. `settings` gives times, the burst floor and the stated sensor error; a threshold that it
    sets higher than advised is what the next ones are built on. `extend_s` spares the plant's extension where it is
    known."""
    calibration = calibrate(installed)
    air, use, unit = calibration.air, installed.use, installed.round_unit or installed.unit
    lock = terms.made("lock_min", _lock_terms(installed, calibration), unit)
    base = _standing(lock, settings)
    brakes = terms.brake_term(air, use, base.bar)
    simulated_s = extend_s if extend_s is not None else slowest_extension_s(air, base.bar + brakes.bar, settings)
    slow_s = max(settings.extend_ms / 1000.0, simulated_s or 0.0)
    parts, error_bar = _reading_error(installed, calibration, settings, base.bar + brakes.bar)
    board = _Board(settings, slow_s, error_bar, unit)
    board.take(lock)
    force = board.accept(
        _force_threshold(base, brakes, parts, error_bar, settings, slow_s, unit), checks.force_floor_mbar
    )
    permit = board.accept(_permit_threshold(installed, air, _standing(force, settings), settings), permit_floor_mbar)
    start_bar = _standing(permit, settings).bar
    drop_bar = terms.retraction_drop_bar(air, start_bar)
    warn = board.accept(_warn_threshold(_standing(force, settings), start_bar, drop_bar, unit), checks.warn_floor_mbar)
    thresholds = {threshold.key: threshold for threshold in (lock, force, warn, permit)}
    cycles = count_cycles(air, installed.fill_bar, start_bar, use)
    problems = _problems(installed, air, start_bar, cycles)
    advice = Advice(thresholds, slow_s, simulated_s, parts, error_bar, cycles, problems, [], calibration)
    if problems and with_helps:
        from .helps import what_helps

        return replace(advice, helps=what_helps(installed, settings, slow_s))
    return advice


def set_bar(settings, key):
    """A threshold as the settings have it, bar gauge."""
    return getattr(settings, f"{key}_mbar") / 1000.0


def _standing(threshold, settings):
    """Term of what a threshold really is: advised, or as the settings have it where that is higher."""
    name = {"lock_min": "lock minimum", "force_below": "forcing point"}.get(threshold.key, threshold.key)
    bar = set_bar(settings, threshold.key)
    # A threshold that takes the advice is up to a millibar higher: settings are whole millibars.
    if bar > threshold.advised_bar + 1.1e-3:
        return Term(name, bar, "as the file sets it, higher than advised", is_base=True)
    return Term(name, threshold.advised_bar, "as advised, rounded up", is_base=True)


class _Board:
    """The board's own checks, on a copy of the settings with the slowest extension and the whole reading error in it."""

    def __init__(self, settings, extend_s, error_bar, unit):
        self._settings, self._unit = settings, unit
        self._trial = copy.copy(settings)
        self._trial.extend_ms = whole(extend_s * 1000.0, "up")
        self._trial.sensor_error_mbar = max(settings.sensor_error_mbar, whole(error_bar * 1000.0, "up"))

    def take(self, threshold):
        """Go on with what the threshold really is."""
        field = f"{threshold.key}_mbar"
        advised_mbar = whole(threshold.advised_bar * 1000.0, "up")
        setattr(self._trial, field, max(advised_mbar, getattr(self._settings, field)))

    def accept(self, threshold, floor_mbar):
        """The threshold, raised in round steps where roundings fall badly, until the check `floor_mbar` accepts it."""
        for _ in range(100):
            mbar = whole(threshold.advised_bar * 1000.0, "up")
            setattr(self._trial, f"{threshold.key}_mbar", mbar)
            short_mbar = floor_mbar(self._trial) - mbar
            if short_mbar <= 0:
                break
            bar = terms.rounded_up(threshold.advised_bar + short_mbar / 1000.0, self._unit)
            threshold = replace(threshold, advised_bar=bar)
        self.take(threshold)
        return threshold


def slowest_extension_s(air, bar, settings):
    """Time of the plant's extension at full air load from `bar`, the least that must be in the tank, and what a slow leak
    has not yet taken when the valve opens; None where it does not lock."""
    rate_bar_s = settings.burst_floor_mbar_s / 1000.0
    made_sure_s = (settings.low_confirm_ms + 2 * settings.tick_ms) / 1000.0
    return extend(air, bar + rate_bar_s * max(settings.extend_ms / 1000.0, made_sure_s), air.design_q_pa).time_s


def _lock_terms(installed, calibration):
    if calibration.lock_terms:
        return calibration.lock_terms
    *loads, filling = terms.lock_terms(calibration.air, installed.leg_names, f"{installed.speed_m_s:.0f} m/s")
    return [*loads, filling, terms.allowance_term(loads)]


def _reading_error(installed, calibration, settings, at_bar):
    """([(words, bar)], bar): the larger of what the owner states and what the parts add up to, with the parts."""
    stated_bar = settings.sensor_error_mbar / 1000.0
    parts = error_parts(
        installed.accuracy, installed.sensor, installed.rail, installed.rail_measured, at_bar + stated_bar
    )
    summed_bar = sum(bar for _, bar in parts)
    if calibration.sensor_error_bar is not None:
        return [("gauge comparison on the bench", calibration.sensor_error_bar)], max(
            stated_bar, calibration.sensor_error_bar
        )
    return parts, max(stated_bar, summed_bar) if installed.accuracy.given else stated_bar


def _force_threshold(lock, brakes, parts, error_bar, settings, extend_s, unit):
    made = [lock, brakes]
    summed_bar = sum(bar for _, bar in parts)
    # The stated error is shared out in proportion where it is not the sum of its parts.
    scale = error_bar / summed_bar if summed_bar > 0.0 else 0.0
    share = "" if abs(scale - 1.0) < 0.005 else ", its share of the stated {}"
    made += [Term(f"reading: {words}", bar * scale, f"worst case{share}", (error_bar,)) for words, bar in parts]
    made += terms.slow_leak_terms(settings, extend_s)
    return terms.made("force_below", made, unit)


def _permit_threshold(installed, air, force, settings):
    use, unit = installed.use, installed.round_unit or installed.unit
    made = [force]
    made += terms.wait_terms(air, use, force.bar)
    noise_bar = 2.0 * settings.sensor_noise_mbar / 1000.0
    brake_bar = settings.brake_mbar / 1000.0
    made.append(Term("one brake application in flight", brake_bar, "a knocked lever must not force the gear"))
    made.append(
        Term("reserve of SR-02", terms.PERMIT_RESERVE_BAR, "covers the noise of two readings, {}", (noise_bar,))
    )
    made.append(terms.retraction_term(air, sum(term.bar for term in made)))
    return terms.made("retract_above", made, unit)


def _warn_threshold(force, permit_bar, drop_bar, unit):
    margin_bar = max(terms.WARN_RESERVE_BAR, drop_bar)
    why = "one retraction's drop" if drop_bar > terms.WARN_RESERVE_BAR else "the least of SR-12"
    if margin_bar > permit_bar - force.bar:
        margin_bar, why = permit_bar - force.bar, "all the room that the permit leaves"
    return terms.made("warn_below", [force, Term("time to act", margin_bar, why)], unit)


def count_cycles(air, fill_bar, permit_bar, use):
    """Retractions that a fill allows, each followed by an extension; the heat back between, the leak and the cooling
    of the flight taken off after the first."""
    bar, cycles, outside = fill_bar, 0, terms.SEA_BAR
    absolute_lost = terms.leak_share(air, use.up_for_s) + use.cooling_k / terms.SEA_K
    while bar >= permit_bar - SHOWN and cycles < 100:
        bar = cycle_after(bar, air)
        if cycles == 0:
            bar = (bar + outside) * (1.0 - absolute_lost) - outside
        cycles += 1
    return cycles


def _problems(installed, air, permit_bar, cycles):
    unit, use = installed.unit, installed.use
    found = []
    for side, word in ((extend_side(air), "extension"), (retract_side(air), "retraction")):
        if 2.0 * (side.dead_m3 + side.swept_m3) > air.tank_m3:
            found.append(
                f"One {word} fills {1e6 * (side.dead_m3 + side.swept_m3):.0f} mL, more than half of the tank's "
                f"{1e6 * air.tank_m3:.0f} mL."
            )
    if permit_bar > installed.fill_bar + SHOWN:
        found.append(
            f"This tank can't give one retraction and a landing: a retraction needs {show_pressure(permit_bar, unit)}, "
            f"the fill is {show_pressure(installed.fill_bar, unit)}."
        )
    elif cycles < use.cycles:
        found.append(
            f"This tank can't give {_counted(use.cycles, 'cycle')} and a landing: from "
            f"{show_pressure(installed.fill_bar, unit)} it gives {cycles}; the next retraction would need "
            f"{show_pressure(permit_bar, unit)}."
        )
    return found


def _counted(n, word):
    return f"{n} {word}" if n == 1 else f"{n} {word}s"
