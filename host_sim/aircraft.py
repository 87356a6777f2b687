"""An aircraft file: what is built into one model, in the owner's units, checked, and packed as the board loads it.

Sections: tank, gear, valve, brakes, sensors, rail, receiver, channels, supply, switches, settings, and where the owner
has them use, rated, measured, reasons and accepted. The controller's settings follow from what is fitted; the section `settings`
gives the rest by the names of controller/settings.py without their unit, or leaves a threshold to the advice. What is
simulated is the packed form unpacked again: what the board loads is what flies here.
"""

from dataclasses import dataclass
from pathlib import Path

from controller import codes
from controller.settings import Settings

from . import aircraft_settings
from .air.atmosphere import SEA_LEVEL_PA
from .air.gas import ANR_K, ANR_KG_M3, GAMMA, R_J_KG_K
from .air.sizing import extend_side, retract_side
from .air.spec import AirSystem, Brake, Hose, Leg, Valve
from .aircraft_devices import (
    read_channels,
    read_rail,
    read_receiver,
    read_sensors,
    read_supply,
    read_switches,
)
from .budget.advice import Installed, advise
from .budget.measured import read_measured
from .budget.ratings import check_fill, read_ratings
from .budget.use import read_use
from .devices import RailSpec, ReceiverSpec, SensorSpec, SupplySpec, SwitchesSpec
from .quantities import PRESSURE_UNITS
from .yamlfile import Mapping, Scalar, merged, read

AIRCRAFT_DIR = Path(__file__).parent / "aircraft"
_VALVES = {"spring-return": "spring", "two-coil": "two-coil", "servo": "servo"}
_ANR_PA = ANR_KG_M3 * R_J_KG_K * ANR_K
_LEAK_DOWN_S = 600.0
_SEA_LEVEL_DENSITY_KG_M3 = 1.225


@dataclass(frozen=True)
class Aircraft:
    """One checked aircraft. `packed` is the settings file of the board, `settings` the same bytes unpacked again.

    `unit` is the pressure unit the owner reads (bar, psi, kPa); `fill_bar` the usual filling pressure, gauge;
    `valve_kind` a code of controller/codes.py; `rail` exists whether or not the controller measures it. `installed` is
    what sizing and advice look at; `advised` the thresholds that the file leaves to the advice; `reasons` {threshold:
    why it is set lower than advised}; `accepted_by` the name of whoever accepted a valve that does not fall to DOWN by
    itself, "" where nobody has.
    """

    file: str
    name: str
    about: str
    unit: str
    fill_bar: float
    air: AirSystem
    leg_names: tuple[str, ...]
    valve_kind: int
    servo_down_us: int
    servo_up_us: int
    sensors: tuple[SensorSpec, ...]
    rail: RailSpec
    receiver: ReceiverSpec
    supply: SupplySpec
    switches: SwitchesSpec
    settings: Settings
    packed: bytes
    installed: Installed
    advised: tuple[str, ...]
    reasons: dict[str, str]
    accepted_by: str = ""


def load_aircraft(path, options=None):
    """Aircraft of a file, with `options` (a yamlfile.Mapping, or None) merged over it. Raises InputError."""
    top = read(path)
    if options is not None:
        top = merged(top, options)
    values = {}  # settings field -> value that follows from what is fitted
    name = top.take("name").string(60)
    about = top.take("about").string()
    unit = top.take("unit").word(PRESSURE_UNITS)
    ratings = read_ratings(top.take("rated", Mapping, None), unit)
    air, leg_names, valve_kind, fill_bar, speed_m_s = _read_air(top, unit, ratings, values)
    rail = read_rail(top.take("rail", Mapping), values)
    sensors, accuracy = read_sensors(top.take("sensors", Mapping), rail, values)
    low_us, high_us = read_channels(top.take("channels", Mapping), values)
    receiver = read_receiver(top.take("receiver", Mapping), low_us, high_us, values)
    supply = read_supply(top.take("supply", Mapping), values)
    switches = read_switches(top.take("switches", Mapping), len(air.legs), values)
    use = read_use(top.take("use", Mapping, None), unit)
    stated_error_bar = values["sensor_error_mbar"] / 1000.0
    measured = read_measured(top.take("measured", Mapping, None), unit, air, stated_error_bar)
    reasons = _read_reasons(top.take("reasons", Mapping, None))
    accepted_by = _read_accepted(top.take("accepted", Mapping, None))
    own = top.take("settings", Mapping)
    top.close()
    installed = Installed(
        air=air,
        leg_names=leg_names,
        unit=unit,
        fill_bar=fill_bar,
        speed_m_s=speed_m_s,
        use=use,
        ratings=ratings,
        accuracy=accuracy,
        sensor=sensors[0],
        rail=rail,
        rail_measured=bool(values["rail_fitted"]),
        measured=measured,
    )
    settings, packed, advised = aircraft_settings.build(own, values, unit, lambda draft: advise(installed, draft))
    return Aircraft(
        file=str(path),
        name=name,
        about=about,
        unit=unit,
        fill_bar=fill_bar,
        air=air,
        leg_names=leg_names,
        valve_kind=valve_kind,
        servo_down_us=air.valve.servo_down_us,
        servo_up_us=air.valve.servo_up_us,
        sensors=sensors,
        rail=rail,
        receiver=receiver,
        supply=supply,
        switches=switches,
        settings=settings,
        packed=packed,
        installed=installed,
        advised=advised,
        reasons=reasons,
        accepted_by=accepted_by,
    )


def _read_reasons(node):
    """{threshold: reason} of the section `reasons`, or {} of None."""
    if node is None:
        return {}
    reasons = {key: node.take(key).string(400) for key in aircraft_settings.THRESHOLDS if node.has(key)}
    node.close()
    return reasons


def _read_accepted(node):
    """The name in the section `accepted`, or "" of None."""
    if node is None:
        return ""
    name = node.take("valve_does_not_fall").string(60)
    node.close()
    return name


def _read_air(top, unit, ratings, values):
    """(AirSystem, names of the legs, code of the valve's kind, filling pressure in bar gauge, speed forced at in m/s)."""
    tank_m3, fill_bar, leak, wall_w_k = _read_tank(top.take("tank", Mapping), unit, ratings, values)
    leg_names, legs, speed_m_s = _read_gear(top.take("gear", Mapping))
    valve, valve_kind = _read_valve(top.take("valve", Mapping))
    air = AirSystem(
        tank_m3=tank_m3,
        legs=legs,
        valve=valve,
        brake=_read_brakes(section(top, "brakes")),
        leak_m3_s_pa=leak,
        wall_w_k=wall_w_k,
        design_q_pa=0.5 * _SEA_LEVEL_DENSITY_KG_M3 * speed_m_s**2,
    )
    _follow_from_air(air, fill_bar, values)
    return air, leg_names, valve_kind, fill_bar, speed_m_s


def section(top, key):
    """The Mapping of an optional section, or None where the file says `none`."""
    node = top.take(key, (Mapping, Scalar))
    if isinstance(node, Scalar):
        if node.text.strip() != "none":
            node.fail(f"'{node.text[:40]}' is neither 'none' nor a mapping of keys to values")
        return None
    return node


def _read_tank(node, unit, ratings, values):
    volume_ml = node.take("volume").quantity("mL", 100, 5000)
    fill_mbar = node.take("fill").quantity("mbar", 2000, 15000, "gauge", unit)
    check_fill(node.take("fill"), fill_mbar / 1000.0, ratings, unit)
    leak_down_mbar = node.take("leak_down").quantity("mbar", 0, 2000, "", unit)
    wall_w_k = node.take("wall_heat").quantity("W/K", 0.0, 10.0)
    node.close()
    values["tank_ml"] = volume_ml
    values["fill_mbar"] = fill_mbar
    tank_m3 = volume_ml * 1e-6
    # An isothermal tank falls at p_abs C rho0 R T0 / V through a choked hole; the owner measures it from the fill.
    fill_pa_abs = fill_mbar * 100.0 + SEA_LEVEL_PA
    leak = tank_m3 * leak_down_mbar * 100.0 / (_LEAK_DOWN_S * fill_pa_abs * _ANR_PA)
    return tank_m3, fill_mbar / 1000.0, leak, wall_w_k


def _read_gear(node):
    speed_m_s = node.take("forced_at_most").quantity("m/s", 0.0, 150.0)
    legs_node = node.take("legs", Mapping)
    node.close()
    if not 1 <= len(legs_node.items) <= codes.N_LEGS:
        legs_node.fail(f"has {len(legs_node.items)} legs; allowed: 1 to {codes.N_LEGS}")
    names = tuple(legs_node.items)
    legs = tuple(_read_leg(legs_node.take(name, Mapping)) for name in names)
    return names, legs, speed_m_s


def _follow_from_air(air, fill_bar, values):
    """Settings that follow from the geometry, by the closed forms of air/sizing.py."""
    fill_pa_gauge = fill_bar * 1e5
    for name, side in (("extend", extend_side(air)), ("retract", retract_side(air))):
        values[f"{name}_swept_ul"] = 1e9 * side.swept_m3
        values[f"{name}_dead_ul"] = 1e9 * side.dead_m3
    brake_m3 = air.brake.volume_m3 if air.brake else 0.0
    values["brake_mbar"] = GAMMA * fill_pa_gauge * brake_m3 / air.tank_m3 / 100.0
    # A stroke that only fills the hoses costs this share of a whole one; the watch stands midway (SR-15).
    side = extend_side(air)
    hoses = fill_pa_gauge * side.dead_m3
    share = hoses / (hoses + (fill_pa_gauge + SEA_LEVEL_PA) * side.swept_m3)
    values["stroke_fraction_permille"] = min(max(500.0 + 500.0 * share, 300.0), 750.0)


def _read_leg(node):
    bore_m = node.take("bore").quantity("m", 0.004, 0.06, show="mm")
    rod_m = node.take("rod").quantity("m", 0.001, 0.04, show="mm")
    if rod_m >= bore_m:
        node.take("rod").fail(f"'{node.take('rod').text}' is not thinner than the bore")
    hose_bore_m = node.take("hose_bore").quantity("m", 0.0005, 0.01, show="mm")
    leg = Leg(
        bore_m=bore_m,
        rod_m=rod_m,
        stroke_m=node.take("stroke").quantity("m", 0.01, 0.3, show="mm"),
        moving_mass_kg=node.take("moving_mass").quantity("kg", 0.01, 5.0),
        load_up_n=node.take("load_up").quantity("N", -500.0, 500.0),
        load_down_n=node.take("load_down").quantity("N", -500.0, 500.0),
        air_load_n=node.take("air_load").quantity("N", 0.0, 1000.0),
        coulomb_n=node.take("friction").quantity("N", 0.0, 200.0),
        viscous_n_s_m=node.take("damping").quantity("N s/m", 1.0, 5000.0),
        lock_n=node.take("lock_force").quantity("N", 0.0, 200.0),
        lock_travel=node.take("lock_from").quantity("percent", 80.0, 100.0) / 100.0,
        dead_extend_m3=node.take("end_volume").quantity("m^3", 0.0, 2e-5, show="mL"),
        dead_retract_m3=node.take("end_volume").quantity("m^3", 0.0, 2e-5, show="mL"),
        extend_on_rod_side=node.take("extends_on").word(("bore side", "rod side")) == "rod side",
        throttle_extend_m3_s_pa=_conductance(node, "flow_control_extend"),
        throttle_retract_m3_s_pa=_conductance(node, "flow_control_retract"),
        hose_extend=Hose(hose_bore_m, node.take("hose_extend").quantity("m", 0.05, 5.0)),
        hose_retract=Hose(hose_bore_m, node.take("hose_retract").quantity("m", 0.05, 5.0)),
    )
    node.close()
    return leg


def _conductance(node, key):
    return node.take(key).quantity("m^3/(s Pa)", 1e-12, 1e-7, show="dm3/(s bar)")


def _read_valve(node):
    kind = node.take("kind").word(tuple(_VALVES))
    valve = Valve(
        kind=_VALVES[kind],
        sonic_conductance_m3_s_pa=_conductance(node, "conductance"),
        critical_ratio=node.take("critical_ratio").number(0.05, 0.6),
        switch_s=node.take("switch_time").quantity("s", 0.0, 0.5, show="ms"),
        servo_down_us=round(node.take("servo_down").quantity("us", 800, 2200)) if kind == "servo" else 1100,
        servo_up_us=round(node.take("servo_up").quantity("us", 800, 2200)) if kind == "servo" else 1900,
    )
    node.close()
    return valve, codes.VALVE_WORDS.index(kind)


def _read_brakes(node):
    if node is None:
        return None
    brake = Brake(
        volume_m3=node.take("volume").quantity("m^3", 1e-8, 1e-4, show="mL"),
        sonic_conductance_m3_s_pa=_conductance(node, "conductance"),
        critical_ratio=node.take("critical_ratio").number(0.05, 0.6),
    )
    node.close()
    return brake
