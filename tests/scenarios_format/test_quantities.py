"""Units: parsing, refusals, rounding to the safe side, display."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from host_sim.quantities import QuantityError, convert_pressure, quantity, show_pressure, whole


@pytest.mark.parametrize(
    ("text", "unit", "reference", "value"),
    [
        ("650 kPa", "mbar", "gauge", 6500.0),
        ("4.6 bar", "mbar", "gauge", 4600.0),
        ("4.6 bar gauge", "mbar", "gauge", 4600.0),
        # 1 psi = 6894.757 Pa, NIST SP 811 (2008), appendix B
        ("60 psi", "kPa", "gauge", 413.68542),
        ("1013.25 mbar absolute", "Pa", "absolute", 101325.0),
        ("1.2 s", "ms", "", 1200.0),
        ("0.2 mm", "m", "", 0.0002),
        ("80 %", "permille", "", 800.0),
        ("80%", "percent", "", 80.0),
        ("288 K", "K", "", 288.0),
        ("15 degC", "K", "", 288.15),
        ("-5 degC", "K", "", 268.15),
        ("0.2 dm3/(s bar)", "m^3/(s Pa)", "", 2e-9),
        ("22 cm3", "uL", "", 22000.0),
        ("100 mbar/s", "bar/s", "", 0.1),
        ("1.5e3 us", "ms", "", 1.5),
    ],
)
def test_a_quantity_is_read(text, unit, reference, value):
    assert quantity(text, unit, reference) == pytest.approx(value, rel=1e-7)


@pytest.mark.parametrize(
    ("text", "unit", "reference", "says"),
    [
        ("650", "mbar", "gauge", "has no unit"),
        ("650 s", "mbar", "gauge", "is not a pressure"),
        ("4 bar", "s", "", "is not a time"),
        ("15", "K", "", "has no unit"),
        ("4.6 bars of air", "mbar", "gauge", "is not a unit known here"),
        ("67 psig", "mbar", "gauge", "'psig' is written 'psi gauge' here"),
        ("5 bara", "mbar", "gauge", "'bara' is written 'bar absolute' here"),
        ("4.6 Bar", "mbar", "gauge", "is not a unit known here"),
        ("4.6 bar absolute", "mbar", "gauge", "gauge pressure is wanted"),
        ("4.6 bar", "mbar", "absolute", "must say 'absolute'"),
        ("4.6 bar gauge", "mbar", "absolute", "must say 'absolute'"),
        ("0.1 bar gauge", "mbar", "", "without the word 'gauge'"),
        ("bar", "mbar", "gauge", "is not a number with a unit"),
        ("", "s", "", "is not a number with a unit"),
        ("nan s", "s", "", "is not a number with a unit"),
        ("inf s", "s", "", "is not a number with a unit"),
        ("1e999 s", "s", "", "too large"),
        ("1,5 s", "s", "", "is not a unit known here"),
        ("2 s + 3 s", "s", "", "is not"),
    ],
)
def test_what_is_no_such_quantity_is_refused(text, unit, reference, says):
    with pytest.raises(QuantityError, match=says):
        quantity(text, unit, reference)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text):
    try:
        value = quantity(text, "mbar", "gauge")
    except QuantityError as error:
        assert "\n" not in str(error)
    else:
        assert value == value


@pytest.mark.parametrize(
    ("value", "rounding", "result"),
    [
        (4600.0000000001, "up", 4600),
        (4600.2, "up", 4601),
        (4600.2, "down", 4600),
        (4600.9999999999, "down", 4601),
        (-0.5, "down", -1),
        (10342.13, "exact", 10342),
    ],
)
def test_fractions_go_to_the_safe_side(value, rounding, result):
    assert whole(value, rounding) == result


def test_pressures_are_shown_in_the_unit_of_the_reader():
    assert show_pressure(4.6, "bar") == "4.60 bar gauge"
    assert show_pressure(4.6, "psi") == "66.7 psi gauge"
    assert show_pressure(4.6, "kPa") == "460 kPa gauge"
    with pytest.raises(QuantityError, match="allowed: bar, psi, kPa"):
        convert_pressure(1.0, "atm")
