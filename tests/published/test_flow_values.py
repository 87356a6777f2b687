"""Published values of compressible flow against the plant's own gas and flow code."""

from math import sqrt

import pytest

from host_sim.air.flow import CHOKED_FACTOR, IDEAL_CRITICAL_RATIO, Path, circle_m2, hole_conductance
from host_sim.air.gas import ANR_K, ANR_KG_M3, R_J_KG_K, Volume

PSI = 6894.757  # NIST SP 811 (2008), appendix B
INCH = 0.0254


def ideal_hole(diameter_m):
    """Path of a hole with discharge coefficient 1."""
    return Path(hole_conductance(circle_m2(diameter_m)))


def test_air_at_mach_1():
    # Aeronautical Engineer's Data Book, table of isentropic flow, air, M = 1.
    assert IDEAL_CRITICAL_RATIO == pytest.approx(0.5283, abs=5e-5)
    air = Volume(1.0, 1.0e5, 300.0)
    air.resize(1.0 / 0.6339)
    assert air.pa_abs / 1.0e5 == pytest.approx(0.5283, abs=1.5e-4)
    assert air.temperature_k / 300.0 == pytest.approx(0.8333, abs=1e-4)


def test_choked_flow_of_an_ideal_hole():
    # White, Fluid Mechanics 8e, ch. 3 and 9: mdot = 0.6847 p0 A / sqrt(R T0), "about 0.685 for air".
    assert CHOKED_FACTOR == pytest.approx(0.6847, abs=5e-5)
    area_m2, p_abs, t_k = 1.0e-6, 7.0e5, 310.0
    mass_rate = Path(hole_conductance(area_m2)).rate_kg_s(p_abs, t_k, 1.0e5)
    assert mass_rate == pytest.approx(0.6847 * p_abs * area_m2 / sqrt(R_J_KG_K * t_k), rel=1e-4)


def test_conductance_of_an_ideal_hole():
    # ISO 6358 definition at the state ANR (100 kPa, 20 C, 1.185 kg/m3): 0.1992 dm3/(s bar) per mm2.
    assert hole_conductance(1.0e-6) * 1.0e8 == pytest.approx(0.1992, abs=5e-5)
    assert Path(2.0e-9).rate_kg_s(1.0e5, ANR_K, 1.0e4) == pytest.approx(1.0e5 * 2.0e-9 * ANR_KG_M3, rel=1e-12)


def test_leaking_tyre():
    # Cengel and Cimbala, Fluid Mechanics 4e, example 12-5 (answer from memory): 0.554 kg/min.
    rate = ideal_hole(4.0e-3).rate_kg_s(220.0e3 + 94.0e3, 298.15, 94.0e3)
    assert rate * 60.0 == pytest.approx(0.554, abs=1e-3)


# Discharge of free air through an orifice, cfm at 0.07494 lb/ft3, after Moss, American Machinist, 1906, as reprinted in
# compressed-air handbooks: 14.7 psia, 70 F, coefficient 1. (diameter in inches, psi gauge, cfm)
MOSS = (
    (1 / 64, 20, 0.123),
    (1 / 64, 40, 0.194),
    (1 / 64, 60, 0.264),
    (1 / 64, 80, 0.335),
    (1 / 64, 100, 0.406),
    (1 / 64, 120, 0.476),
    (1 / 16, 12, 1.52),
    (1 / 16, 100, 6.49),
    (1 / 4, 1, 7.18),
    (1 / 4, 5, 15.9),
    (1 / 4, 9, 21.1),
    (1 / 4, 12, 24.3),
    (1 / 4, 100, 104.0),
)


@pytest.mark.parametrize(("diameter_in", "psi_gauge", "cfm"), MOSS)
def test_free_air_discharge(diameter_in, psi_gauge, cfm):
    outside = 14.7 * PSI
    t_k = (70.0 - 32.0) / 1.8 + 273.15
    rate_kg_s = ideal_hole(diameter_in * INCH).rate_kg_s(outside + psi_gauge * PSI, t_k, outside)
    cubic_feet_min = rate_kg_s * 60.0 / (0.07494 * 0.45359237)
    assert cubic_feet_min == pytest.approx(cfm, rel=0.005)


def test_free_air_discharge_is_two_regimes():
    """The same hole: linear in absolute pressure when choked, well below that line when not."""
    hole = ideal_hole(1.0e-3)
    choked = hole.rate_kg_s(4.0e5, 293.15, 1.0e5)
    assert hole.rate_kg_s(8.0e5, 293.15, 1.0e5) == pytest.approx(2.0 * choked, rel=1e-12)
    assert hole.rate_kg_s(1.1e5, 293.15, 1.0e5) < 0.75 * choked * 1.1 / 4.0
    assert hole.rate_kg_s(1.0e5, 293.15, 1.0e5) == 0.0
