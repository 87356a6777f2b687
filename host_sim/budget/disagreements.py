"""Where measurements and the file disagree by more than the bench may be wrong by, in words; and what they cannot tell.

They are compared with the file as written: after the fit nothing would be left to see.
"""

from ..air.gas import ANR_K
from ..quantities import show_pressure
from ..wording import show_difference
from .bench_rows import TIME, Row, answer, drop_bar, lock_minimum_bar, safe_side_bar, slope_s_bar
from .fit import APART_K, leak_rate, leaking_m3
from .fitted import WORDS
from .measured import of_load
from .strokes import SEA_BAR

TEN_MINUTES_S = 600.0
# What pins a factor that the measurements at hand could not.
WOULD_TELL = {
    "flow": "time several extensions well above the lock minimum",
    "friction": "measure the lock minimum, or time extensions at two pressures, one of them not far above it",
    "volume": "repeat the drops, from as high a pressure as is allowed",
}


def disagreements(measured, fits, fill_bar, unit):
    """Sentences; `fits` a calibration.Fits, `fill_bar` the usual fill in bar gauge."""
    air = measured.air
    yield from _lock(measured, air, unit)
    yield from _drops(measured, air, unit)
    yield from _times(measured, air, unit)
    yield from _leak(measured, fits, fill_bar, unit)
    yield from _reading(measured, unit)
    yield from _fit_itself(measured, fits, unit)


def _lock(measured, air, unit):
    lock = measured.lock_minimum
    if lock is None:
        return
    # The closed form is on the safe side of what the simulated gear needs: between the two the bench is right.
    high_bar = lock_minimum_bar(air, lock.load_share)
    low_bar = high_bar - safe_side_bar(air, lock.load_share)
    got = f"The lock minimum against {of_load(lock.load_share)}, {show_pressure(lock.tank_bar, unit)} on the bench, is"
    if lock.tank_bar > high_bar + lock.within_bar:
        over = show_difference(lock.tank_bar - high_bar, unit)
        yield f"{got} {over} above the {show_pressure(high_bar, unit)} computed."
    if lock.tank_bar < low_bar - lock.within_bar:
        under = show_difference(low_bar - lock.tank_bar, unit)
        yield (
            f"{got} {under} below the {show_pressure(low_bar, unit)} that the simulated gear needs; the measured one "
            "counts, so be sure of the load and of every lock."
        )


def _drops(measured, air, unit):
    # Both pressures may be wrong.
    bound_bar = 2.0 * measured.within.pressure_bar
    for row in measured.drops:
        got_bar, computed_bar = row.from_bar - row.to_bar, drop_bar(air, row.stroke, row.from_bar)
        if abs(got_bar - computed_bar) > bound_bar:
            yield (
                f"The {row.stroke} from {show_pressure(row.from_bar, unit)} took {show_difference(got_bar, unit)}; "
                f"the stroke map says {show_difference(computed_bar, unit)}."
            )


def _times(measured, air, unit):
    for timed in measured.extensions:
        row = Row(TIME, timed.from_bar, timed.load_share, timed.takes_s, 0.0)
        computed_s = answer(row, air)
        what = f"The extension from {show_pressure(timed.from_bar, unit)} against {of_load(timed.load_share)}"
        if computed_s is None:
            yield f"{what} locked in {timed.takes_s:.2f} s; the model of the file would not lock at all."
            continue
        bound_s = measured.within.time_s + slope_s_bar(row, air) * measured.within.pressure_bar
        if abs(timed.takes_s - computed_s) > bound_s:
            yield f"{what} took {timed.takes_s:.2f} s; the model of the file takes {computed_s:.2f} s."


def _leak(measured, fits, fill_bar, unit):
    if fits.leak is None:
        return
    bench_m3 = leaking_m3(fits.strokes.factors.applied(measured.air))
    at_fill = (fill_bar + SEA_BAR) * TEN_MINUTES_S

    def fall_bar(conductance, volume_m3):
        return at_fill * leak_rate(conductance, volume_m3, ANR_K)

    # The file's figure is for the tank alone (aircraft.py makes its conductance so), the bench's for what stands open.
    file_bar = fall_bar(measured.air.leak_m3_s_pa, measured.air.tank_m3)
    got_bar, low_bar, high_bar = (fall_bar(c, bench_m3) for c in (fits.leak.value, fits.leak.low, fits.leak.high))
    if high_bar < 0.0:
        yield (
            "Corrected for temperature, the leak-downs say that the tank gained air: the temperatures written down "
            "are not those of the air in it."
        )
    elif not low_bar <= file_bar <= high_bar:
        yield (
            f"The leak takes {show_difference(got_bar, unit)} in 10 minutes from {show_pressure(fill_bar, unit)} "
            f"({show_difference(max(low_bar, 0.0), unit)} to {show_difference(high_bar, unit)}); tank.leak_down says "
            f"{show_difference(file_bar, unit)}."
        )


def _reading(measured, unit):
    pairs = [(row.reads_bar, row.gauge_bar) for row in measured.gauge]
    if measured.zero_bar is not None:
        pairs.append((measured.zero_bar, 0.0))
    if not pairs:
        return
    reads_bar, gauge_bar = max(pairs, key=lambda pair: abs(pair[0] - pair[1]))
    if abs(reads_bar - gauge_bar) > measured.stated_error_bar:
        yield (
            f"The controller read {show_pressure(reads_bar, unit)} at {show_pressure(gauge_bar, unit)}: more than the "
            f"worst_error of {show_difference(measured.stated_error_bar, unit)}."
        )


def _fit_itself(measured, fits, unit):
    for name in fits.strokes.at_limit:
        yield (
            f"The {WORDS[name]} ended at the limit of what is believed, {fits.strokes.told[name].value:.2f} times the "
            "file's: look for what the file or the bench has wrong."
        )
    for what, told in (("strokes", fits.strokes), ("leak-downs", fits.leak), ("gauge comparisons", fits.gain)):
        if told is not None and told.strain > 1.0:
            yield (
                f"The {what} scatter {told.strain:.1f} times as much as the stated uncertainties allow; the intervals "
                "are widened by that."
            )


def notes(measured, fits, unit):
    """Sentences on what the measurements cannot tell, and what was assumed of them."""
    for name, why in fits.strokes.untold.items():
        helps = f"; {WOULD_TELL[name]}" if "cannot tell" in why else ""
        yield f"The {WORDS[name]} stays as the file has it: {why}{helps}."
    if fits.leak is not None and not fits.leak_is_sure:
        yield (
            "Every leak-down was made at about one temperature; until one is made at another, "
            f"{APART_K:.0f} K or more away, the larger of it and tank.leak_down counts."
        )
    if measured.gauge and fits.gain is None:
        yield "Zero and gain of the reading stay as the file has them: compare at two pressures far apart."
    if measured.within.assumed:
        yield (
            f"Assumed of the bench's instruments, since the file does not say (measured.within): "
            f"{', '.join(_assumed(measured.within, unit))}."
        )


def _assumed(within, unit):
    said = {
        "pressure": f"pressures within {show_difference(within.pressure_bar, unit)}",
        "time": f"times within {within.time_s:g} s",
        "gauge": f"the gauge within {show_difference(within.gauge_bar, unit)}",
        "air": f"air temperatures within {within.air_k:g} K",
    }
    return [said[key] for key in within.assumed]
