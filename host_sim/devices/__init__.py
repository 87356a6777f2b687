"""Devices between the air system and the controller: physics in, raw counts, levels and pulse times out.

Every device draws from its own `random.Random`, seeded from the scenario's seed and the device's name, so that a flight
is the same every time and one device's noise does not depend on another's.
"""

from .receiver import Receiver
from .sensor import Rail, Sensor
from .specs import ON_LOSS, RailSpec, ReceiverSpec, SensorSpec, SupplySpec, SwitchesSpec, SwitchSpec
from .streams import stream
from .supply import Supply
from .switches import Switch

__all__ = [
    "ON_LOSS",
    "Rail",
    "RailSpec",
    "Receiver",
    "ReceiverSpec",
    "Sensor",
    "SensorSpec",
    "Supply",
    "SupplySpec",
    "Switch",
    "SwitchSpec",
    "SwitchesSpec",
    "stream",
]
