"""What measurements make of the model: a calibrated air system, the fitted values, and where the two disagree.

What was measured wins over what is computed, also where it is the lower of the two; what is lower is said. The fit is
made on the aircraft that was measured and carried over, as factors, to whatever is changed in it afterwards.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

from ..air.spec import AirSystem
from .bench_rows import lock_minimum_bar
from .factors import Factors
from .fitted import Fitted, fitted_values
from .measured import of_load
from .terms import Term


@dataclass(frozen=True)
class Calibration:
    """`air` as the measurements have it; `fitted` the values found; `disagreements` sentences; `lock_terms` in place of
    the computed ones, or None; `sensor_error_bar` from a comparison with a gauge, or None; `notes` sentences on what
    the measurements cannot tell and what was assumed of them."""

    air: AirSystem
    fitted: tuple[Fitted, ...] = ()
    disagreements: tuple[str, ...] = ()
    lock_terms: list | None = None
    sensor_error_bar: float | None = None
    notes: tuple[str, ...] = ()


def calibrate(installed):
    """Calibration of an Installed; without measurements the model as it is written."""
    measured = installed.measured
    if measured is None:
        return Calibration(installed.air)
    from .disagreements import disagreements, notes

    fits = _fits(measured, installed.sensor)
    air = fits.factors.applied(installed.air)
    bench_air = fits.factors.applied(measured.air)
    return Calibration(
        air=air,
        fitted=tuple(fitted_values(measured, fits)),
        disagreements=tuple(disagreements(measured, fits, installed.fill_bar, installed.unit)),
        lock_terms=_lock_terms(measured, bench_air, air) if measured.lock_minimum else None,
        sensor_error_bar=_sensor_error_bar(measured),
        notes=tuple(notes(measured, fits, installed.unit)),
    )


@dataclass(frozen=True, eq=False)
class Fits:
    """What was fitted to one Measured: a StrokeFit, and Told or None of leak, zero and gain; `factors` of all that acts
    on the air system; `leak_is_sure` whether the leak was measured at two temperatures."""

    strokes: object
    leak: object
    zero: object
    gain: object
    factors: Factors
    leak_is_sure: bool


@lru_cache(maxsize=32)
def _fits(measured, sensor):
    """Fits of a Measured; a run asks for them many times over."""
    # Here, because numpy and scipy take their time to load and few files need them.
    from .fit import fit_leak, fit_reading, two_temperatures
    from .fit_strokes import fit_strokes

    strokes = fit_strokes(measured, measured.air)
    leak = fit_leak(measured, strokes.factors.applied(measured.air))
    zero, gain = fit_reading(measured, sensor)
    factors, sure = strokes.factors, False
    if leak is not None:
        sure = two_temperatures(measured.leak_down)
        at_least = 0.0 if sure else measured.air.leak_m3_s_pa
        factors = replace(factors, leak_m3_s_pa=max(leak.value, at_least))
    return Fits(strokes, leak, zero, gain, factors, sure)


def _lock_terms(measured, bench_air, air):
    """Terms of the lock minimum from the bench; `air` may be another aircraft than the one that stood there."""
    lock = measured.lock_minimum
    made = [
        Term(
            f"measured on the bench ({of_load(lock.load_share)})",
            lock.tank_bar,
            "the least that locked every leg",
            is_base=True,
        )
    ]
    if lock.load_share < 1.0:
        more_bar = lock_minimum_bar(bench_air, 1.0) - lock_minimum_bar(bench_air, lock.load_share)
        why = f"{100 * (1.0 - lock.load_share):.0f} % of it over the piston, and what filling the stroke to that takes"
        made.append(Term("air load that was not applied", more_bar, f"computed: {why}"))
    if air != bench_air:
        changed_bar = lock_minimum_bar(air, 1.0) - lock_minimum_bar(bench_air, 1.0)
        made.append(Term("what was changed since", changed_bar, "computed: this is not the aircraft that was measured"))
    made.append(Term("uncertainty of the bench", lock.within_bar, "as stated for its instruments"))
    return made


def _sensor_error_bar(measured):
    """Largest deviation from the gauge, nothing corrected, and the gauge's own; None where no gauge was read."""
    if not measured.gauge:
        return None
    off = [abs(row.reads_bar - row.gauge_bar) for row in measured.gauge]
    if measured.zero_bar is not None:
        off.append(abs(measured.zero_bar))
    return max(off) + measured.within.gauge_bar
