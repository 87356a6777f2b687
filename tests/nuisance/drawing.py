"""The longer draws of distribution.py: what the radio does, and what supply, sensors and clock do.

Both classes are parts of one drawer, which has `plan`, `settings`, `random`, `is_in`, `chance` and `uniform`.
"""

from .plan import AFTER_MOVE_S, BEFORE_MOVE_S, DROPOUTS, outage_limit_s

SHORTEST_S = 0.02


class Radio:
    """Interference and dropouts."""

    def _glitches(self):
        plan, run = self.plan, self.settings.switch_frames - 1
        (up_s, down_s), end_s = plan.ups()[0], plan.duration_s
        if self.is_in("glitches with gear up"):
            plan.glitches.append((up_s + 1.0, down_s, "gear", self.uniform(5, 20), run))
        elif self.is_in("glitches with gear down"):
            plan.glitches.append((3.0, up_s - 0.1, "gear", self.uniform(5, 20), run))
        elif self.chance(0.5):
            channels = ("gear", "gear", "throttle", "brake", "light", "spare")
            if self.is_in(*DROPOUTS):
                # Interference would shorten the dropouts that these strata are about.
                channels = ("throttle", "brake", "light")
            for channel in self.random.sample(channels, self.random.choice((1, 2))):
                begin_s = self.uniform(3.0, end_s - 5.0)
                until_s = min(end_s, begin_s + self.uniform(2.0, 20.0))
                plan.glitches.append(
                    (begin_s, round(until_s, 2), channel, self.uniform(1, 20), self.random.randint(1, run))
                )

    def _length(self, limit_s):
        kind = self.random.random()
        if kind < 0.5:
            return self.random.uniform(0.03, limit_s)
        if kind < 0.75:
            return limit_s - self.random.uniform(0.0, 0.1)
        return min(limit_s, 0.02 + self.random.expovariate(10.0))

    def _outages(self):
        plan = self.plan
        limit_s = outage_limit_s(plan)
        if plan.installation.receiver == "preset":
            # Nobody can tell this preset from the pilot: it must not be sent at all.
            limit_s = plan.aircraft.receiver.failsafe_delay_ms / 1000.0
        up_s, down_s = self.random.choice(plan.ups())
        if self.is_in("dropout just below the limit"):
            self._add_outage(self.uniform(up_s + 3.5, down_s - 2.0), limit_s - self.uniform(0.0, 0.03))
        elif self.is_in("dropout in the up stroke"):
            self._add_outage(up_s + self.uniform(AFTER_MOVE_S, 0.8), limit_s - self.uniform(0.0, 0.1))
        elif self.is_in("dropout in the down stroke"):
            self._add_outage(down_s + self.uniform(0.1, 0.8), limit_s - self.uniform(0.0, 0.1))
        elif self.is_in("down during a dropout"):
            delay_s = plan.aircraft.receiver.failsafe_delay_ms / 1000.0
            begin_s = down_s - delay_s - self.uniform(0.05, 0.8 * (limit_s - delay_s))
            self._add_outage(begin_s, limit_s - self.uniform(0.0, 0.1))
        elif self.is_in("two dropouts close together", "two dropouts just apart"):
            self._two_outages(self.uniform(up_s + 1.0, down_s - 4.0), limit_s)
        for _ in range(self.random.choice((0, 0, 1, 2, 3))):
            self._add_outage(self.uniform(4.0, plan.duration_s - 1.5), self._length(limit_s))

    def _two_outages(self, begin_s, limit_s):
        """Together just below the limit with less than `link_recover` between them; or each below it with just more."""
        frame_s = self.plan.aircraft.receiver.frame_ms / 1000.0
        recover_s = self.settings.link_recover_ms / 1000.0
        if self.is_in("two dropouts just apart"):
            first_s, second_s = (limit_s - self.uniform(0.0, 0.05) for _ in range(2))
            pause_s = recover_s + 7 * frame_s + self.uniform(0.0, 0.1)
        else:
            both_s = outage_limit_s(self.plan, 2) - self.uniform(0.0, 0.03)
            first_s = both_s * self.random.uniform(0.4, 0.6)
            second_s = both_s - first_s
            # The second one begins for the eye of the controller when the receiver's own delay is over.
            delay_s = self.plan.aircraft.receiver.failsafe_delay_ms / 1000.0
            pause_s = self.random.uniform(frame_s, recover_s - delay_s - 2 * frame_s)
        self._add_outage(begin_s, first_s)
        self._add_outage(begin_s + first_s + pause_s, second_s, spaced=False)

    def _add_outage(self, begin_s, length_s, spaced=True):
        """Unless it is next to nothing, would spoil a move to UP, counts as one with another, or runs past the end."""
        plan = self.plan
        # Down to a millisecond, so that no rounding takes it over the limit.
        begin_s = round(begin_s, 3)
        end_s = round(begin_s + int(1000.0 * length_s) / 1000.0, 3)
        if length_s < SHORTEST_S:
            return
        spoilt = any(row[2] in ("gear", "spare") for row in plan.glitches)
        after_s = AFTER_MOVE_S + (0.6 if spoilt else 0.0)
        if any(begin_s < up_s + after_s and end_s > up_s - BEFORE_MOVE_S for up_s, _ in plan.ups()):
            return
        if spaced and any(begin_s < until_s + 0.8 and end_s > from_s - 0.8 for from_s, until_s in plan.outages):
            return
        if end_s > plan.duration_s - 0.5:
            return
        plan.outages.append((begin_s, end_s))
        plan.outages.sort()


class Electrics:
    """Supply, sensor wires and clock."""

    def _supply(self):
        plan, spec, s = self.plan, self.plan.aircraft.supply, self.settings
        if self.is_in("low source") or self.chance(0.2):
            amps = spec.idle_a + spec.coil_a + spec.light_a + spec.servo_a
            volts = s.supply_force_mv / 1000.0 + 0.05 + amps * spec.resistance_ohm + self.uniform(0.0, 0.2)
            up_s, down_s = self.random.choice(plan.ups())
            begin_s = self.uniform(up_s - 4.0, down_s - 3.0)
            plan.low_source = (begin_s, round(begin_s + self.uniform(3.0, 30.0), 2), round(volts, 2))
        if self.is_in("supply dip") or self.chance(0.3):
            for _ in range(self.random.choice((1, 2, 3))):
                ups = self.random.choice(plan.ups())
                self._add_dip(self.uniform(*ups) if self.chance(0.8) else self.uniform(4.0, plan.duration_s - 1.0))

    def _add_dip(self, begin_s):
        """Shorter than `supply_confirm` by two ticks; its end is far enough from a servo's draw in a low source."""
        plan, s = self.plan, self.settings
        longest_s = (s.supply_confirm_ms - 2 * s.tick_ms) / 1000.0
        end_s = round(begin_s + (longest_s if self.chance(0.5) else self.random.uniform(0.02, longest_s)), 3)
        if any(begin_s < up_s + 0.6 and end_s > up_s - 0.6 for up_s, _ in plan.ups()):
            return
        if any(begin_s < dip[1] + 1.0 and end_s > dip[0] - 1.0 for dip in plan.dips):
            return
        if plan.low_source and begin_s < plan.low_source[1] + 0.1 and end_s > plan.low_source[0] - 0.1:
            return
        plan.dips.append((begin_s, end_s, self.uniform(3.9, 4.4)))
        plan.dips.sort()

    def _gaps(self):
        plan, s = self.plan, self.settings
        if not (self.is_in("sensor gap") or self.chance(0.2)):
            return
        longest_s = (s.sensor_confirm_ms - 4 * s.tick_ms) / 1000.0
        for _ in range(self.random.choice((1, 2, 3))):
            begin_s = self.uniform(*self.random.choice(plan.ups()))
            end_s = round(begin_s + self.random.uniform(0.02, longest_s), 3)
            near_move = any(begin_s < up_s + 0.6 and end_s > up_s - 0.6 for up_s, _ in plan.ups())
            near_other = any(begin_s < gap[1] + 1.0 and end_s > gap[0] - 1.0 for gap in plan.gaps)
            if not (near_move or near_other):
                plan.gaps.append((begin_s, end_s, self.random.randrange(plan.installation.n_sensors)))
                plan.gaps.sort()

    def _ticks(self):
        plan = self.plan
        if self.is_in("late tick") or self.chance(0.15):
            t_s = self.random.choice(plan.ups())[0] + self.uniform(0.0, 4.0)
            while t_s < plan.duration_s - 2.0 and len(plan.late) < 3:
                plan.late.append((round(t_s, 2), round(self.random.uniform(20.0, 85.0))))
                t_s += self.uniform(2.0, 10.0)
        if self.is_in("clock off") or self.chance(0.2):
            plan.clock_percent = self.uniform(90.0, 110.0)
