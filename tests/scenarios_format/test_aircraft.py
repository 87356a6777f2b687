"""Aircraft files: units to settings, what follows from what is fitted, refusals, the packed form."""

import pickle

import pytest

from controller import codes
from controller.packing import UNPACK_OK, unpack
from controller.settings import FIELDS, NAME, Settings
from host_sim.air.sizing import adiabatic_drop_pa, lock_minimum_pa, retract_side
from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.aircraft_print import findings
from host_sim.aircraft_settings import KEYS
from host_sim.errors import InputError
from host_sim.yamlfile import parse

SHIPPED = sorted(AIRCRAFT_DIR.glob("*.yaml"))
PA_PER_MBAR = 100.0
SEA_LEVEL_PA = 101325.0


def options(text):
    return parse(text, "options.yaml")


def curlew(text=""):
    return load_aircraft(AIRCRAFT_DIR / "curlew24.yaml", options(text) if text else None)


def complaint(path, text=""):
    with pytest.raises(InputError) as caught:
        load_aircraft(path, options(text) if text else None)
    message = str(caught.value)
    assert "\n" not in message
    return message


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_thresholds_fit_the_air_system(path):
    """The lock minimum covers the closed form at full air load; a retraction at the permit ends above the alert."""
    aircraft = load_aircraft(path)
    s, air = aircraft.settings, aircraft.air
    least_pa = lock_minimum_pa(air, air.design_q_pa, SEA_LEVEL_PA) - SEA_LEVEL_PA
    assert least_pa <= s.lock_min_mbar * PA_PER_MBAR <= least_pa + 0.5e5
    permit_pa = s.retract_above_mbar * PA_PER_MBAR + SEA_LEVEL_PA
    drop_pa = adiabatic_drop_pa(permit_pa, SEA_LEVEL_PA, air.tank_m3, retract_side(air))
    assert s.retract_above_mbar - drop_pa / PA_PER_MBAR > s.warn_below_mbar > s.force_below_mbar


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_the_board_loads_is_what_flies_here(path):
    aircraft = load_aircraft(path)
    loaded = Settings()
    assert unpack(aircraft.packed, loaded) == UNPACK_OK
    assert vars(loaded) == vars(aircraft.settings)


def test_settings_follow_from_what_is_fitted():
    s = curlew().settings
    # 0.5 V and 4.5 V through 10k/18k at 12 bits and 3.3 V
    assert (s.sensor_a_zero_counts, s.sensor_a_full_counts) == (399, 3591)
    # half the sensor's 0.5 V, and halfway from 4.5 V to the rail
    assert (s.sensor_open_counts, s.sensor_short_counts) == (200, 3790)
    assert (s.gear_low_us, s.gear_high_us, s.gear_up_high) == (1300, 1700, 1)
    assert (s.sensor_count, s.lock_count, s.ground_fitted, s.signature_channel) == (1, 0, 0, 0)
    assert (s.tank_ml, s.fill_mbar, s.rail_fitted, s.supply_fitted) == (750, 7500, 1, 1)
    # extension sweeps pi/4 (14^2 x 60 + 2 x 15^2 x 65) mm3, rounded up
    assert s.extend_swept_ul == 32210
    # one full brake: 1.4 x 7.5 bar x 3 mL / 750 mL
    assert s.brake_mbar == 42


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("channels: {gear: {down: 1900 us, up: 1100 us}}", "gear_up_high", 0),
        ("channels: {throttle: {idle: 1900 us, full: 1100 us}}", "throttle_idle_us", 1900),
        ("channels: {light: none}", "light_fitted", 0),
        ("channels: {throttle: none}", "throttle_fitted", 0),
        ("channels: {brake: none}", "brake_fitted", 0),
        ("brakes: none", "brake_mbar", 0),
        ("rail: {measured: no}", "rail_fitted", 0),
        ("supply: {measured: no}", "supply_fitted", 0),
        ("switches: {locks: 3}", "lock_count", 3),
        ("switches: {ground: yes, ground_clear: low}", "ground_clear_level", 0),
        ("settings: {force_below: 63.5 psi}", "force_below_mbar", 4379),
        ("settings: {extend: 2400.1 ms}", "extend_ms", 2401),
        ("settings: {low_confirm: 499.9 ms}", "low_confirm_ms", 499),
        ("settings: {brake_on: 12 %}", "brake_on_permille", 120),
        ("settings: {burst_floor: 9 kPa/s}", "burst_floor_mbar_s", 90),
        ("settings: {switch_frames: 4}", "switch_frames", 4),
        ("settings: {supply_force: 4.8 V}", "supply_force_mv", 4800),
    ],
)
def test_an_option_changes_the_setting(text, field, value):
    assert getattr(curlew(text).settings, field) == value


def test_every_field_of_the_settings_has_a_key():
    assert sorted(row[NAME] for row in KEYS.values()) == sorted(row[NAME] for row in FIELDS)
    assert len(KEYS) == len(FIELDS)
    same = "\n".join(f"  {key}: {_said(row)}" for key, row in KEYS.items())
    assert vars(curlew("settings:\n" + same).settings) == vars(curlew().settings)


def _said(row):
    """The value that the Curlew 24 has, as an owner writes it."""
    value = getattr(curlew().settings, row[NAME])
    return f"{value} {row[1]}" if row[1] not in ("", "counts") else str(value)


def test_a_second_sensor_and_a_preset_receiver_by_options():
    sensor = "span: 10 bar, at_zero: 0.5 V, at_span: 4.5 V, divider_top: 10 kohm, divider_bottom: 18 kohm"
    aircraft = curlew(
        f"sensors: {{b: {{{sensor}, noise: 20 mbar, worst_error: 200 mbar}}}}\n"
        "receiver:\n"
        "  on_loss: preset\n"
        "  preset: {spare: 2100 us}\n"
        "  signature: {channel: spare, from: 2050 us, to: 2150 us}\n"
        "channels: {spare: {rest: 1500 us}}\n"
    )
    s = aircraft.settings
    assert (s.sensor_count, len(aircraft.sensors), s.sensor_noise_mbar, s.sensor_error_mbar) == (2, 2, 20, 200)
    assert (s.signature_channel, s.signature_low_us, s.signature_high_us) == (codes.SPARE, 2050, 2150)
    assert aircraft.receiver.on_loss == "preset"
    assert aircraft.receiver.preset_us[codes.SPARE] == 2100


def test_valves():
    servo = curlew("valve: {kind: servo, servo_down: 1000 us, servo_up: 2000 us}")
    assert (servo.valve_kind, servo.servo_down_us, servo.servo_up_us) == (codes.VALVE_SERVO, 1000, 2000)
    assert curlew().valve_kind == codes.VALVE_SPRING
    assert load_aircraft(AIRCRAFT_DIR / "tern30.yaml").valve_kind == codes.VALVE_TWO_COIL


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("settings: {force_below: 4.4}", "options.yaml:1: settings.force_below: '4.4' has no unit"),
        ("settings: {force_below: 4.4 s}", "is not a pressure"),
        ("settings: {force_below: 40 bar}", "out of range; allowed: 0.5 bar to 15 bar gauge"),
        ("settings: {force_belov: 4.4 bar}", "unknown key 'force_belov' (did you mean 'force_below'?)"),
        ("settings: {force_below: 3.9 bar}", "force_below must be at least lock_min + sensor_error + burst_floor x"),
        (
            "settings: {retract_above: 4.5 bar}",
            "retract_above must be at least force_below + the adiabatic drop of one retraction + brake + 0.10 bar",
        ),
        ("settings: {warn_below: 4.45 bar}", "warn_below must be at least force_below + the larger of 0.20 bar and"),
        ("settings: {switch_frames: 1}", "out of range; allowed: 2 to 10"),
        ("settings: {extend: 1 bar}", "is not a time"),
        ("tank: {volume: 50 mL}", "tank.volume: '50 mL' is out of range; allowed: 100 mL to 5000 mL"),
        ("tank: {fill: 4 bar}", "fill must be at least retract_above"),
        ("gear: {legs: {nose: {rod: 20 mm}}}", "is not thinner than the bore"),
        ("gear: {legs: {nose: {bore: 3 mm}}}", "allowed: 4 mm to 60 mm"),
        ("gear: {legs: {fourth: {bore: 14 mm}}}", "gear.legs.fourth: the key 'rod' is missing"),
        ("valve: {kind: magic}", "'magic' is not known; allowed: spring-return, two-coil, servo"),
        ("valve: {kind: servo}", "the key 'servo_down' is missing"),
        ("sensors: {a: {at_span: 0.4 V}}", "allowed: 0.5 V to 5 V"),
        ("sensors: {a: none}", "is a single value; wanted is a mapping"),
        ("channels: {gear: none}", "is not a mapping"),
        ("channels: {gear: {down: 1400 us, up: 1600 us}}", "the two ends are 200 us apart; allowed: at least 300 us"),
        ("receiver: {on_loss: guess}", "allowed: silent, preset, hold"),
        ("receiver: {signature: {channel: spare, from: 1480 us, to: 1520 us}}", "signature window"),
        (
            "receiver: {signature: {channel: gear, from: 2050 us, to: 2150 us}}",
            "allowed: throttle, brake, light, spare",
        ),
        ("switches: {locks: 4}", "out of range; allowed: 0 to 3"),
        ("unit: atm", "allowed: bar, psi, kPa"),
        ("brakes: some", "is neither 'none' nor a mapping"),
        ("colour: red", "unknown key 'colour'"),
    ],
)
def test_a_wrong_value_is_named_with_what_is_allowed(text, says):
    assert says in complaint(AIRCRAFT_DIR / "curlew24.yaml", text)


def test_the_line_in_the_file_is_named(files):
    path = files.aircraft("force_below: 4.4 bar gauge", "force_below: 4.4 bars gauge pressure")
    line = next(n for n, text in enumerate(path.read_text().split("\n"), 1) if "bars gauge pressure" in text)
    assert complaint(path).startswith(f"{path}:{line}: settings.force_below: ")


def test_too_many_legs(files):
    text = (AIRCRAFT_DIR / "curlew24.yaml").read_text()
    start, end = text.index("    right:"), text.index("\nvalve:") + 1
    leg = text[start:end].rstrip("\n") + "\n"
    path = files.write(text[:end] + leg.replace("right", "fourth") + leg.replace("right", "fifth") + text[end:])
    assert "has 5 legs; allowed: 1 to 4" in complaint(path)


@pytest.mark.parametrize("frame_ms, tick_ms, wrong", [(20, 20, 1), (21, 20, 1), (22, 20, 0), (15, 14, 1), (15, 13, 0)])
def test_tick_that_misses_frames_is_wrong(files, frame_ms, tick_ms, wrong):
    aircraft = load_aircraft(files.aircraft("frame: 22 ms", f"frame: {frame_ms} ms"))
    aircraft.settings.tick_ms = tick_ms
    assert (
        sum("does not see every frame" in line for grade, line in findings(aircraft, "bar") if grade == "wrong")
        == wrong
    )


def test_error_of_a_worker_process_arrives_whole():
    error = InputError("a.yaml", 7, "'x' is not known")
    assert str(pickle.loads(pickle.dumps(error))) == str(error) == "a.yaml:7: 'x' is not known"
