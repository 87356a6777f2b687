"""What acts on the plant during one advance: valve, brake, surroundings and faults."""

from dataclasses import dataclass

NO_LEG = -1
ALL_LEGS = -2


@dataclass(slots=True)
class Demand:
    """Changed in place between advances. SI; C is a sonic conductance in m3/(s Pa), 0 for a fault that is not there.

    coil_up, coil_down, valve_us   as the controller drives the gear valve; valve_us 0 is no pulse
    brake                          0 released .. 1 full
    airspeed_q_pa                  dynamic pressure; altitude_m geometric; ambient_k outside air and walls
    burst_m3_s_pa                  a hole at the tank or at the valve's feed
    leak_scale                     multiplies the leak of the air system
    charge_pa_abs, charge_m3_s_pa  a filling hose with a non-return valve, and its source's pressure
    valve_stuck, valve_wire_off    the valve stays where it is; the valve gets no power or pulse
    line_burst_leg, line_burst_m3_s_pa, line_burst_side   a torn hose of a leg (index, -1 none), "extend" or "retract"
    jam_leg, jam_travel            a leg (index, -1 none, -2 all) that cannot pass or leave this travel
    brake_drag, brake_drag_m3_s_pa the brake valve passes air while released
    """

    coil_up: int = 0
    coil_down: int = 0
    valve_us: int = 0
    brake: float = 0.0
    airspeed_q_pa: float = 0.0
    altitude_m: float = 0.0
    ambient_k: float = 288.15
    burst_m3_s_pa: float = 0.0
    leak_scale: float = 1.0
    charge_pa_abs: float = 0.0
    charge_m3_s_pa: float = 0.0
    valve_stuck: bool = False
    valve_wire_off: bool = False
    line_burst_leg: int = NO_LEG
    line_burst_m3_s_pa: float = 0.0
    line_burst_side: str = "extend"
    jam_leg: int = NO_LEG
    jam_travel: float = 0.5
    brake_drag: bool = False
    brake_drag_m3_s_pa: float = 1.0e-11
