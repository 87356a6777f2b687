"""What the devices between the air system and the controller are built from: plain frozen records.

Pressures are gauge. The sensor's figures are the usual ones of a ratiometric 0.5-4.5 V transducer on a 5 V rail
(common practice, no source); every figure can be changed in an aircraft file.
"""

from dataclasses import dataclass, field

from controller import codes

ON_LOSS = ("silent", "preset", "hold")


@dataclass(frozen=True)
class SensorSpec:
    """A ratiometric gauge sensor, its divider and its ADC input.

    `zero_fraction` and `full_fraction` of the rail stand for 0 and `span_bar`. `noise_mbar` is the standard deviation.
    `zero_error_mbar`, `gain_error` and `divider_error` are what this one specimen is wrong by (fractions but for the
    zero). An open input is pulled low and reads 0.
    """

    span_bar: float = 10.0
    zero_fraction: float = 0.1
    full_fraction: float = 0.9
    noise_mbar: float = 3.0
    zero_error_mbar: float = 0.0
    gain_error: float = 0.0
    divider_error: float = 0.0
    divider_top_ohm: float = 10_000.0
    divider_bottom_ohm: float = 18_000.0
    rail_v: float = 5.0
    adc_v: float = 3.3
    adc_codes: int = 4096

    def counts_at(self, pressure_bar):
        """ADC code of a perfect specimen at a gauge pressure, bar: 399 at 0 and 3591 at 10 bar by default."""
        fraction = self.zero_fraction + (self.full_fraction - self.zero_fraction) * pressure_bar / self.span_bar
        ratio = self.divider_bottom_ohm / (self.divider_top_ohm + self.divider_bottom_ohm)
        return round(fraction * self.rail_v * ratio / self.adc_v * self.adc_codes)


@dataclass(frozen=True)
class RailSpec:
    """The sensors' 5 V rail: `error_v` is how far this one is off; `ratio` is the divider to its ADC input."""

    nominal_v: float = 5.0
    error_v: float = 0.0
    noise_v: float = 0.0005
    ratio: float = 0.5
    adc_v: float = 3.3
    adc_codes: int = 4096

    @property
    def nominal_counts(self):
        """ADC code of the rail when it is right."""
        return round(self.nominal_v * self.ratio / self.adc_v * self.adc_codes)


@dataclass(frozen=True)
class ReceiverSpec:
    """A receiver with one pulse output a channel.

    A frame starts every `frame_ms` plus or minus `jitter_ms`; the pulse of channel n starts `stagger_ms` x n later.
    Widths step by `resolution_us` and wander by `noise_us` (standard deviation). After a loss the receiver repeats its
    last pulses for `failsafe_delay_ms`, then does what `on_loss` says; a preset sends `preset_us` on all channels.
    `low_us` and `high_us` are the pulse at switch down, throttle idle, brake off, light off, and at the other end.
    """

    frame_ms: float = 20.0
    jitter_ms: float = 0.2
    stagger_ms: float = 2.5
    resolution_us: float = 1.0
    noise_us: float = 1.0
    on_loss: str = "silent"
    failsafe_delay_ms: float = 100.0
    preset_us: tuple[int, ...] = (1100, 1100, 1100, 1100, 2100)
    low_us: tuple[int, ...] = (1100, 1100, 1100, 1100, 1500)
    high_us: tuple[int, ...] = (1900, 1900, 1900, 1900, 1500)

    def __post_init__(self):
        if self.on_loss not in ON_LOSS:
            raise ValueError(f"on_loss: {self.on_loss!r} is not one of {', '.join(ON_LOSS)}")
        for name in ("preset_us", "low_us", "high_us"):
            if len(getattr(self, name)) != codes.N_CHANNELS:
                raise ValueError(f"{name}: needs {codes.N_CHANNELS} pulse widths, one a channel")


@dataclass(frozen=True)
class SupplySpec:
    """Receiver and valve supply: a source behind `resistance_ohm`, and what draws from it.

    `full_mv` is the voltage that reads as the highest ADC code. `servo_a` is drawn by the control surfaces in short
    random bursts of `servo_ms`, on average `servo_per_s` of them a second.
    """

    volts: float = 6.6
    resistance_ohm: float = 0.05
    idle_a: float = 0.5
    coil_a: float = 0.5
    light_a: float = 1.0
    servo_a: float = 8.0
    servo_ms: float = 80.0
    servo_per_s: float = 0.5
    noise_mv: float = 5.0
    full_mv: int = 13200
    reset_below_v: float = 3.0
    adc_codes: int = 4096


@dataclass(frozen=True)
class SwitchSpec:
    """A contact: pin level when made, level when its wire is off, and how long it bounces after a change, ms."""

    made_level: int = 1
    wire_off_level: int = 0
    bounce_ms: float = 6.0


@dataclass(frozen=True)
class SwitchesSpec:
    """Which switches are fitted. A lock switch is made when its leg is locked down, the ground switch when clear."""

    lock_count: int = 0
    lock: SwitchSpec = field(default_factory=SwitchSpec)
    ground_fitted: bool = False
    ground: SwitchSpec = field(default_factory=SwitchSpec)
