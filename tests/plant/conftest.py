"""Air systems for the tests of the plant."""

from dataclasses import replace

import pytest

from host_sim.air.plant import Demand, Plant
from host_sim.air.spec import AirSystem, Brake, Leg, Valve

MAIN = Leg(bore_m=16e-3, rod_m=6e-3, stroke_m=70e-3, load_up_n=6.0, load_down_n=-6.0, air_load_n=60.0)
NOSE = Leg(bore_m=14e-3, rod_m=5e-3, stroke_m=60e-3, load_up_n=4.0, load_down_n=-4.0, air_load_n=35.0)


class Rig:
    """Makes air systems and flies them: `air(...)`, `plant(...)`, `run(plant, seconds, demand)`, `Demand`."""

    main = MAIN
    nose = NOSE
    Demand = Demand

    @staticmethod
    def air(legs=(MAIN, MAIN, NOSE), valve=None, **others):
        """A jet with three legs, 0.75 L of tank and brakes, changed by keyword."""
        values = {"tank_m3": 0.75e-3, "legs": tuple(legs), "valve": Valve(**(valve or {})), "brake": Brake()}
        return AirSystem(**{**values, **others})

    @staticmethod
    def leg(base=MAIN, **others):
        return replace(base, **others)

    @staticmethod
    def plant(air, tank_bar=7.0, **others):
        return Plant(air, tank_bar * 1.0e5, **others)

    @staticmethod
    def run(plant, seconds, demand, until=None):
        """Advance in 20 ms ticks, at most `seconds`; stops when `until(plant)` holds and returns whether it did."""
        for _ in range(round(seconds / 0.02)):
            plant.advance(0.02, demand)
            if until and until(plant):
                return True
        return False


@pytest.fixture(scope="session")
def rig():
    return Rig
