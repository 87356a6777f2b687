"""The plant's gas, flow and atmosphere against general-purpose libraries: fluids, CoolProp, ambiance, SciPy."""

from math import pi, sqrt

import ambiance
import fluids
import pytest
from scipy.optimize import brentq, minimize_scalar

from host_sim.air.atmosphere import ambient_pa, geopotential_m, standard_k
from host_sim.air.flow import IDEAL_CRITICAL_RATIO, Path, hole_conductance, hose_path, in_series
from host_sim.air.gas import ANR_K, ANR_KG_M3, ANR_PA, CP_J_KG_K, GAMMA, R_J_KG_K, Volume


@pytest.fixture(scope="module")
def coolprop():
    """Loaded for the tests that use it: it takes a second or two, in each process."""
    import CoolProp.CoolProp

    return CoolProp.CoolProp


def test_critical_ratio_fluids():
    assert fluids.P_critical_flow(1.0, GAMMA) == pytest.approx(IDEAL_CRITICAL_RATIO, rel=1e-12)


@pytest.mark.parametrize("p_abs", [3.0e5, 8.0e5])
def test_choked_hole_fluids(p_abs):
    """API 520 sizing of a relief opening with all coefficients 1 is the ideal choked hole."""
    rate = Path(hole_conductance(2.0e-6)).rate_kg_s(p_abs, 290.0, 1.0e5)
    area = fluids.API520_A_g(m=rate, T=290.0, Z=1.0, MW=28.9652, k=GAMMA, P1=p_abs, P2=1.0e5, Kd=1.0, Kb=1.0, Kc=1.0)
    assert area == pytest.approx(2.0e-6, rel=1e-3)


@pytest.mark.parametrize("ratio", [0.55, 0.7, 0.85, 0.95, 0.985])
def test_subsonic_hole_against_isentropic_nozzle(ratio):
    """The quarter ellipse of ISO 6358 stays within 1 % of the exact nozzle (Saint-Venant and Wantzel)."""
    p1, t1 = 6.0e5, 293.15
    exact = (
        p1
        * 1.0e-6
        * sqrt(
            2.0 * GAMMA / ((GAMMA - 1.0) * R_J_KG_K * t1) * (ratio ** (2.0 / GAMMA) - ratio ** ((GAMMA + 1.0) / GAMMA))
        )
    )
    assert Path(hole_conductance(1.0e-6)).rate_kg_s(p1, t1, ratio * p1) == pytest.approx(exact, rel=0.01)


def test_real_air_at_8_bar_coolprop(coolprop):
    """Ideal gas leaves out 0.28 % of the air at 8 bar and 20 C."""
    ideal = Volume(1.0, 8.0e5, 293.15).mass_kg
    real = coolprop.PropsSI("D", "P", 8.0e5, "T", 293.15, "Air")
    assert ideal / real - 1.0 == pytest.approx(-0.0028, abs=1e-4)


def test_heat_capacity_and_reference_density_coolprop(coolprop):
    assert coolprop.PropsSI("C", "P", 1.0e5, "T", 293.15, "Air") == pytest.approx(CP_J_KG_K, rel=3e-3)
    moist_m3_kg = coolprop.HAPropsSI("Vha", "P", ANR_PA, "T", ANR_K, "R", 0.65)
    assert 1.0 / moist_m3_kg == pytest.approx(ANR_KG_M3, rel=3e-3)


def test_choked_flow_of_real_air_coolprop(coolprop):
    """The largest rho w along an isentrope of real air from 8 bar."""
    p0, t0 = 8.0e5, 293.15
    entropy = coolprop.PropsSI("S", "P", p0, "T", t0, "Air")
    enthalpy = coolprop.PropsSI("H", "P", p0, "T", t0, "Air")

    def flux(p):
        drop = enthalpy - coolprop.PropsSI("H", "P", p, "S", entropy, "Air")
        return coolprop.PropsSI("D", "P", p, "S", entropy, "Air") * sqrt(2.0 * drop)

    best = minimize_scalar(lambda p: -flux(p), bounds=(0.3 * p0, 0.9 * p0), method="bounded")
    assert Path(hole_conductance(1.0)).rate_kg_s(p0, t0, 1.0e5) == pytest.approx(-best.fun, rel=0.006)


@pytest.mark.parametrize("altitude_m", [0.0, 350.0, 1524.0, 2500.0, 8000.0])
def test_atmosphere_ambiance(altitude_m):
    there = ambiance.Atmosphere(altitude_m)
    assert ambient_pa(altitude_m) == pytest.approx(float(there.pressure[0]), rel=1e-6)
    assert standard_k(geopotential_m(altitude_m)) == pytest.approx(float(there.temperature[0]), rel=1e-6)


@pytest.mark.parametrize("altitude_m", [0.0, 350.0, 1524.0, 2500.0, 8000.0])
def test_atmosphere_fluids(altitude_m):
    there = fluids.ATMOSPHERE_1976(altitude_m)
    assert ambient_pa(altitude_m) == pytest.approx(there.P, rel=1e-6)


def isothermal_pipe_kg_s(bore_m, length_m, p1, p2):
    """Isothermal flow with friction in a smooth hose at 20 C, by fluids; no loss at the ends."""
    rate = 1.0e-3
    for _ in range(30):
        friction = fluids.friction_factor(Re=4.0 * rate / (pi * bore_m * 1.82e-5), eD=1.5e-6 / bore_m)
        lowest = fluids.P_isothermal_critical_flow(P=p1, fd=friction, L=length_m, D=bore_m)
        end = max(p2, lowest)
        density = (p1 + end) / 2.0 / (R_J_KG_K * 293.15)
        rate = fluids.isothermal_gas(density, friction, P1=p1, P2=end, L=length_m, D=bore_m)
    return rate


@pytest.mark.parametrize(("bore_m", "length_m"), [(2.0e-3, 1.5), (2.5e-3, 0.5), (2.5e-3, 1.0), (3.0e-3, 1.0)])
@pytest.mark.parametrize(("p1", "p2"), [(8.0e5, 6.0e5), (8.0e5, 2.0e5), (5.0e5, 4.0e5)])
def test_hose_against_isothermal_pipe_fluids(bore_m, length_m, p1, p2):
    """The fitted formula of the hose lies within 20 % of pipe theory; the fitting at the leg rules the stroke's time."""
    rate = hose_path(bore_m, length_m).rate_kg_s(p1, 293.15, p2)
    assert rate == pytest.approx(isothermal_pipe_kg_s(bore_m, length_m, p1, p2), rel=0.20)


@pytest.mark.parametrize(("first_c", "second_c"), [(2.0e-9, 4.0e-9), (1.0e-9, 1.0e-9), (3.0e-9, 1.0e-10)])
@pytest.mark.parametrize("outlet", [1.0e5, 4.0e5, 5.5e5])
def test_series_formula_against_solving_for_the_pressure_between(first_c, second_c, outlet):
    first, second = Path(first_c, 0.35), Path(second_c, 0.3)
    p1, t_k = 6.0e5, 293.15
    between = brentq(
        lambda p: first.rate_kg_s(p1, t_k, p) - second.rate_kg_s(p, t_k, outlet), outlet * (1 + 1e-12), p1 * (1 - 1e-12)
    )
    assert in_series(first, second).rate_kg_s(p1, t_k, outlet) == pytest.approx(
        first.rate_kg_s(p1, t_k, between), rel=0.10
    )


def test_series_with_a_closed_one_is_closed():
    assert in_series(Path(1.0e-9), Path(0.0)).rate_kg_s(8.0e5, 293.15, 1.0e5) == 0.0
