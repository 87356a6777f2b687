"""Published values of the standard atmosphere."""

import pytest

from host_sim.air.atmosphere import ambient_pa, geopotential_m, standard_k, standard_pa
from host_sim.air.gas import R_J_KG_K

# ICAO Doc 7488/3, geometric altitude: m, K, Pa, kg/m3.
ICAO = ((0.0, 288.15, 101325.0, 1.225), (1000.0, 281.651, 89876.3, 1.11166), (2000.0, 275.154, 79501.4, 1.00655))
# U.S. Standard Atmosphere 1976, geometric altitude: m, K, mb; the printed values are truncated.
US_1976 = ((1000.0, 281.651, 898.76), (2000.0, 275.154, 795.01), (3000.0, 268.659, 701.21), (1524.0, 278.246, 843.11))


@pytest.mark.parametrize(("altitude_m", "t_k", "p_pa", "density"), ICAO)
def test_icao(altitude_m, t_k, p_pa, density):
    t_here = standard_k(geopotential_m(altitude_m))
    assert t_here == pytest.approx(t_k, abs=6e-4)
    assert ambient_pa(altitude_m) == pytest.approx(p_pa, abs=0.1)
    assert ambient_pa(altitude_m) / (R_J_KG_K * t_here) == pytest.approx(density, abs=1e-5)


def test_geopotential_and_geometric_altitude_differ():
    # The definition of the same standard: 6.5 K per geopotential kilometre.
    assert standard_k(1000.0) == pytest.approx(281.65, abs=1e-9)
    assert standard_pa(1000.0) == pytest.approx(89874.6, abs=0.1)


@pytest.mark.parametrize(("altitude_m", "t_k", "p_mbar"), US_1976)
def test_us_standard_atmosphere(altitude_m, t_k, p_mbar):
    assert 0.0 <= ambient_pa(altitude_m) / 100.0 - p_mbar < 0.011
    assert standard_k(geopotential_m(altitude_m)) == pytest.approx(t_k, abs=1e-3)


def test_climb_of_300_m_moves_a_vented_gauge_sensor():
    # Follows from the table: a climb of 300 m lowers the outside pressure by about 0.034 bar at 500 m.
    assert (ambient_pa(350.0) - ambient_pa(650.0)) / 1.0e5 == pytest.approx(0.034, abs=5e-4)


@pytest.mark.parametrize("altitude_m", [-1000.1, 11000.5, float("nan")])
def test_outside_the_range_is_refused(altitude_m):
    with pytest.raises(ValueError, match="must be -1000 to 11000 m"):
        standard_pa(altitude_m)
