"""Supply of receiver, valve and controller: load in, voltage and ADC code out."""

from .streams import stream


class Supply:
    """A source behind a resistance. `volts` is the voltage since the last `step`.

    `sag_to_v` and `dropped_to_v` are set by fault_effects.py: a low source, and a source that is gone.
    """

    __slots__ = ("spec", "volts", "sag_to_v", "dropped_to_v", "_random", "_burst_until_us", "_next_burst_us")

    def __init__(self, spec, seed):
        self.spec = spec
        self._random = stream(seed, "supply")
        self._burst_until_us = 0
        self._next_burst_us = self._gap_us()
        self.repair()
        self.volts = spec.volts

    def repair(self):
        """Back to the supply without faults."""
        self.sag_to_v = None
        self.dropped_to_v = None

    def _gap_us(self):
        if self.spec.servo_per_s <= 0.0:
            return 1 << 62
        return int(self._random.expovariate(self.spec.servo_per_s) * 1e6)

    def step(self, t_us, coil, light):
        """Voltage at a time, us, with `coil` and `light` on or off (0 or 1)."""
        spec = self.spec
        if t_us >= self._next_burst_us:
            self._burst_until_us = t_us + int(spec.servo_ms * 1000.0)
            self._next_burst_us = self._burst_until_us + self._gap_us()
        if self.dropped_to_v is not None:
            self.volts = self.dropped_to_v
            return self.volts
        amps = spec.idle_a + coil * spec.coil_a + light * spec.light_a
        if t_us < self._burst_until_us:
            amps += spec.servo_a
        source = spec.volts if self.sag_to_v is None else self.sag_to_v
        self.volts = max(0.0, source - amps * spec.resistance_ohm)
        return self.volts

    def sample(self):
        """ADC code of the voltage found by the last `step`."""
        spec = self.spec
        millivolts = self.volts * 1000.0
        if spec.noise_mv:
            millivolts += self._random.gauss(0.0, spec.noise_mv)
        code = int(millivolts / spec.full_mv * (spec.adc_codes - 1) + 0.5)
        return min(max(code, 0), spec.adc_codes - 1)
