"""The plant against the same physics written down once more, apart from it, and integrated by SciPy."""

from math import pi, sqrt

import pytest
from scipy.integrate import solve_ivp

R = 287.05287
CV, CP = 2.5 * R, 3.5 * R
SEA_PA = 101325.0
AMBIENT_K = 288.15


def iso_6358(p1, t1, p2, conductance, b):
    """Mass flow, kg/s; from p2 to p1 it is negative (t1 is then the temperature of p2's side, close enough)."""
    if p2 > p1:
        return -iso_6358(p2, t1, p1, conductance, b)
    ratio = p2 / p1
    share = 1.0 if ratio <= b else sqrt(1.0 - ((min(ratio, 0.99) - b) / (1.0 - b)) ** 2)
    if ratio > 0.99:
        share *= (1.0 - ratio) / 0.01
    return p1 * conductance * 1.185 * sqrt(293.15 / t1) * share


def integrate(rhs, start, until_s, **options):
    solution = solve_ivp(rhs, (0.0, until_s), start, method="LSODA", rtol=1e-8, atol=1e-12, **options)
    assert solution.success
    return solution


@pytest.mark.parametrize("hole", [2.0e-10, 1.0e-9])
def test_tank_blow_down(rig, hole):
    """Burst at the feed with heat through the wall; valve shut off from the lines by a tiny conductance."""
    air = rig.air([rig.leg()], valve={"sonic_conductance_m3_s_pa": 1.0e-18}, brake=None)
    plant = rig.plant(air, 7.0)
    rig.run(plant, 4.0, rig.Demand(burst_m3_s_pa=hole))

    def rhs(_, state):
        mass, temperature = state
        p = mass * R * temperature / air.tank_m3
        flow = iso_6358(p, temperature, SEA_PA, hole, 1.2**-3.5)
        warming = (0.6 * (AMBIENT_K - temperature) - flow * (CP - CV) * temperature) / (mass * CV)
        return [-flow, warming]

    start_kg = (7.0e5 + SEA_PA) * air.tank_m3 / (R * AMBIENT_K)
    mass, temperature = integrate(rhs, [start_kg, AMBIENT_K], 4.0).y[:, -1]
    assert plant.tank.mass_kg == pytest.approx(mass, rel=2e-3)
    assert plant.tank_pa_abs == pytest.approx(mass * R * temperature / air.tank_m3, rel=2e-3)
    assert plant.tank.temperature_k == pytest.approx(temperature, rel=1e-3)


def stroke_equations(leg, air, line, throttle, film):
    """Right side for [m, U] of tank, extend line, extend chamber, retract chamber, retract line; position; speed."""
    full, annulus = pi / 4.0 * leg.bore_m**2, pi / 4.0 * (leg.bore_m**2 - leg.rod_m**2)
    line_m3, line_wall, chamber_wall = film
    valve_c = air.valve.sonic_conductance_m3_s_pa

    def rhs(_, y):
        position, speed = y[10], y[11]
        volumes = (
            air.tank_m3,
            line_m3,
            leg.dead_extend_m3 + full * position,
            leg.dead_retract_m3 + annulus * (leg.stroke_m - position),
            line_m3,
        )
        walls = (air.wall_w_k, line_wall, chamber_wall, chamber_wall, line_wall)
        p = [0.4 * y[2 * i + 1] / volumes[i] for i in range(5)]
        t = [y[2 * i + 1] / (y[2 * i] * CV) for i in range(5)]
        change = [0.0] * 12
        pairs = ((0, 1, valve_c, 0.35), (1, 2, line, throttle), (3, 4, line, throttle), (4, None, valve_c, 0.35))
        for source, target, conductance, b in pairs:
            p_to = SEA_PA if target is None else p[target]
            t_up = t[source] if p[source] >= p_to or target is None else t[target]
            flow = iso_6358(p[source], t_up, p_to, conductance, b)
            change[2 * source] -= flow
            change[2 * source + 1] -= flow * CP * t_up
            if target is not None:
                change[2 * target] += flow
                change[2 * target + 1] += flow * CP * t_up
        for i in range(5):
            change[2 * i + 1] += walls[i] * (AMBIENT_K - t[i])
        change[5] -= p[2] * full * speed
        change[7] += p[3] * annulus * speed
        share = position / leg.stroke_m
        load = leg.load_up_n + (leg.load_down_n - leg.load_up_n) * share + leg.air_load_n * share
        force = p[2] * full - p[3] * annulus - SEA_PA * (full - annulus) - load - leg.coulomb_n
        if speed > 0.0 or force > 0.0:
            change[10] = speed
            change[11] = (force - leg.viscous_n_s_m * speed) / leg.moving_mass_kg
        return change

    return rhs


def test_leg_stroke(rig):
    """One leg out from 6 bar gauge against full air load: time to 90 % of the stroke, and the tank pressure then."""
    leg = rig.main
    air = rig.air([leg], valve={"switch_s": 0.0}, brake=None)
    plant, demand = rig.plant(air, 6.0, gear_down=False), rig.Demand(airspeed_q_pa=2500.0)
    for _ in range(10000):
        plant.advance(0.001, demand)
        if plant.gear_travel >= 0.9:
            break

    # 1 m of 2.5 mm hose by its formula, then the fitting, by the formula for two in a row.
    hose_c = 0.029 * 2.5e-3**2 / sqrt(1.0 / 2.5e-3**1.25 + 510.0)
    hose_b = 474.0 * hose_c / 2.5e-3**2
    line_c = (hose_c**-3 + 1.0e-10**-3) ** (-1.0 / 3.0)
    line_b = 1.0 - line_c**2 * ((1.0 - hose_b) / hose_c**2 + (1.0 - 0.3) / 1.0e-10**2)
    line_m3 = 0.5e-6 + pi / 4.0 * 2.5e-3**2
    chamber_wall = 25.0 * pi * 16e-3 * (35e-3 + 8e-3)
    rhs = stroke_equations(leg, air, line_c, line_b, (line_m3, 25.0 * pi * 2.5e-3, chamber_wall))

    high, annulus = 6.0e5 + SEA_PA, pi / 4.0 * (16e-3**2 - 6e-3**2)
    start = []
    for p, volume in (
        (high, air.tank_m3),
        (SEA_PA, line_m3),
        (SEA_PA, leg.dead_extend_m3),
        (high, leg.dead_retract_m3 + annulus * leg.stroke_m),
        (high, line_m3),
    ):
        start += [p * volume / (R * AMBIENT_K), 2.5 * p * volume]

    def arrived(_, y):
        return y[10] - 0.9 * leg.stroke_m

    arrived.terminal = True
    solution = integrate(rhs, [*start, 0.0, 0.0], 10.0, events=arrived, max_step=0.01)
    assert solution.t_events[0].size == 1
    assert plant.time_s == pytest.approx(solution.t[-1], rel=0.01)
    assert plant.tank_pa_abs == pytest.approx(0.4 * solution.y[1, -1] / air.tank_m3, rel=5e-4)
    assert plant.legs[0].extend.pa_abs == pytest.approx(
        0.4 * solution.y[5, -1] / (leg.dead_extend_m3 + pi / 4.0 * 16e-3**2 * 0.9 * leg.stroke_m), rel=0.01
    )
