"""A break has to be a fault of the logic, not a crash: the broken controller runs through a flight and raises nothing.

`python -m tests.seeded.ticks`: exit status 0, or a traceback.
"""

from controller import codes
from tests.unit.driver import Rig, codes_of

EQUIPPED = {
    "sensor_count": 2,
    "rail_fitted": 1,
    "supply_fitted": 1,
    "lock_count": 3,
    "ground_fitted": 1,
    "throttle_fitted": 1,
    "brake_fitted": 1,
    "light_fitted": 1,
}
VALVES = ((codes.VALVE_SPRING, (0, 0)), (codes.VALVE_TWO_COIL, (0, 0)), (codes.VALVE_SERVO, (1200, 1800)))


def fly(rig):
    """A retraction, an extension, a sensor off and back, a silent link, a low supply, a low tank."""
    rig.step(160)
    rig.move_up()
    rig.glide(7000, 6700, 220)
    rig.move_down()
    rig.step(260)
    rig.move_up()
    rig.step(12, a=0)
    rig.step(40, a=codes_of(6500))
    rig.step(80, gear_us=0)
    rig.step(120, gear_us=1100, supply_mv=4000)
    rig.step(60, supply_mv=5500, air=3000, button=1)
    return rig


def main():
    for kind, servo in VALVES:
        fly(Rig(kind, servo=servo))
        fly(Rig(kind, servo=servo, **EQUIPPED))


if __name__ == "__main__":
    main()
