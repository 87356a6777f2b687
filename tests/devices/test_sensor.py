"""Pressure sensor, rail, supply and switches, each alone."""

import statistics

import pytest

from host_sim.devices import Rail, RailSpec, Sensor, SensorSpec, Supply, SupplySpec, Switch, SwitchSpec

QUIET = SensorSpec(noise_mbar=0.0)


def test_codes_at_the_ends_of_the_span():
    # 0.5 V and 4.5 V through 10k/18k into 12 bits at 3.3 V: 398.9 and 3590.6.
    sensor = Sensor(QUIET, 1, "a")
    assert sensor.sample(0.0, 5.0, 0) == QUIET.counts_at(0.0) == 399
    assert sensor.sample(10.0, 5.0, 0) == QUIET.counts_at(10.0) == 3591
    assert RailSpec().nominal_counts == 3103


@pytest.mark.parametrize("bar", [0.0, 1.3, 4.6, 9.99])
def test_ratiometric_with_the_rail(bar):
    sensor = Sensor(QUIET, 1, "a")
    full, low = sensor.sample(bar, 5.0, 0), sensor.sample(bar, 4.5, 0)
    assert low == pytest.approx(0.9 * full, abs=1.0)


def test_noise_has_the_stated_deviation():
    sensor = Sensor(SensorSpec(noise_mbar=30.0), 1, "a")
    codes = [sensor.sample(5.0, 5.0, 0) for _ in range(4000)]
    # 30 mbar are 9.57 codes of 3.133 mbar.
    assert statistics.stdev(codes) == pytest.approx(9.57, rel=0.05)
    assert statistics.fmean(codes) == pytest.approx(QUIET.counts_at(5.0), abs=0.6)


def test_specimen_errors_move_the_reading():
    sensor = Sensor(SensorSpec(noise_mbar=0.0, zero_error_mbar=100.0, gain_error=0.01), 1, "a")
    assert sensor.sample(5.0, 5.0, 0) == pytest.approx(QUIET.counts_at(5.15), abs=1.0)
    divider = Sensor(SensorSpec(noise_mbar=0.0, divider_error=0.01), 1, "a")
    assert divider.sample(5.0, 5.0, 0) == pytest.approx(QUIET.counts_at(5.0) * 1.01, abs=1.0)


def test_open_reads_low_and_short_reads_high():
    sensor = Sensor(QUIET, 1, "a")
    sensor.is_open = True
    assert sensor.sample(5.0, 5.0, 0) == 0
    sensor.repair()
    sensor.is_short = True
    assert sensor.sample(5.0, 5.0, 0) > 3789


def test_frozen_keeps_the_last_code_and_repair_frees_it():
    sensor = Sensor(SensorSpec(), 1, "a")
    before = sensor.sample(5.0, 5.0, 0)
    sensor.is_frozen = True
    assert [sensor.sample(bar, 5.0, 0) for bar in (1.0, 2.0, 9.0)] == [before] * 3
    sensor.repair()
    assert abs(sensor.sample(9.0, 5.0, 0) - QUIET.counts_at(9.0)) < 10


def test_drift_grows_from_its_onset():
    sensor = Sensor(QUIET, 1, "a")
    sensor.drift_bar_s, sensor.drift_from_us = 0.1, 2_000_000
    assert sensor.sample(5.0, 5.0, 2_000_000) == QUIET.counts_at(5.0)
    assert sensor.sample(5.0, 5.0, 12_000_000) == QUIET.counts_at(6.0)


def test_intermittent_breaks_and_makes():
    sensor = Sensor(QUIET, 1, "a")
    sensor.breaks_us, sensor.makes_us = 100_000, 200_000
    reads = [sensor.sample(5.0, 5.0, t_ms * 1000) == 0 for t_ms in range(0, 600, 20)]
    assert reads == [t_ms % 300 < 100 for t_ms in range(0, 600, 20)]


def test_two_sensors_do_not_share_noise_and_a_seed_repeats():
    def run(seed, name):
        sensor = Sensor(SensorSpec(), seed, name)
        return [sensor.sample(5.0, 5.0, 0) for _ in range(50)]

    assert run(1, "a") == run(1, "a")
    assert run(1, "a") != run(1, "b")
    assert run(1, "a") != run(2, "a")


def test_rail_shift_and_error():
    rail = Rail(RailSpec(noise_v=0.0, error_v=0.05), 1)
    rail.shift_v = -0.3
    assert rail.sample() == round(4.75 * 0.5 / 3.3 * 4096)
    assert rail.volts == pytest.approx(4.75)


def test_supply_sags_under_load():
    supply = Supply(SupplySpec(noise_mv=0.0, servo_per_s=0.0), 1)
    idle_v = supply.step(0, 0, 0)
    assert idle_v == pytest.approx(6.6 - 0.5 * 0.05)
    assert supply.step(1, 1, 1) == pytest.approx(idle_v - 1.5 * 0.05)
    assert supply.sample() == pytest.approx(6.5 / 13.2 * 4095, abs=1.0)
    supply.sag_to_v = 4.0
    assert supply.step(2, 0, 0) == pytest.approx(4.0 - 0.025)
    supply.dropped_to_v = 0.0
    assert supply.step(3, 0, 0) == 0.0
    assert supply.sample() == 0


def test_servo_bursts_come_and_go():
    supply = Supply(SupplySpec(servo_per_s=2.0), 3)
    volts = [supply.step(t_ms * 1000, 0, 0) for t_ms in range(0, 20_000, 20)]
    low = sum(v < 6.4 for v in volts)
    assert 0.05 < low / len(volts) < 0.3


def test_switch_bounces_then_settles():
    switch = Switch(SwitchSpec(bounce_ms=10.0), 1, "lock 0")
    assert switch.sample(False, 0) == 0
    levels = [switch.sample(True, 1000 + 500 * k) for k in range(60)]
    assert set(levels[:20]) == {0, 1}
    assert set(levels[45:]) == {1}


def test_switch_levels_of_a_normally_closed_contact_and_of_faults():
    switch = Switch(SwitchSpec(made_level=0, wire_off_level=1, bounce_ms=0.0), 1, "ground")
    assert (switch.sample(True, 0), switch.sample(False, 1)) == (0, 1)
    switch.stuck = True
    assert switch.sample(False, 2) == 0
    switch.wire_off = True
    assert switch.sample(True, 3) == 1
    switch.repair()
    assert switch.sample(True, 100_000) == 0
