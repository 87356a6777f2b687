"""No air appears or vanishes, and no transfer overshoots, whatever is asked of the plant."""

from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from host_sim.air.demand import ALL_LEGS, NO_LEG
from host_sim.air.flow import Path, transfer, vent
from host_sim.air.gas import Volume
from host_sim.air.plant import Plant
from host_sim.air.spec import AirSystem, Brake, Hose, Leg, Valve

PRESSURES = st.floats(2.0e4, 1.5e6)
TEMPERATURES = st.floats(230.0, 330.0)
VOLUMES = st.floats(1.0e-7, 5.0e-3)
CONDUCTANCES = st.floats(1.0e-13, 1.0e-7)
RATIOS = st.floats(0.05, 0.6)
STEPS = st.floats(1.0e-5, 100.0)
BOUND = 1e-12


@given(VOLUMES, PRESSURES, TEMPERATURES, VOLUMES, PRESSURES, TEMPERATURES, CONDUCTANCES, RATIOS, STEPS)
def test_transfer_never_overshoots(v1, p1, t1, v2, p2, t2, conductance, b, dt_s):
    one, other = Volume(v1, p1, t1), Volume(v2, p2, t2)
    mass, energy = one.mass_kg + other.mass_kg, one.energy_j + other.energy_j
    before = one.pa_abs - other.pa_abs
    moved = transfer(Path(conductance, b), one, other, dt_s)
    after = one.pa_abs - other.pa_abs
    assert before * moved >= 0.0
    rounding = 1e-14 * (p1 + p2) * max(v1 / v2, v2 / v1, 1.0)
    assert after * before >= 0.0 or abs(after) < rounding
    assert abs(after) <= abs(before) + rounding
    assert one.mass_kg > 0.0 and other.mass_kg > 0.0
    assert one.temperature_k > 0.0 and other.temperature_k > 0.0
    assert one.mass_kg + other.mass_kg == pytest.approx(mass, rel=1e-14)
    assert one.energy_j + other.energy_j == pytest.approx(energy, rel=1e-14)


@given(VOLUMES, PRESSURES, TEMPERATURES, PRESSURES, TEMPERATURES, CONDUCTANCES, STEPS)
def test_vent_stops_at_the_outside_pressure(volume_m3, p1, t1, outside, outside_k, conductance, dt_s):
    tank = Volume(volume_m3, p1, t1)
    mass = tank.mass_kg
    out = vent(Path(conductance), tank, outside, outside_k, dt_s)
    assert tank.mass_kg + out == pytest.approx(mass, rel=1e-14)
    assert (p1 - outside) * (tank.pa_abs - outside) >= 0.0 or abs(tank.pa_abs - outside) < 1e-9 * outside


def test_a_long_transfer_equalises_and_a_short_one_is_the_rate():
    path = Path(1.0e-9, 0.3)
    one, other = Volume(1.0e-3, 8.0e5, 293.15), Volume(1.0e-5, 1.0e5, 293.15)
    moved = transfer(path, one, other, 1.0e-6)
    assert moved == pytest.approx(path.rate_kg_s(8.0e5, 293.15, 1.0e5) * 1.0e-6, rel=1e-3)
    transfer(path, one, other, 1.0e3)
    assert one.pa_abs == pytest.approx(other.pa_abs, rel=1e-12)


LEGS = st.builds(
    Leg,
    bore_m=st.floats(8e-3, 30e-3),
    rod_m=st.floats(3e-3, 7e-3),
    stroke_m=st.floats(0.01, 0.2),
    moving_mass_kg=st.floats(0.01, 5.0),
    load_up_n=st.floats(-100.0, 100.0),
    load_down_n=st.floats(-100.0, 100.0),
    air_load_n=st.floats(0.0, 300.0),
    coulomb_n=st.floats(0.0, 50.0),
    viscous_n_s_m=st.floats(1.0, 5000.0),
    lock_n=st.floats(0.0, 100.0),
    lock_travel=st.floats(0.8, 1.0),
    dead_extend_m3=st.floats(0.0, 5e-6),
    dead_retract_m3=st.floats(0.0, 5e-6),
    extend_on_rod_side=st.booleans(),
    hose_extend=st.builds(Hose, st.floats(1e-3, 5e-3), st.floats(0.05, 5.0)),
    hose_retract=st.builds(Hose, st.floats(1e-3, 5e-3), st.floats(0.05, 5.0)),
    throttle_extend_m3_s_pa=st.sampled_from([0.0, 3e-11, 1e-10, 1e-9]),
    throttle_retract_m3_s_pa=st.sampled_from([0.0, 3e-11, 1e-10, 1e-9]),
)
AIRS = st.builds(
    AirSystem,
    tank_m3=st.floats(0.1e-3, 3e-3),
    legs=st.lists(LEGS, min_size=1, max_size=4).map(tuple),
    valve=st.builds(
        Valve,
        kind=st.sampled_from(["spring", "two-coil", "servo"]),
        sonic_conductance_m3_s_pa=st.floats(1e-11, 1e-8),
        switch_s=st.floats(0.0, 0.2),
    ),
    brake=st.none() | st.builds(Brake, st.floats(1e-7, 1e-5), st.floats(1e-11, 1e-8)),
    leak_m3_s_pa=st.sampled_from([0.0, 1e-13, 1e-11]),
    wall_w_k=st.floats(0.0, 5.0),
)
HOLES = st.sampled_from([0.0, 0.0, 1e-12, 1e-10, 1e-8])
CHANGES = st.fixed_dictionaries(
    {
        "coil_up": st.integers(0, 1),
        "coil_down": st.integers(0, 1),
        "valve_us": st.sampled_from([0, 1100, 1900]),
        "brake": st.sampled_from([0.0, 0.0, 0.4, 1.0]),
        "airspeed_q_pa": st.floats(0.0, 4000.0),
        "altitude_m": st.floats(0.0, 3000.0),
        "ambient_k": st.floats(250.0, 315.0),
        "burst_m3_s_pa": HOLES,
        "leak_scale": st.sampled_from([0.0, 1.0, 50.0]),
        "charge_pa_abs": st.sampled_from([0.0, 5.0e5, 1.2e6]),
        "charge_m3_s_pa": HOLES,
        "valve_stuck": st.booleans(),
        "valve_wire_off": st.booleans(),
        "line_burst_leg": st.sampled_from([NO_LEG, NO_LEG, 0]),
        "line_burst_m3_s_pa": HOLES,
        "line_burst_side": st.sampled_from(["extend", "retract"]),
        "jam_leg": st.sampled_from([NO_LEG, NO_LEG, 0, ALL_LEGS]),
        "jam_travel": st.sampled_from([0.0, 0.3, 1.0]),
        "brake_drag": st.booleans(),
        "brake_drag_m3_s_pa": st.sampled_from([1e-12, 1e-10]),
    }
)
FLIGHTS = st.lists(st.tuples(CHANGES, st.integers(1, 25)), min_size=1, max_size=8)


def fly(rig, air, tank_pa, gear_down, flight):
    plant = Plant(air, tank_pa, gear_down=gear_down)
    demand = rig.Demand()
    for changes, ticks in flight:
        for name, value in changes.items():
            setattr(demand, name, value)
        for _ in range(ticks):
            plant.advance(0.02, demand)
            for volume in plant.volumes:
                assert volume.mass_kg > 0.0 and isfinite(volume.energy_j) and volume.energy_j > 0.0
            assert all(0.0 <= travel <= 1.0 for travel in plant.travel)
            assert plant.mass_balance_error < BOUND
    return plant


@given(AIRS, st.floats(0.0, 1.2e6), st.booleans(), FLIGHTS)
@settings(max_examples=25, deadline=None)
def test_mass_balances_whatever_happens(rig, air, tank_pa, gear_down, flight):
    fly(rig, air, tank_pa, gear_down, flight)


@pytest.mark.deep
@given(AIRS, st.floats(0.0, 1.2e6), st.booleans(), FLIGHTS)
@settings(max_examples=1500, deadline=None)
def test_mass_balances_whatever_happens_deep(rig, air, tank_pa, gear_down, flight):
    fly(rig, air, tank_pa, gear_down, flight)


@given(AIRS, FLIGHTS)
@settings(max_examples=5, deadline=None)
def test_the_same_flight_twice_is_the_same_to_the_last_bit(rig, air, flight):
    first, second = (fly(rig, air, 7.0e5, True, flight) for _ in range(2))
    assert [(v.mass_kg, v.energy_j) for v in first.volumes] == [(v.mass_kg, v.energy_j) for v in second.volumes]
    assert first.travel == second.travel


def test_every_way_out_is_counted(rig):
    """Strokes, brakes, leak, filling and a burst, ten minutes: what left and came is what is missing."""
    air = rig.air(leak_m3_s_pa=1.0e-13)
    plant, demand = rig.plant(air), rig.Demand()
    for minute in range(10):
        demand.coil_up = minute % 2
        demand.brake = 0.5 * (minute % 3)
        demand.charge_pa_abs, demand.charge_m3_s_pa = (9.0e5, 1.0e-9) if minute == 4 else (0.0, 0.0)
        demand.burst_m3_s_pa = 1.0e-9 if minute == 9 else 0.0
        rig.run(plant, 60.0, demand)
    assert plant.vented_kg > 0.5 * plant.start_kg
    assert plant.charged_kg > 0.1 * plant.start_kg
    assert plant.mass_balance_error < BOUND
    assert plant.time_s == pytest.approx(600.0)
