"""Pressure sensor and its rail: gauge pressure in, ADC codes out."""

from .streams import stream

MBAR_PER_BAR = 1000.0


class Rail:
    """The sensors' 5 V rail, with its own ADC input. `volts` is its true voltage since the last `sample`."""

    __slots__ = ("spec", "shift_v", "volts", "_random", "_scale")

    def __init__(self, spec, seed):
        self.spec = spec
        self._random = stream(seed, "rail")
        self._scale = spec.ratio / spec.adc_v * spec.adc_codes
        self.repair()
        self.volts = spec.nominal_v + spec.error_v

    def repair(self):
        """Back to the specimen without faults."""
        self.shift_v = 0.0

    def sample(self):
        """ADC code of the rail at this tick."""
        spec = self.spec
        self.volts = spec.nominal_v + spec.error_v + self.shift_v
        if spec.noise_v:
            self.volts += self._random.gauss(0.0, spec.noise_v)
        code = int(self.volts * self._scale + 0.5)
        return min(max(code, 0), spec.adc_codes - 1)


class Sensor:
    """One ratiometric gauge sensor. The fault fields are set by fault_effects.py."""

    __slots__ = (
        "spec",
        "is_open",
        "is_short",
        "is_frozen",
        "offset_bar",
        "extra_noise_bar",
        "drift_bar_s",
        "drift_from_us",
        "makes_us",
        "breaks_us",
        "breaks_from_us",
        "_frozen_code",
        "_random",
        "_scale",
        "_slope",
        "_gain",
    )

    def __init__(self, spec, seed, name):
        self.spec = spec
        self._random = stream(seed, f"sensor {name}")
        ratio = spec.divider_bottom_ohm / (spec.divider_top_ohm + spec.divider_bottom_ohm)
        self._scale = ratio * (1.0 + spec.divider_error) / spec.adc_v * spec.adc_codes
        self._slope = (spec.full_fraction - spec.zero_fraction) / spec.span_bar
        self._gain = 1.0 + spec.gain_error
        self._frozen_code = None
        self.repair()

    def repair(self):
        """Back to the specimen without faults."""
        self.is_open = False
        self.is_short = False
        self.is_frozen = False
        self.offset_bar = self.spec.zero_error_mbar / MBAR_PER_BAR
        self.extra_noise_bar = 0.0
        self.drift_bar_s = 0.0
        self.drift_from_us = 0
        self.makes_us = 0
        self.breaks_us = 0
        self.breaks_from_us = 0

    def sample(self, gauge_bar, rail_v, t_us):
        """ADC code for a gauge pressure, bar, at a time, us. An open input is pulled low and reads 0."""
        spec = self.spec
        if self.breaks_us and (t_us - self.breaks_from_us) % (self.breaks_us + self.makes_us) < self.breaks_us:
            return 0
        if self.is_open:
            return 0
        bar = gauge_bar * self._gain + self.offset_bar
        noise_bar = spec.noise_mbar / MBAR_PER_BAR + self.extra_noise_bar
        if noise_bar:
            bar += self._random.gauss(0.0, noise_bar)
        if self.drift_bar_s:
            bar += self.drift_bar_s * (t_us - self.drift_from_us) * 1e-6
        fraction = 1.0 if self.is_short else spec.zero_fraction + self._slope * bar
        code = int(min(max(fraction, 0.0), 1.0) * rail_v * self._scale + 0.5)
        code = min(code, spec.adc_codes - 1)
        if not self.is_frozen:
            self._frozen_code = code
        elif self._frozen_code is not None:
            return self._frozen_code
        return code
