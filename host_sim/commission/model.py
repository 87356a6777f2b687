"""The model on the stand, simulated: the simulator's bench with a pair of hands in place of a scenario.

The specimen is invented and differs a little from its file: friction, flow, sensor zero, ends of the channels, gauge.
"""

from dataclasses import replace
from types import SimpleNamespace

from controller import codes

from ..air.atmosphere import SEA_LEVEL_PA
from ..air.gas import ANR_K, ANR_KG_M3, R_J_KG_K, Volume
from ..air.plant import Plant
from ..bench import Bench
from ..budget.factors import Factors
from ..devices import Receiver
from ..pilot import PilotState

SEED = 11
FRICTION, FLOW = 1.02, 0.97
ZERO_MBAR = 18.0
END_OFF_US = 6
AMBIENT_K = 292.15
SLICE_US = 20_000
LINES_FOLLOW_S = 3.0


class Hands:
    """What a pilot and a helper do: a PilotState that stays until it is changed. Stands in for a scenario's pilot."""

    def __init__(self):
        self.state = PilotState(ground=1, ambient_k=AMBIENT_K)

    def at(self, _):
        return self.state


def specimen(aircraft):
    """The Aircraft as it was built: near its file, not equal to it."""
    receiver = aircraft.receiver
    return replace(
        aircraft,
        air=Factors(flow=FLOW, friction=FRICTION).applied(aircraft.air),
        sensors=tuple(replace(spec, zero_error_mbar=ZERO_MBAR) for spec in aircraft.sensors),
        receiver=replace(
            receiver,
            low_us=tuple(us + END_OFF_US for us in receiver.low_us),
            high_us=tuple(us - END_OFF_US for us in receiver.high_us),
        ),
    )


class Model(Bench):
    """One specimen. `hands.state` is what the people do; `bleed_mbar_s` a vent that is a little open."""

    def __init__(self, aircraft, tank_bar):
        self.hands = Hands()
        start = SimpleNamespace(tank_bar=tank_bar, gear_down=True)
        self.valve_broken = False
        super().__init__(SimpleNamespace(aircraft=aircraft, start=start, faults=(), pilot=self.hands, seed=SEED))

    @property
    def tank_bar(self):
        """True tank pressure, bar gauge."""
        return self.plant.tank_pa_gauge / 1e5

    def set_tank(self, bar):
        """Filled or vented to a pressure and settled: lines and legs follow, the tank keeps it."""
        plant = self.plant
        for seconds in (LINES_FOLLOW_S, LINES_FOLLOW_S, 0.0):
            tank = Volume(plant.tank.volume_m3, bar * 1e5 + plant.ambient_pa_abs, AMBIENT_K, plant.tank.wall_w_k)
            plant.volumes[plant.volumes.index(plant.tank)] = tank
            plant.tank = tank
            self.pass_time(seconds)

    def rebuild(self, air):
        """Another gear and tank in place of the ones that are there, gear down, as full as they were."""
        self.plant = Plant(air, self.plant.tank_pa_gauge, AMBIENT_K, 0.0, True)

    def bleed(self, mbar_s):
        """A vent that lets the tank fall by about that much a second from where it is; 0 is shut."""
        pa_abs = self.plant.tank_pa_gauge + SEA_LEVEL_PA
        self.demand.burst_m3_s_pa = (
            self.plant.tank.volume_m3 * mbar_s * 100.0 / (pa_abs * ANR_KG_M3 * R_J_KG_K * ANR_K) if mbar_s else 0.0
        )

    def load(self, share):
        """A share of the full air load against every leg."""
        self.hands.state.airspeed_m_s = 0.0
        if share:
            density = self.plant.ambient_pa_abs / (R_J_KG_K * self.hands.state.ambient_k)
            self.hands.state.airspeed_m_s = (2.0 * share * self.plant.air.design_q_pa / density) ** 0.5
        self.advance(self.t_us)

    def pass_time(self, seconds):
        """Physical time with nobody looking; pulses that end meanwhile are forgotten."""
        end_us = self.t_us + round(seconds * 1e6)
        while self.t_us < end_us:
            self.advance(min(end_us, self.t_us + (SLICE_US if self.plant.moving else 10 * SLICE_US)))
        self.receiver.discard(self.t_us, self._sticks)

    def lever(self, channel, end):
        """Put a control to its low (0) or high (1) end."""
        state = self.hands.state
        if channel == codes.GEAR:
            state.switch = codes.UP if end else codes.DOWN
        elif channel == codes.THROTTLE:
            state.throttle = float(end)
        elif channel == codes.BRAKE:
            state.brake = float(end)
        elif channel == codes.LIGHT:
            state.light = int(end)
        self.advance(self.t_us)

    def gear(self):
        """Where it is: "down" when every leg is locked, "up" when every leg is in, "between" else."""
        if all(self.plant.leg_locked):
            return "down"
        return "up" if max(self.plant.travel) < 0.02 else "between"

    def receive_with(self, **changes):
        """A receiver that differs in its specification."""
        was = self.receiver
        self.receiver = Receiver(replace(was.spec, **changes), SEED)
        self.receiver.transmitter_on = was.transmitter_on
