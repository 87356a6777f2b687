"""What a calibration changes in an AirSystem: factors that belong to the aircraft, whatever tank it is given."""

from dataclasses import dataclass, replace

from ..air.sizing import extend_side, retract_side
from ..air.spec import Hose

# Share of its volume in the file below which no hose or cylinder end is taken.
LEAST_DEAD_SHARE = 0.1


@dataclass(frozen=True)
class Factors:
    """`flow` on the conductances of valve and flow controls, `friction` on the dry friction, `volume` on what a stroke
    fills, dead and swept; `leak_m3_s_pa` in place of the file's, or None."""

    flow: float = 1.0
    friction: float = 1.0
    volume: float = 1.0
    leak_m3_s_pa: float | None = None

    def applied(self, air):
        """AirSystem with these factors. The swept volume follows from forces and travel and stays: hoses and cylinder
        ends make up the difference, so a hose gets longer or shorter."""
        extend_share = _dead_share(extend_side(air), air.valve.port_m3, self.volume)
        retract_share = _dead_share(retract_side(air), air.valve.port_m3, self.volume)
        return replace(
            air,
            valve=replace(air.valve, sonic_conductance_m3_s_pa=self.flow * air.valve.sonic_conductance_m3_s_pa),
            legs=tuple(self._leg(leg, extend_share, retract_share) for leg in air.legs),
            leak_m3_s_pa=air.leak_m3_s_pa if self.leak_m3_s_pa is None else self.leak_m3_s_pa,
        )

    def _leg(self, leg, extend_share, retract_share):
        return replace(
            leg,
            coulomb_n=self.friction * leg.coulomb_n,
            throttle_extend_m3_s_pa=self.flow * leg.throttle_extend_m3_s_pa,
            throttle_retract_m3_s_pa=self.flow * leg.throttle_retract_m3_s_pa,
            hose_extend=Hose(leg.hose_extend.bore_m, extend_share * leg.hose_extend.length_m),
            hose_retract=Hose(leg.hose_retract.bore_m, retract_share * leg.hose_retract.length_m),
            dead_extend_m3=extend_share * leg.dead_extend_m3,
            dead_retract_m3=retract_share * leg.dead_retract_m3,
        )


def _dead_share(side, port_m3, volume):
    """What hoses and cylinder ends of a side are multiplied by so that the side fills `volume` times as much."""
    movable_m3 = side.dead_m3 - port_m3
    if movable_m3 <= 0.0:
        return 1.0
    more_m3 = (volume - 1.0) * (side.dead_m3 + side.swept_m3)
    return max(1.0 + more_m3 / movable_m3, LEAST_DEAD_SHARE)


def least_volume(air):
    """Smallest factor `volume` that hoses and cylinder ends of both sides can make up."""
    found = []
    for side in (extend_side(air), retract_side(air)):
        movable_m3 = side.dead_m3 - air.valve.port_m3
        found.append(1.0 - (1.0 - LEAST_DEAD_SHARE) * movable_m3 / (side.dead_m3 + side.swept_m3))
    return max(found)
