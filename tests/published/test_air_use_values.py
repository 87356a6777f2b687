"""Published air use of cylinders and receivers against the sizing formulas."""

from math import pi

import pytest

from host_sim.air.sizing import (
    Side,
    compression_ratio,
    cylinder_free_air_m3,
    receiver_m3,
    stroke_end_pa,
    swept_both_ways_m3,
    usable_free_air_m3,
)

PSI = 6894.757  # NIST SP 811 (2008), appendix B
INCH = 0.0254
FOOT3 = (12.0 * INCH) ** 3
OUTSIDE = 14.7 * PSI
PRINTED_PI = 3.14  # the source computes with it; its values are scaled to the real one


# U.S. DOE / ORNL AMO Tools Suite, published unit-test values: rod 0.375 in, stroke 6 in, 100 psi, 60 cycles a minute.
def test_double_acting_cylinder():
    volume = swept_both_ways_m3(1.5 * INCH, 0.375 * INCH, 6.0 * INCH) * 60.0 / FOOT3
    assert volume * PRINTED_PI / pi == pytest.approx(0.7129394531, rel=1e-9)
    assert compression_ratio(100.0 * PSI, OUTSIDE) == pytest.approx(7.8027210884, rel=1e-9)


@pytest.mark.parametrize(("bore_in", "scfm"), [(1.5, 5.5628677057), (3.5, 31.0842679324)])
def test_double_acting_cylinder_free_air(bore_in, scfm):
    free = cylinder_free_air_m3(bore_in * INCH, 0.375 * INCH, 6.0 * INCH, 100.0 * PSI, OUTSIDE) * 60.0 / FOOT3
    assert free * PRINTED_PI / pi == pytest.approx(scfm, rel=1e-9)


def test_handbook_cylinder():
    # Published worked example of a compressed-air handbook: 2 in x 4 in, 30 cycles a minute, 80 psi.
    assert compression_ratio(80.0 * PSI, OUTSIDE) == pytest.approx(6.44, abs=5e-3)
    free = cylinder_free_air_m3(2.0 * INCH, 0.0, 4.0 * INCH, 80.0 * PSI, OUTSIDE)
    assert free * 30.0 / FOOT3 == pytest.approx(2.81, abs=5e-3)


def test_usable_air_of_a_receiver():
    # U.S. DOE / ORNL AMO Tools Suite: 660 gal at 7.48 gal/ft3, 110 to 100 psi.
    free = usable_free_air_m3(660.0 / 7.48 * FOOT3, 110.0 * PSI, 100.0 * PSI, OUTSIDE)
    assert free / FOOT3 == pytest.approx(60.0240096038, rel=1e-9)


def test_dedicated_storage():
    # The same: 0.5 min of 100 cfm, 110 to 100 psi, in gallons.
    volume = receiver_m3(0.5 * 100.0 * FOOT3, 110.0 * PSI, 100.0 * PSI, OUTSIDE)
    assert volume / FOOT3 * 7.48 == pytest.approx(549.78, rel=1e-9)


def test_receiver_of_a_handbook():
    # Worked example of a compressed-air handbook, V = T C pa/(p1 - p2): 350 - 250 cfm for 5 min, 100 to 60 psig.
    volume = receiver_m3((350.0 - 250.0) * 5.0 * FOOT3, 100.0 * PSI, 60.0 * PSI, OUTSIDE)
    assert volume / FOOT3 == pytest.approx(183.75, rel=1e-9)


def test_stroke_map_agrees_with_the_free_air_formula():
    """Without dead volume and from one atmosphere, what the tank loses is what the cylinder takes (Boyle)."""
    tank_m3, swept_m3 = 0.75e-3, 30.0e-6
    end = stroke_end_pa(8.0e5, 1.0e5, tank_m3, Side(0.0, swept_m3))
    assert usable_free_air_m3(tank_m3, 8.0e5, end, 1.0e5) == pytest.approx(swept_m3 * end / 1.0e5, rel=1e-12)
