"""How an aircraft is flown, as far as its air is concerned: the optional section `use` of an aircraft file.

What the file does not say is assumed, and every print-out says so. The assumed values are common practice, no source.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Use:
    """`cycles` retractions and extensions in one flight; `up_for_s` from a retraction to the next extension at the
    longest; `brake_applications` full ones for one landing, and `brake_least_bar` gauge, below which the brakes do too
    little; `cooling_k` of the tank from a retraction to the landing; `descent_m` from where the gear is retracted down
    to the field; `coldest_k` and `warmest_k` air temperature. `assumed` names the keys that the file does not give."""

    cycles: int = 2
    up_for_s: float = 480.0
    brake_applications: int = 8
    brake_least_bar: float = 1.5
    cooling_k: float = 10.0
    descent_m: float = 300.0
    coldest_k: float = 278.15
    warmest_k: float = 308.15
    assumed: tuple[str, ...] = field(default=())


_READ = {
    "cycles": ("cycles", lambda node, unit: node.whole(1, 20)),
    "up_for": ("up_for_s", lambda node, unit: node.quantity("s", 10.0, 7200.0, show="min")),
    "brake_applications": ("brake_applications", lambda node, unit: node.whole(0, 200)),
    "brake_least": ("brake_least_bar", lambda node, unit: node.quantity("bar", 0.0, 10.0, "gauge", unit)),
    "cooling": ("cooling_k", lambda node, unit: node.quantity("K", 0.0, 60.0)),
    "descent": ("descent_m", lambda node, unit: node.quantity("m", 0.0, 3000.0)),
    "coldest": ("coldest_k", lambda node, unit: node.quantity("K", 233.15, 323.15, show="degC")),
    "warmest": ("warmest_k", lambda node, unit: node.quantity("K", 233.15, 333.15, show="degC")),
}


def read_use(node, unit):
    """Use of a Mapping, or of None where the file has no such section."""
    if node is None:
        return Use(assumed=tuple(_READ))
    values, assumed = {}, []
    for key, (name, read) in _READ.items():
        if node.has(key):
            values[name] = read(node.take(key), unit)
        else:
            assumed.append(key)
    node.close()
    use = Use(**values, assumed=tuple(assumed))
    if use.warmest_k < use.coldest_k:
        node.fail("'warmest' must not be colder than 'coldest'")
    return use
