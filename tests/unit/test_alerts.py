"""SR-20, SR-24, SR-25: one table, one alert shown, ends, acknowledgement, forced extensions told apart."""

import pytest

from controller import codes
from controller.alerts import ENDING, LEVEL, PATTERN, SEVERITY, STEP_MS, STEPS, TABLE, TONE_HZ

from .driver import DOWN_US, IDLE_US, SILENT, UP_US, Rig, codes_of

MINUTE = 3000


@pytest.mark.sr("SR-20", "acts")
def test_table_has_a_row_for_every_alert_in_order_of_severity():
    assert len(TABLE) == codes.N_ALERTS == len(codes.ALERT_WORDS) == len(codes.ALERT_SENTENCES)
    severities = [row[SEVERITY] for row in TABLE[1:]]
    assert severities == sorted(severities, reverse=True)
    assert set(severities) == {codes.WARNING, codes.CAUTION, codes.ADVISORY}


@pytest.mark.sr("SR-20", "acts")
@pytest.mark.parametrize("alert", range(1, codes.N_ALERTS))
def test_row_flashes_at_most_three_times_in_any_second_and_sounds_within_the_range(alert):
    row = TABLE[alert]
    lamp = [(row[PATTERN] >> step) & 1 for step in range(STEPS)] * 2
    assert 1 in lamp
    rises = [step for step in range(1, 2 * STEPS) if lamp[step] == 1 and lamp[step - 1] == 0]
    per_second = 1000 // STEP_MS
    for start in range(2 * STEPS - per_second):
        assert sum(start <= step < start + per_second for step in rises) <= 3
    if row[SEVERITY] != codes.ADVISORY:
        assert 500 <= row[TONE_HZ] <= 3000


@pytest.mark.sr("SR-20", "acts")
def test_highest_active_alert_shows():
    rig = Rig(lock_count=3, supply_fitted=1).awake()
    rig.step(300, supply_mv=4700)
    assert rig.shows(codes.ALERT_SUPPLY) and rig.shows(codes.ALERT_NOT_LOCKED)
    for _ in range(100):
        rig.step()
        active = [alert for alert in range(codes.N_ALERTS) if rig.shows(alert)]
        assert rig.outputs.alert == active[0]
        assert rig.outputs.severity == TABLE[active[0]][SEVERITY]


def shown(rig, ticks):
    lamps, tones = [], []
    for _ in range(ticks):
        rig.step()
        lamps.append(rig.outputs.lamp)
        tones.append(rig.outputs.tone_hz)
    return lamps, tones


@pytest.mark.sr("SR-20", "acts")
def test_acknowledgement_silences_sound_and_never_the_light():
    rig = Rig(lock_count=3).awake()
    rig.step(100)
    assert rig.outputs.severity == codes.WARNING
    lamps, tones = shown(rig, 200)
    assert 1 in lamps and max(tones) == TABLE[rig.outputs.alert][TONE_HZ]
    rig.step(5, button=1)
    rig.step(5, button=0)
    lamps, tones = shown(rig, 3000)
    assert 1 in lamps and max(tones) == 0


@pytest.mark.sr("SR-20", "spares")
def test_acknowledgement_does_not_silence_the_next_alert():
    rig = Rig(lock_count=3).awake()
    rig.step(100)
    rig.step(5, button=1)
    rig.step(5, button=0)
    # A higher one sounds.
    rig.step(3, gear_us=UP_US)
    rig.step(60, gear_us=SILENT)
    assert rig.outputs.alert == codes.ALERT_FORCED
    assert max(shown(rig, 200)[1]) > 0


@pytest.mark.sr("SR-20", "spares")
def test_spike_on_the_button_silences_nothing():
    rig = Rig(lock_count=3).awake()
    rig.step(100)
    for _ in range(20):
        rig.step(1, button=1)
        rig.step(3, button=0)
    assert max(shown(rig, 200)[1]) > 0


@pytest.mark.sr("SR-20", "spares")
def test_healthy_aircraft_is_dark_and_silent():
    rig = Rig().awake()
    lamps, tones = shown(rig, 500)
    assert (rig.outputs.alert, rig.outputs.severity, max(lamps), max(tones)) == (0, 0, 0, 0)


@pytest.mark.sr("SR-20", "acts")
def test_change_of_the_alert_that_shows_does_not_make_it_flash_faster():
    for offset in range(0, 100, 4):
        rig = Rig(lock_count=3).awake()
        rig.locks = [0] * 4
        rig.air(4800)
        rig.step(200 + offset)
        assert rig.outputs.alert == codes.ALERT_AIR_LOW
        lamps = shown(rig, 50)[0]
        rig.locks = [1] * 4
        lamps += shown(rig, 100)[0]
        rises = [tick for tick in range(1, 150) if lamps[tick] == 1 and lamps[tick - 1] == 0]
        for start in range(100):
            assert sum(start <= tick < start + 50 for tick in rises) <= 3


# SR-24


@pytest.mark.sr("SR-24", "acts")
def test_level_alert_ends_after_its_time_beyond_the_deadband():
    rig = Rig().awake()
    rig.step(50, air=5000)
    assert rig.shows(codes.ALERT_AIR_LOW)
    rig.air(5305)
    took = rig.until(lambda o: o.active[codes.ALERT_AIR_LOW] == 0, 1100)
    assert 1000 <= took <= 1015


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize(("noise", "inside"), [(10, 5295), (150, 5390)])
def test_level_alert_does_not_end_within_the_deadband(noise, inside):
    # 2 % of 10 bar are 200 mbar above the warning point of 5100; twice 150 mbar of noise are 300.
    rig = Rig(sensor_noise_mbar=noise).awake()
    rig.step(50, air=5000)
    rig.step(2000, air=inside)
    assert rig.shows(codes.ALERT_AIR_LOW)


def rises(rig, alert, play, ticks=MINUTE + 500):
    """Ticks at which `alert` rose while `play(tick)` set the world."""
    found = []
    was = rig.shows(alert)
    for tick in range(ticks):
        play(tick)
        rig.step()
        if rig.shows(alert) and not was:
            found.append(tick)
        was = rig.shows(alert)
    return found


def busiest_minute(found):
    return max((sum(start <= tick < start + MINUTE for tick in found) for start in found), default=0)


@pytest.mark.sr("SR-24", "acts")
@pytest.mark.parametrize("name", ["air", "supply", "pressure", "link", "throttle"])
def test_level_alert_rises_at_most_three_times_a_minute(name):
    rig = Rig(supply_fitted=1).awake()

    def play(tick):
        bad = tick // 61 % 2
        if name == "air":
            rig.air(4500 if bad else 7000)
        if name == "supply":
            rig.supply_mv(4600 if bad else 5500)
        if name == "pressure":
            rig.a = 0 if bad else codes_of(7000)
        if name == "link":
            rig.gear_us = SILENT if bad else DOWN_US
        if name == "throttle":
            rig.throttle_us = SILENT if bad else IDLE_US

    alert = {
        "air": codes.ALERT_AIR_LOW,
        "supply": codes.ALERT_SUPPLY,
        "pressure": codes.ALERT_PRESSURE,
        "link": codes.ALERT_LINK,
        "throttle": codes.ALERT_THROTTLE,
    }[name]
    assert TABLE[alert][ENDING] == LEVEL
    found = rises(rig, alert, play)
    assert 1 <= busiest_minute(found) <= 3


@pytest.mark.sr("SR-21", "spares")
def test_brakes_alert_ends_with_the_brakes():
    """It follows a lever that the pilot holds, not a measured value: it ends at once, and may rise as often as he errs."""
    rig = Rig().awake()
    rig.step(80, brake_us=1900, throttle_us=1500)
    assert rig.shows(codes.ALERT_BRAKES)
    rig.step(15, brake_us=IDLE_US)
    assert not rig.shows(codes.ALERT_BRAKES)


@pytest.mark.sr("SR-24", "acts")
def test_supply_alert_has_a_deadband():
    # 100 mV above 4.8 V: 2 % of 5 V.
    rig = Rig(supply_fitted=1).awake()
    rig.step(50, supply_mv=4700)
    rig.step(1500, supply_mv=4860)
    assert rig.shows(codes.ALERT_SUPPLY)
    rig.step(1100, supply_mv=4950)
    assert not rig.shows(codes.ALERT_SUPPLY)


@pytest.mark.sr("SR-24", "spares")
def test_condition_long_gone_does_not_keep_the_alert():
    rig = Rig().awake()
    rig.step(50, air=5000)
    rig.step(1100, air=5600)
    assert rig.outputs.alert == codes.ALERT_NONE


# SR-25


@pytest.mark.sr("SR-25", "acts")
def test_forced_extension_has_its_own_alert_cause_value_and_time():
    rig = Rig(supply_fitted=1).up()
    before = rig.ticks
    rig.step(60, supply_mv=4300)
    assert rig.outputs.alert == codes.ALERT_FORCED
    assert rig.outputs.severity == codes.WARNING
    assert rig.outputs.cause == codes.CAUSE_SUPPLY
    assert 4290 <= rig.outputs.cause_value <= 4305
    assert before + 24 <= rig.outputs.cause_tick <= before + 26
    rig.step(3000)
    assert rig.outputs.alert == codes.ALERT_FORCED
    rig.step(3, gear_us=DOWN_US)
    assert not rig.shows(codes.ALERT_FORCED)
    assert rig.shows(codes.ALERT_HELD)


@pytest.mark.sr("SR-25", "spares")
def test_ordinary_extension_is_not_called_forced():
    rig = Rig().up()
    rig.move_down()
    for _ in range(300):
        rig.step()
        assert not rig.shows(codes.ALERT_FORCED)
        assert rig.outputs.cause == codes.CAUSE_NONE


@pytest.mark.sr("SR-25", "acts")
def test_cause_that_is_named_is_one_that_still_holds():
    rig = Rig().up()
    rig.now_ms += 150
    rig.step(1)
    assert rig.causes == [codes.CAUSE_LATE]
    rig.step(60, gear_us=SILENT)
    rig.step(115, gear_us=DOWN_US)
    assert rig.causes == [codes.CAUSE_LINK]
    assert rig.outputs.cause == codes.CAUSE_LINK
