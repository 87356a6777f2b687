"""Values from measurements with 95 % intervals: least squares, weighted by what the instruments may be wrong by.

A bound +-a counts as a standard uncertainty a/sqrt(3) (GUM, JCGM 100:2008, 4.3.7), believed like 8 degrees of freedom:
known to a quarter (G.4.2). The scatter of the measurements adds its own degrees of freedom, and Student's t of both
makes the interval. Where they scatter more than the bounds allow (chi-squared, 1 %), the scatter alone counts.
Bounds are taken as independent from one measurement to the next: an error that is the same in all does not show.
"""

from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from ..air.gas import ANR_K, ANR_KG_M3, R_J_KG_K
from ..air.sizing import extend_side
from .measured import standard
from .strokes import SEA_BAR

BELIEF = 8
CONFIDENCE = 0.95
STRAINED_BELOW = 0.01
# Two leak-downs are at different temperatures from this many K on: seals leak more or less when they are cold.
APART_K = 5.0
# A gain that is not known to this is taken as not known.
GAIN_WITHIN = 0.1


@dataclass(frozen=True)
class Told:
    """One value found: `value`, its 95 % interval `low` to `high`; `strain` by how much the scatter exceeds what the
    bounds allow, 1.0 where it does not."""

    value: float
    low: float
    high: float
    strain: float = 1.0


def scipy_parts():
    """(scipy.optimize, scipy.stats), loaded where they are needed: it takes its time."""
    from scipy import optimize, stats

    return optimize, stats


def widths(jacobian, residuals, stats):
    """(half widths of the 95 % intervals, strain) from a Jacobian and residuals, both over the standard uncertainty."""
    rows, params = jacobian.shape
    # The ridge stands for no knowledge at all: what cannot be told gets an interval without end, not a division by 0.
    covariance = np.linalg.inv(jacobian.T @ jacobian + 1e-12 * np.eye(params))
    spread = np.sqrt(np.diag(covariance))
    free, chi2 = rows - params, float(residuals @ residuals)
    if free > 0 and stats.chi2.sf(chi2, free) < STRAINED_BELOW:
        strain = sqrt(chi2 / free)
        return spread * strain * stats.t.ppf(0.5 + CONFIDENCE / 2.0, free), strain
    scale = sqrt((BELIEF + chi2) / (BELIEF + free))
    return spread * scale * stats.t.ppf(0.5 + CONFIDENCE / 2.0, BELIEF + free), 1.0


def expected_widths(jacobian, stats):
    """Half widths before anything is fitted: whether measurements of this kind can tell the parameters at all."""
    return widths(jacobian, np.zeros(len(jacobian)), stats)[0]


def leak_conductance(row, volume_m3):
    """Sonic conductance of the leak, m3/(s Pa), from one LeakDown of a volume.

    The mass left is p V/(R T), so it is p/T that has fallen: d ln(p/T)/dt = -C rho0 R sqrt(T0 T)/V (choked).
    """
    lost = log(((row.from_bar + SEA_BAR) / row.start_k) / ((row.to_bar + SEA_BAR) / row.end_k))
    return lost / leak_rate(1.0, volume_m3, (row.start_k + row.end_k) / 2.0) / row.over_s


def leak_rate(conductance, volume_m3, air_k):
    """Share of its air that a volume loses each second through a choked leak, 1/s."""
    return conductance * ANR_KG_M3 * R_J_KG_K * sqrt(ANR_K * air_k) / volume_m3


def leaking_m3(air):
    """What leaks down: the tank, and the lines and cylinders that stand open to it with the gear down."""
    side = extend_side(air)
    return air.tank_m3 + side.dead_m3 + side.swept_m3


def fit_leak(measured, air):
    """Told of the leak's conductance in m3/(s Pa), or None where no leak-down was measured. `air` for its volumes."""
    if not measured.leak_down:
        return None
    _, stats = scipy_parts()
    volume_m3 = leaking_m3(air)
    found = np.array([leak_conductance(row, volume_m3) for row in measured.leak_down])
    sigma = np.array([_leak_sigma(row, measured.within, volume_m3) for row in measured.leak_down])
    value = float(np.sum(found / sigma**2) / np.sum(sigma**-2))
    half, strain = widths((1.0 / sigma)[:, None], (found - value) / sigma, stats)
    return Told(value, value - float(half[0]), value + float(half[0]), strain)


def _leak_sigma(row, within, volume_m3):
    """Standard uncertainty of leak_conductance, from two pressures and two temperatures."""
    pressure, air_k = standard(within.pressure_bar), standard(within.air_k)
    parts = (
        pressure / (row.from_bar + SEA_BAR),
        pressure / (row.to_bar + SEA_BAR),
        air_k / row.start_k,
        air_k / row.end_k,
    )
    rate = leak_rate(1.0, volume_m3, (row.start_k + row.end_k) / 2.0)
    return sqrt(sum(part * part for part in parts)) / rate / row.over_s


def two_temperatures(rows):
    """Whether leak-downs were measured at two temperatures at least."""
    middles = [(row.start_k + row.end_k) / 2.0 for row in rows]
    return max(middles) - min(middles) >= APART_K


def fit_reading(measured, sensor):
    """(Told of the zero in bar, Told of the gain) of the straight line reads = zero + gain x gauge; None for what the
    comparisons cannot tell. `sensor` a SensorSpec."""
    gauge = [row.gauge_bar for row in measured.gauge]
    reads = [row.reads_bar for row in measured.gauge]
    noise_bar = _reading_sigma_bar(sensor)
    sigma = [sqrt(standard(measured.within.gauge_bar) ** 2 + noise_bar**2) for _ in gauge]
    if measured.zero_bar is not None:
        # The open tank is at 0 bar gauge exactly.
        gauge, reads, sigma = [0.0, *gauge], [measured.zero_bar, *reads], [noise_bar, *sigma]
    if not gauge:
        return None, None
    _, stats = scipy_parts()
    gauge, reads, sigma = np.array(gauge), np.array(reads), np.array(sigma)
    line = np.column_stack([np.ones(len(gauge)), gauge]) / sigma[:, None]
    if len(gauge) > 1 and expected_widths(line, stats)[1] <= GAIN_WITHIN:
        return _straight_line(line, reads / sigma, stats)
    if measured.zero_bar is None:
        return None, None
    half = float(expected_widths(np.array([[1.0 / noise_bar]]), stats)[0])
    return Told(measured.zero_bar, measured.zero_bar - half, measured.zero_bar + half), None


def _straight_line(line, wanted, stats):
    found = np.linalg.lstsq(line, wanted, rcond=None)[0]
    half, strain = widths(line, line @ found - wanted, stats)
    return tuple(Told(float(v), float(v - h), float(v + h), strain) for v, h in zip(found, half, strict=True))


def _reading_sigma_bar(sensor):
    """Noise of the reading and the step of its converter, as a standard uncertainty in bar."""
    slope = (sensor.full_fraction - sensor.zero_fraction) / sensor.span_bar
    ratio = sensor.divider_bottom_ohm / (sensor.divider_top_ohm + sensor.divider_bottom_ohm)
    code_bar = sensor.adc_v / sensor.adc_codes / (ratio * sensor.rail_v * slope)
    return sqrt((sensor.noise_mbar / 1000.0) ** 2 + code_bar**2 / 12.0)
