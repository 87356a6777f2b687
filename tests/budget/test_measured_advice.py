"""What the bench changes in the advice: lock minimum, leak, extension, reading; and what it leaves alone."""

from dataclasses import replace

import pytest

from host_sim.aircraft import load_aircraft
from host_sim.budget.advice import advise
from host_sim.budget.bench_rows import lock_minimum_bar
from host_sim.budget.calibration import calibrate
from host_sim.budget.measured import Comparison, Drop, LeakDown, LockMinimum, Within
from host_sim.errors import InputError
from host_sim.yamlfile import parse

from .bench import FILE_AIR, curlew, installed_with, measured, whole_bench
from .shipped import AIRCRAFT_DIR


def advice_with(found, **changed):
    return advise(installed_with(found, **changed), curlew().settings, with_helps=False)


def bar_of(advice, key):
    return advice.thresholds[key].advised_bar


def terms_of(advice, key):
    return {term.name: term.bar for term in advice.thresholds[key].terms}


@pytest.fixture(scope="module")
def computed():
    return advice_with(None)


def test_a_measured_lock_minimum_takes_the_computed_ones_place(computed):
    higher = advice_with(measured(lock_minimum=LockMinimum(4.2, 1.0, 0.1)))
    assert terms_of(higher, "lock_min") == {
        "measured on the bench (full air load)": 4.2,
        "uncertainty of the bench": 0.1,
    }
    assert bar_of(higher, "lock_min") == pytest.approx(4.3)
    for key in ("lock_min", "force_below", "warn_below", "retract_above"):
        assert bar_of(higher, key) > bar_of(computed, key)
    (said,) = higher.calibration.disagreements
    assert "4.20 bar gauge on the bench, is 0.53 bar above the 3.67 bar gauge computed" in said


def test_a_lower_one_wins_too_and_is_said(computed):
    lower = advice_with(measured(lock_minimum=LockMinimum(3.2, 1.0, 0.1)))
    assert bar_of(lower, "lock_min") == pytest.approx(3.3)
    assert bar_of(computed, "lock_min") > 3.6
    (said,) = lower.calibration.disagreements
    assert "below the 3.58 bar gauge that the simulated gear needs; the measured one counts" in said
    # The friction found makes the simulated gear lock from there: the extension at the forcing point has a time.
    assert lower.simulated_extend_s is not None


@pytest.mark.parametrize(("share", "name"), [(0.0, "no air load"), (0.6, "60 % of the full air load")])
def test_the_air_load_that_was_not_applied_is_added(share, name):
    found = calibrate(installed_with(measured(lock_minimum=LockMinimum(1.75, share, 0.1))))
    terms = {term.name: term.bar for term in found.lock_terms}
    assert terms[f"measured on the bench ({name})"] == 1.75
    # By hand, still air to full: 32 N / (pi/4 15 mm^2) = 1.811 bar, and gamma x 43.3 mL / 750 mL of it: 1.957 bar.
    assert lock_minimum_bar(FILE_AIR, 1.0) - lock_minimum_bar(FILE_AIR, 0.0) == pytest.approx(1.957, abs=1e-3)
    assert terms["air load that was not applied"] == pytest.approx((1.0 - share) * 1.957, abs=0.002)
    assert sum(terms.values()) == pytest.approx(1.85 + (1.0 - share) * 1.957, abs=0.002)


def test_another_tank_shifts_the_measured_lock_minimum_by_what_is_computed():
    found = measured(lock_minimum=LockMinimum(3.6, 1.0, 0.1))
    small = replace(FILE_AIR, tank_m3=0.5 * FILE_AIR.tank_m3)
    terms = {term.name: term.bar for term in calibrate(installed_with(found, air=small)).lock_terms}
    # Half the tank: what filling the stroke takes, 1.4 (4.35 bar x 43.3 mL - 1.01 bar x 11.1 mL)/750 mL, comes twice.
    assert terms["what was changed since"] == pytest.approx(0.331, abs=0.005)
    assert "what was changed since" not in {t.name for t in calibrate(installed_with(found)).lock_terms}


def test_the_whole_bench_moves_what_it_measured(computed):
    """Slower, stiffer, leakier and larger to fill than the file: each term moves its way, and the settings' times do."""
    found = advice_with(whole_bench(0))
    assert terms_of(found, "lock_min")["friction"] > 1.02 * terms_of(computed, "lock_min")["friction"]
    assert (
        terms_of(found, "lock_min")["air of the extension"]
        > 1.03 * terms_of(computed, "lock_min")["air of the extension"]
    )
    assert terms_of(found, "retract_above")["leak until the landing"] == pytest.approx(
        2.0 * terms_of(computed, "retract_above")["leak until the landing"], rel=0.25
    )
    assert found.extend_s > computed.extend_s
    assert bar_of(found, "retract_above") > bar_of(computed, "retract_above") + 0.1


def test_the_reading_error_is_the_gauges(computed):
    assert computed.error_bar == pytest.approx(0.15)
    found = measured(gauge=(Comparison(4.42, 4.6), Comparison(7.4, 7.5)), zero_bar=0.02, within=Within(gauge_bar=0.08))
    advice = advice_with(found)
    assert advice.calibration.sensor_error_bar == pytest.approx(0.18 + 0.08)
    assert advice.error_bar == pytest.approx(0.26)
    assert bar_of(advice, "force_below") >= bar_of(computed, "force_below") + 0.1
    (said,) = [one for one in advice.calibration.disagreements if "controller read" in one]
    assert "read 4.42 bar gauge at 4.60 bar gauge: more than the worst_error of 0.15 bar" in said
    # The file's own figure stays where the gauge is kinder.
    kind = advice_with(measured(gauge=(Comparison(4.6, 4.6), Comparison(7.5, 7.5)), within=Within(gauge_bar=0.02)))
    assert kind.error_bar == pytest.approx(0.15)
    assert calibrate(installed_with(measured(zero_bar=0.02))).sensor_error_bar is None


def test_a_zero_that_is_off_counts_as_a_deviation():
    off = calibrate(
        installed_with(measured(gauge=(Comparison(7.5, 7.5),), zero_bar=-0.2, within=Within(gauge_bar=0.05)))
    )
    assert off.sensor_error_bar == pytest.approx(0.25)
    assert any("read -0.20 bar gauge at 0.00 bar gauge" in one for one in off.disagreements)


def test_a_drop_is_compared_with_the_stroke_map():
    """The map takes 0.39 bar of 7.00; both readings may be wrong by 0.03 bar."""
    fine, far = Drop("retraction", 7.0, 6.56), Drop("retraction", 7.0, 6.54)
    assert calibrate(installed_with(measured(drops=(fine,)))).disagreements == ()
    (said,) = calibrate(installed_with(measured(drops=(far,)))).disagreements
    assert said == "The retraction from 7.00 bar gauge took 0.46 bar; the stroke map says 0.39 bar."


def test_everything_is_said_in_the_readers_unit():
    found = measured(
        lock_minimum=LockMinimum(4.2, 1.0, 0.1),
        leak_down=(LeakDown(7.5, 7.0, 600.0, 290.0, 290.0),),
        drops=(Drop("retraction", 7.0, 6.3),),
        gauge=(Comparison(7.0, 7.5),),
        zero_bar=0.02,
        within=Within(assumed=("pressure", "time", "gauge", "air")),
    )
    bar, psi = (calibrate(installed_with(found, unit=unit)) for unit in ("bar", "psi"))
    assert len(bar.disagreements) == len(psi.disagreements) == 4
    for sentence in (*psi.disagreements, *psi.notes):
        assert "bar" not in sentence and "\n" not in sentence
    assert any("psi" in note for note in psi.notes)
    zero = next(one for one in psi.fitted if one.name == "zero of the reading")
    assert zero.cells("psi")[1] == "0.29 psi" and zero.cells("bar")[1] == "0.020 bar"


def test_an_aircraft_whose_thresholds_are_advised_loads_with_the_bench():
    settings = "settings: {lock_min: advised, force_below: advised, warn_below: advised, retract_above: advised"
    options = "measured: {lock_minimum: {tank: 4.2 bar, load: full air load, within: 0.1 bar}}\n" + settings + "}"
    aircraft = load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(options, "options.yaml"))
    assert aircraft.settings.lock_min_mbar == 4300
    hopeless = options.replace("4.2 bar", "7.3 bar")
    with pytest.raises(InputError, match="can't give"):
        load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", parse(hopeless, "options.yaml"))
