"""A flight from power-on to a gear that is up, and the wait: how long times with the gear up are flown in seconds.

Nothing moves while the gear is up, and what the air does takes minutes. The wait takes air out of the tank, and out of
what the tank feeds, at the temperature it has, lets the heat that the retraction took come back ten times as fast, and cools
the air and its surroundings together: where the tank gets to is what a slow leak and slow cooling lead to. It takes so long that the tank falls half as fast as what the controller
would call a burst (SR-04), less its sensor's noise, so it is never taken for one. What the shortening costs: the
controller sees each pressure on the way down for a shorter time than in a real flight.
"""

from dataclasses import replace

from controller import codes
from controller.frames import NOT_KNOWN

from ..air.atmosphere import ambient_pa
from ..air.gas import CV_J_KG_K
from ..flight import Flight
from ..pilot import PilotState
from ..scenario import Scenario, Start
from .points import Engine

SETTLE_S = 0.5
# The first seconds are over when the longest of the controller's waits at power-on is.
WAKE_MORE_S = 1.0
RETRACTS_AT = 0.6
LEAST_WAIT_SHARE = 0.1
# Heat of so many ticks in one; with it the tank is warm again in three seconds, a few of its time constants.
HURRY = 10.0
LEAST_WAIT_S = 3.0


class Hand:
    """The pilot and the world, moved between ticks: what a scenario's beats are to other flights."""

    def __init__(self, state):
        self.state = state

    def at(self, t_s):
        """PilotState; it knows no time."""
        return self.state


class Nobody:
    """A recorder that keeps nothing."""

    def restarted(self):
        """A start of the controller."""

    def add(self, t_us, outputs, truth):
        """A tick."""


class GearUp:
    """A flight from power-on to the end of the retraction, and what the two kinds of day do with it after that."""

    def __init__(self, aircraft, day, point, begin_bar, ambient_k):
        self.day, self.point, self.settings = day, point, point.settings
        altitude_m = day.field_m + day.climb_m
        speed_m_s = RETRACTS_AT * aircraft.installed.speed_m_s
        self.state = PilotState(ground=0, throttle=0.8, airspeed_m_s=speed_m_s)
        self.state.altitude_m, self.state.ambient_k = altitude_m, ambient_k
        specimen = replace(
            aircraft, air=day.air, sensors=day.sensors, rail=day.rail, settings=point.settings, packed=point.packed
        )
        scenario = Scenario(
            file=f"day {day.number}",
            title=f"Day {day.number}",
            story="",
            aircraft=specimen,
            seed=day.noise_seed,
            duration_s=1e6,
            covers=(),
            limits=(),
            start=Start(begin_bar, True, altitude_m, ambient_k, speed_m_s),
            pilot=Hand(self.state),
            faults=(),
            claims=(),
            fault_lines=(),
        )
        self.flight = Flight(scenario, Engine(point), Nobody())
        self.bench, self.plant = self.flight.bench, self.flight.bench.plant
        self.was_up = False
        self.lowest_mbar = None
        self.forced_bar = None
        self.retracted = self._retract()

    @property
    def t_s(self):
        """Time since power-on."""
        return self.bench.t_us / 1e6

    @property
    def tick_s(self):
        """Time between two ticks."""
        return self.settings.tick_ms / 1000.0

    @property
    def tank_bar(self):
        """True tank pressure, bar gauge."""
        return self.plant.tank_pa_gauge / 1e5

    @property
    def forced(self):
        """Whether the gear was up and has been put down, the switch still at UP."""
        return self.forced_bar is not None

    def step(self):
        """One tick."""
        self.flight.step()
        outputs = self.flight.outputs
        if outputs.gear_command == codes.UP:
            self.was_up = True
            reading = outputs.pressure_mbar
            if reading != NOT_KNOWN and (self.lowest_mbar is None or reading < self.lowest_mbar):
                self.lowest_mbar = reading
        elif self.was_up and not self.forced:
            self.forced_bar = self.tank_bar

    def fly(self, seconds):
        """Fly on for a time, or until the gear is forced."""
        until_s = self.t_s + seconds
        while self.t_s < until_s and not self.forced:
            self.step()

    def _retract(self):
        """From power-on to the end of the up stroke; whether the controller followed the switch."""
        s = self.settings
        self.flight.begin()
        self.fly(max(s.link_settle_ms, s.ground_clear_ms, s.permit_confirm_ms) / 1000.0 + WAKE_MORE_S)
        self.state.switch = codes.UP
        self.fly(SETTLE_S)
        if not self.was_up:
            return False
        self.fly((s.stroke_ms + s.stroke_settle_ms) / 1000.0)
        self.state.airspeed_m_s = self.day.airspeed_m_s
        return True

    def wait_for(self, share, cooling_k, descent_m):
        """The wait of a sound aircraft: it loses as much air as a share of the tank's, cools and descends by so many K
        and m. It goes at the pace of the advice, whatever it is flown with: all points of a day see the same readings."""
        state, tank = self.state, self.plant.tank_pa_abs / 1e5
        # One leak for all that hangs together.
        share *= self.plant.tank.volume_m3 / sum(volume.volume_m3 for volume in self._connected())
        fall_bar = tank * share + tank * cooling_k / state.ambient_k
        fall_bar += (ambient_pa(state.altitude_m - descent_m) - ambient_pa(state.altitude_m)) / 1e5
        least_part = self.tick_s / LEAST_WAIT_S
        left = 1.0
        while left > 0.0 and not self.forced:
            part = min(left, least_part, self._step_bar(self.point.advised) / max(fall_bar, 1e-6))
            left -= part
            self._take(1.0 - (1.0 - share) ** part, part * cooling_k)
            state.altitude_m -= part * descent_m
            self.step()

    def wait_until(self, target_bar):
        """The wait of a slow leak, until the tank is down to a gauge pressure."""
        while self.tank_bar > target_bar and not self.forced:
            take_bar = min(self._step_bar(self.settings), self.tank_bar - target_bar)
            self._take(take_bar / (self.plant.tank_pa_abs / 1e5), 0.0)
            self.step()

    def _step_bar(self, s):
        """Fall of one tick: at half of the slowest rate that a controller with Settings `s` calls a burst, less noise."""
        reach_s = (s.extend_ms + s.burst_lead_ms) / 1000.0
        above_bar = self.tank_bar - (s.lock_min_mbar + s.sensor_error_mbar) / 1000.0
        burst_bar_s = max(s.burst_floor_mbar_s / 1000.0, above_bar / reach_s)
        rate_bar_s = max(LEAST_WAIT_SHARE * burst_bar_s, 0.5 * burst_bar_s - s.sensor_noise_mbar / 1000.0)
        return rate_bar_s * self.tick_s

    def _connected(self):
        """The tank and what it feeds with the gear up."""
        plant = self.plant
        return plant.tank, plant.retract_line, *(leg.retract for leg in plant.legs)

    def _take(self, share, cooling_k):
        """Take a share of the air of the tank and of what it feeds, and cool what is left along with its surroundings."""
        for volume in self._connected():
            gone = share * volume.mass_kg
            self.plant.vented_kg += gone
            volume.energy_j *= 1.0 - share
            volume.mass_kg -= gone
            volume.energy_j -= volume.mass_kg * CV_J_KG_K * cooling_k
        self.state.ambient_k -= cooling_k
        self.plant.tank.take_wall_heat(HURRY * self.tick_s, self.state.ambient_k)
