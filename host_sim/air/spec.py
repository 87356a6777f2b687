"""What the plant is built from: plain records in SI units, made by aircraft.py or by a test.

Sonic conductances C are in m3/(s Pa): 1e-9 is 0.1 dm3/(s bar). The defaults are estimates for a jet of about 20 kg,
from memory; an owner measures his own. They give strokes of one to two seconds at 7 bar gauge.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Hose:
    """One run of hose: bore and length, m. Its volume is dead volume, counted at the valve's end of it."""

    bore_m: float
    length_m: float


@dataclass(frozen=True)
class Leg:
    """One double-acting leg. `travel` x runs from 0 (up) to 1 (down) over `stroke_m`.

    Extension pressurises the full bore unless `extend_on_rod_side`. The load is a force against extension, N: positive
    when it pushes the leg up (weight is negative). It runs from `load_up_n` at x = 0 to `load_down_n` at x = 1; on top,
    `air_load_n` at full travel and `design_q_pa`, growing linearly with x and with dynamic pressure.
    `lock_n` resists the last part of the extension, from `lock_travel` on, and holds the leg at the end of it.
    `throttle_..._m3_s_pa`: C of the speed-control fitting at the leg, in series with the hose, both ways; 0 for none.
    A dead volume below 0.1 mL counts as 0.1 mL.
    """

    bore_m: float
    rod_m: float
    stroke_m: float
    moving_mass_kg: float = 0.3
    load_up_n: float = 0.0
    load_down_n: float = 0.0
    air_load_n: float = 0.0
    coulomb_n: float = 8.0
    viscous_n_s_m: float = 400.0
    lock_n: float = 15.0
    lock_travel: float = 0.97
    dead_extend_m3: float = 0.5e-6
    dead_retract_m3: float = 0.5e-6
    extend_on_rod_side: bool = False
    hose_extend: Hose = Hose(2.5e-3, 1.0)
    hose_retract: Hose = Hose(2.5e-3, 1.0)
    throttle_extend_m3_s_pa: float = 1.0e-10
    throttle_retract_m3_s_pa: float = 1.0e-10
    throttle_critical_ratio: float = 0.3


@dataclass(frozen=True)
class Valve:
    """Gear valve. `kind` "spring" falls to DOWN unpowered, "two-coil" stays where it was, "servo" follows its pulse
    and stays where it was without one. The same C and critical ratio serve supply and exhaust; 2e-9 is about a hole of
    1.1 mm. `switch_s`: how long a new command must last before the valve has moved. `port_m3`: dead volume per port."""

    kind: str = "spring"
    sonic_conductance_m3_s_pa: float = 2.0e-9
    critical_ratio: float = 0.35
    switch_s: float = 0.03
    servo_down_us: int = 1100
    servo_up_us: int = 1900
    port_m3: float = 0.5e-6


@dataclass(frozen=True)
class Brake:
    """Brake circuit behind a proportional valve: volume filled at full application, conductance in and out."""

    volume_m3: float = 3.0e-6
    sonic_conductance_m3_s_pa: float = 2.0e-10
    critical_ratio: float = 0.35


@dataclass(frozen=True)
class AirSystem:
    """The whole plant. `wall_w_k`: heat through the tank's wall. The start pressure is the scenario's."""

    tank_m3: float
    legs: tuple[Leg, ...]
    valve: Valve = field(default_factory=Valve)
    brake: Brake | None = None
    leak_m3_s_pa: float = 0.0
    wall_w_k: float = 0.6
    design_q_pa: float = 2500.0
