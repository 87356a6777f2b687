"""Published conversion factors against the one place that converts units."""

import pytest

from host_sim.quantities import convert_pressure, quantity


# NIST SP 811 (2008), appendix B; bar, atm and lbf are exact by definition.
@pytest.mark.parametrize(
    ("text", "unit", "value", "relative"),
    [
        ("1 psi", "Pa", 6894.757, 1e-7),
        ("1 bar", "Pa", 1.0e5, 1e-15),
        ("1 atm", "Pa", 101325.0, 1e-15),
        ("1 lbf", "N", 4.4482216152605, 1e-14),
    ],
)
def test_nist_factors(text, unit, value, relative):
    assert quantity(text, unit) == pytest.approx(value, rel=relative)


def test_psi_and_kilopascal():
    # NIST factors.
    assert quantity("60 psi", "kPa") == pytest.approx(413.7, abs=0.05)
    assert quantity("400 kPa", "psi") == pytest.approx(58.0, abs=0.05)
    assert convert_pressure(4.0, "psi") == pytest.approx(58.0, abs=0.05)
    assert convert_pressure(1.0, "kPa") == pytest.approx(100.0, rel=1e-14)


def test_normal_litre_and_reference_litre_differ():
    """ISO 8778 (ANR) 1.185 kg/m3 and DIN 1343 1.292 kg/m3: a volume of air must say which it means."""
    from host_sim.air.gas import ANR_K, ANR_KG_M3, ANR_PA, Volume

    assert Volume(1.0, 101325.0, 273.15).mass_kg == pytest.approx(1.292, abs=1e-3)
    # ANR counts the vapour of 65 % humidity, which is lighter than air: 0.3 % below dry air.
    assert Volume(1.0, ANR_PA, ANR_K).mass_kg == pytest.approx(ANR_KG_M3, rel=4e-3)
    assert ANR_KG_M3 < Volume(1.0, ANR_PA, ANR_K).mass_kg
