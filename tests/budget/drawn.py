"""Random aircraft: strategies for air systems, and for whole aircraft files as options over the Curlew's.

Ranges are those of invented aircraft of 15 to 35 kg (from memory): tank 0.3 to 1.5 L, fill 6 to 8 bar gauge, bore 10 to
20 mm, rod 4 to 8 mm, stroke 40 to 90 mm, hoses of 2 to 3 mm.
"""

from hypothesis import strategies as st

from host_sim.air.sizing import extend_side, retract_side
from host_sim.air.spec import AirSystem, Brake, Hose, Leg, Valve


def _between(low, high, digits=3):
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, digits))


@st.composite
def legs(draw):
    """One leg."""
    hose_bore_m = draw(_between(2.0, 3.0)) * 1e-3
    return Leg(
        bore_m=draw(_between(10.0, 20.0)) * 1e-3,
        rod_m=draw(_between(4.0, 8.0)) * 1e-3,
        stroke_m=draw(_between(40.0, 90.0)) * 1e-3,
        moving_mass_kg=draw(_between(0.1, 0.6)),
        load_up_n=draw(_between(-6.0, 6.0)),
        load_down_n=draw(_between(-6.0, 6.0)),
        air_load_n=draw(_between(10.0, 40.0)),
        coulomb_n=draw(_between(4.0, 12.0)),
        viscous_n_s_m=draw(_between(200.0, 600.0)),
        lock_n=draw(_between(5.0, 20.0)),
        lock_travel=draw(_between(0.9, 0.99)),
        dead_extend_m3=draw(_between(0.2, 1.0)) * 1e-6,
        dead_retract_m3=draw(_between(0.2, 1.0)) * 1e-6,
        extend_on_rod_side=draw(st.booleans()),
        hose_extend=Hose(hose_bore_m, draw(_between(0.3, 1.8))),
        hose_retract=Hose(hose_bore_m, draw(_between(0.3, 1.8))),
        throttle_extend_m3_s_pa=draw(_between(0.8, 3.0)) * 1e-10,
        throttle_retract_m3_s_pa=draw(_between(0.8, 3.0)) * 1e-10,
    )


@st.composite
def air_systems(draw):
    """An AirSystem whose strokes fill at most half of the tank."""
    air = AirSystem(
        tank_m3=draw(_between(0.3, 1.5)) * 1e-3,
        legs=tuple(draw(st.lists(legs(), min_size=1, max_size=4))),
        valve=Valve(kind=draw(st.sampled_from(("spring", "two-coil", "servo")))),
        brake=draw(st.sampled_from((None, Brake(), Brake(volume_m3=6.0e-6)))),
        leak_m3_s_pa=draw(_between(0.0, 5.0)) * 1e-15,
        wall_w_k=draw(_between(0.2, 1.2)),
        design_q_pa=draw(_between(1000.0, 3500.0, 0)),
    )
    for side in (extend_side(air), retract_side(air)):
        if 2.0 * (side.dead_m3 + side.swept_m3) > air.tank_m3:
            return draw(air_systems())
    return air


fills_bar = _between(6.0, 8.0, 1)


@st.composite
def options(draw):
    """Text of options that make another aircraft of the Curlew's file, with all thresholds left to the advice."""
    names = ("nose", "left", "right")
    parts = []
    for name in names:
        parts.append(
            f"{name}: {{bore: {draw(_between(12.0, 20.0, 1))} mm, rod: {draw(_between(4.0, 8.0, 1))} mm, "
            f"stroke: {draw(_between(40.0, 90.0, 0))} mm, air_load: {draw(_between(5.0, 45.0, 1))} N, "
            f"friction: {draw(_between(2.0, 12.0, 1))} N, lock_force: {draw(_between(0.0, 20.0, 1))} N, "
            f"hose_extend: {draw(_between(0.3, 1.5, 2))} m, hose_retract: {draw(_between(0.3, 1.5, 2))} m}}"
        )
    unit = draw(st.sampled_from(("bar", "psi", "kPa")))
    error = draw(_between(80.0, 300.0, 0))
    return (
        f"{{unit: {unit}, tank: {{volume: {draw(_between(400.0, 1500.0, 0))} mL, fill: {draw(fills_bar)} bar gauge, "
        f"leak_down: {draw(_between(0.0, 0.3, 2))} bar}}, gear: {{legs: {{{', '.join(parts)}}}}}, "
        f"sensors: {{a: {{worst_error: {error} mbar, noise: {draw(_between(0.0, 20.0, 0))} mbar}}}}, "
        f"use: {{cycles: {draw(st.integers(1, 3))}, up_for: {draw(_between(2.0, 12.0, 0))} min, "
        f"brake_least: {draw(_between(0.5, 4.0, 1))} bar gauge, brake_applications: {draw(st.integers(0, 30))}, "
        f"cooling: {draw(_between(0.0, 15.0, 0))} K, descent: {draw(_between(0.0, 500.0, 0))} m}}, "
        "settings: {lock_min: advised, force_below: advised, warn_below: advised, retract_above: advised, "
        f"burst_floor: {draw(_between(60.0, 200.0, 0))} mbar/s, low_confirm: {draw(st.sampled_from((200, 300, 500, 700)))} ms}}}}"
    )
