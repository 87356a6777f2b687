"""Published examples worked four ways: as printed, by the plant, by the closed form, and by an independent library.

    python -m tests.published.worked

Prints the table; test_worked.py holds every column to its bound.
"""

from dataclasses import dataclass
from math import pi

from host_sim.air.flow import CHOKED_FACTOR, Path, circle_m2, hole_conductance, vent
from host_sim.air.gas import GAMMA, R_J_KG_K, Volume
from host_sim.air.plant import Demand, Plant
from host_sim.air.sizing import blow_down_adiabatic, cylinder_free_air_m3, usable_free_air_m3
from host_sim.air.spec import AirSystem, Hose, Leg
from host_sim.air.tank import charge
from host_sim.budget.extension import down, extended, fly_stroke, retracted, settle, up

PSI = 6894.757  # NIST SP 811 (2008), appendix B
INCH = 0.0254
FOOT3 = (12.0 * INCH) ** 3
OUTSIDE = 14.7 * PSI


@dataclass(frozen=True)
class Worked:
    """One example: `printed` value and its `source`, and what plant, closed form and an independent library, named in
    `checked_with`, give, in `unit`."""

    name: str
    unit: str
    source: str
    printed: float
    plant: float
    closed: float
    independent: float
    checked_with: str


def tyre():
    """kg/min out of a tyre through 4 mm: 220 kPa gauge, 94 kPa, 25 C."""
    from fluids import API520_A_g

    p, t, area = 314.0e3, 298.15, circle_m2(4.0e-3)
    tank = Volume(1.0, p, t)
    moved = vent(Path(hole_conductance(area)), tank, 94.0e3, t, 1e-3)
    # The relief-valve formula gives the area for a rate: the rate scales with the area.
    library = area / API520_A_g(m=1.0, T=t, Z=1.0, MW=28.9647, k=GAMMA, P1=p, P2=94.0e3, Kd=1.0, Kb=1.0, Kc=1.0)
    closed = CHOKED_FACTOR * p * area / (R_J_KG_K * t) ** 0.5
    source = "Cengel and Cimbala, Fluid Mechanics 4e, example 12-5 (answer from memory)"
    return Worked("leaking tyre", "kg/min", source, 0.554, moved * 6e4, closed * 60.0, library * 60.0, "fluids")


def blow_down():
    """p/p0 of an insulated tank after half a time constant."""
    from scipy.integrate import solve_ivp

    hole, start, t0, volume = Path(1.0e-9), 20.0e5, 293.15, 0.75e-3
    tank = Volume(volume, start, t0)
    tau_s = tank.mass_kg / hole.rate_kg_s(start, t0, 1.0e5)
    for _ in range(4000):
        vent(hole, tank, 1.0e5, t0, 0.5 * tau_s / 4000)

    def rates(_, state):
        mass, energy = state
        # Choked, so that the flow goes with p/sqrt(T); enthalpy leaves with it. In units of the start.
        rate = energy / (energy / mass) ** 0.5
        return [-rate, -GAMMA * rate * energy / mass]

    solved = solve_ivp(rates, (0.0, 0.5), (1.0, 1.0), rtol=1e-10, atol=1e-12)
    source = "Perry's Chemical Engineers' Handbook, sign in k - 1 put right; (1 + 0.2 x 0.5)^-7"
    printed = 1.1**-7
    return Worked(
        "blow-down to 0.5 tau",
        "p/p0",
        source,
        printed,
        tank.pa_abs / start,
        blow_down_adiabatic(0.5),
        solved.y[1][-1],
        "SciPy",
    )


def filling():
    """K of the air in an evacuated tank filled from 5 bar at 300 K; the library's air is real."""
    from CoolProp.CoolProp import PropsSI

    tank = Volume(0.75e-3, 1.0, 300.0)
    while tank.pa_abs < 0.9999 * 5.0e5 and charge(Path(1.0e-9), tank, 5.0e5, 300.0, 1e-3) > 0.0:
        pass
    enthalpy = PropsSI("H", "P", 5.0e5, "T", 300.0, "Air")
    library = PropsSI("T", "P", 5.0e5, "U", enthalpy, "Air")
    source = "Cengel and Boles, uniform-flow processes: gamma T"
    return Worked("filling an empty tank", "K", source, 420.0, tank.temperature_k, GAMMA * 300.0, library, "CoolProp")


def receiver():
    """ft3 of free air from 660 gal between 110 and 100 psi gauge."""
    from CoolProp.CoolProp import PropsSI

    volume, t = 660.0 / 7.48 * FOOT3, 293.15
    # A wall that keeps one temperature, as the formula has it.
    air = AirSystem(volume, (Leg(16e-3, 6e-3, 70e-3),), wall_w_k=1.0e9)
    demand = Demand(burst_m3_s_pa=1.0e-7, ambient_k=t)
    plant = Plant(air, 110.0 * PSI, t)
    began_kg, outside_pa = plant.tank.mass_kg, plant.ambient_pa_abs
    while plant.tank_pa_gauge > 100.0 * PSI:
        plant.advance(0.01, demand)
    used = (began_kg - plant.tank.mass_kg) * R_J_KG_K * t / outside_pa
    scaled = used * outside_pa / OUTSIDE
    high, low, free = (PropsSI("D", "P", p, "T", t, "Air") for p in (110 * PSI + OUTSIDE, 100 * PSI + OUTSIDE, OUTSIDE))
    closed = usable_free_air_m3(volume, 110.0 * PSI, 100.0 * PSI, OUTSIDE)
    source = "U.S. DOE / ORNL AMO Tools Suite, published unit-test value, at 7.48 gal/ft3"
    library = volume * (high - low) / free
    return Worked(
        "usable air of a receiver",
        "ft3",
        source,
        60.0240096038,
        scaled / FOOT3,
        closed / FOOT3,
        library / FOOT3,
        "CoolProp",
    )


def cylinder():
    """ft3 of free air a double stroke, times 60: 1.5 in x 6 in, rod 0.375 in, 100 psi; printed with pi = 3.14."""
    from CoolProp.CoolProp import PropsSI

    bore, rod, stroke, gauge = 1.5 * INCH, 0.375 * INCH, 6.0 * INCH, 100.0 * PSI
    closed = cylinder_free_air_m3(bore, rod, stroke, gauge, OUTSIDE) * 60.0 / FOOT3
    swept = (2.0 * bore**2 - rod**2) * pi / 4.0 * stroke
    ratio = PropsSI("D", "P", gauge + OUTSIDE, "T", 293.15, "Air") / PropsSI("D", "P", OUTSIDE, "T", 293.15, "Air")
    source = "U.S. DOE / ORNL AMO Tools Suite, published unit-test value (computed with pi = 3.14)"
    return Worked(
        "double-acting cylinder",
        "ft3/min",
        source,
        5.5628677057 * pi / 3.14,
        _cylinder_by_plant(bore, rod, stroke, gauge) * 60.0 / FOOT3,
        closed,
        swept * ratio * 60.0 / FOOT3,
        "CoolProp",
    )


def _cylinder_by_plant(bore, rod, stroke, gauge):
    """m3 of free air at 14.7 psi that one retraction and one extension take from a tank too large to notice.

    The least dead volumes that the plant knows, fed by hoses of no length worth naming.
    """
    short = Hose(2.5e-3, 1e-4)
    leg = Leg(bore, rod, stroke, lock_n=0.0, coulomb_n=1.0, dead_extend_m3=0.0, dead_retract_m3=0.0,
              hose_extend=short, hose_retract=short)  # fmt: skip
    air = AirSystem(10.0, (leg,))
    plant = Plant(air, gauge, 293.15)
    plant.ambient_pa_abs = OUTSIDE
    before = plant.tank.mass_kg
    for demand, there in ((up(air, 293.15), retracted), (down(air, 0.0, 293.15), extended)):
        fly_stroke(plant, demand, there)
        settle(plant, demand, 60.0)
    return (before - plant.tank.mass_kg) * R_J_KG_K * 293.15 / OUTSIDE


EXAMPLES = (tyre, blow_down, filling, receiver, cylinder)


def main():
    """Print the table."""
    print(
        f"{'example':26} {'printed':>11} {'plant':>11} {'closed':>11} {'independent':>11}  unit, checked with, source"
    )
    for work in EXAMPLES:
        w = work()
        numbers = " ".join(f"{value:11.5g}" for value in (w.printed, w.plant, w.closed, w.independent))
        print(f"{w.name:26} {numbers}  {w.unit}; {w.checked_with}; {w.source}")


if __name__ == "__main__":
    main()
