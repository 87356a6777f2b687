"""Where the gear valve is: it follows its coils or its pulse after a switching time, or stays."""

DOWN = 0
UP = 1
KINDS = ("spring", "two-coil", "servo")


class GearValve:
    """Position of one valve, `at` DOWN or UP. ValueError for a kind that is not in KINDS."""

    __slots__ = ("kind", "switch_s", "middle_us", "up_is_long", "at", "waited_s")

    def __init__(self, spec, at):
        if spec.kind not in KINDS:
            raise ValueError(f"valve kind {spec.kind!r}: must be one of {', '.join(KINDS)}")
        self.kind = spec.kind
        self.switch_s = spec.switch_s
        self.middle_us = (spec.servo_down_us + spec.servo_up_us) / 2.0
        self.up_is_long = spec.servo_up_us > spec.servo_down_us
        self.at = at
        self.waited_s = 0.0

    def wanted(self, demand):
        """Where the present coils or pulse push it; where it is when nothing pushes."""
        if demand.valve_stuck:
            return self.at
        if self.kind == "spring":
            return UP if demand.coil_up and not demand.valve_wire_off else DOWN
        if demand.valve_wire_off:
            return self.at
        if self.kind == "servo":
            if demand.valve_us == 0:
                return self.at
            return UP if (demand.valve_us > self.middle_us) == self.up_is_long else DOWN
        if demand.coil_up and not demand.coil_down:
            return UP
        if demand.coil_down and not demand.coil_up:
            return DOWN
        return self.at

    def step(self, dt_s, demand):
        """Advance by dt: a command has to last `switch_s` without a break before the valve is over."""
        wanted = self.wanted(demand)
        if wanted == self.at:
            self.waited_s = 0.0
            return
        self.waited_s += dt_s
        if self.waited_s >= self.switch_s - 1e-9:
            self.at = wanted
            self.waited_s = 0.0
