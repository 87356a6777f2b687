"""The installations that are flown: two aircraft, four kinds of receiver, one sensor or two; as options of a scenario.

A preset without a signature channel cannot be told from the pilot, whoever looks: its dropouts end before the receiver
sends it (distribution.py). The commissioning rule that a gear preset is DOWN holds for every preset here.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from host_sim.aircraft import AIRCRAFT_DIR, Aircraft, load_aircraft
from host_sim.yamlfile import parse

FILES = ("curlew24.yaml", "tern30.yaml")
RECEIVERS = ("silent", "silent, signature", "preset, signature", "preset")
SIGNATURE_US = (2050, 2150)
SIGNATURE = f"{{channel: spare, from: {SIGNATURE_US[0]} us, to: {SIGNATURE_US[1]} us}}"
# Of the four shipped inputs only the sensor is written out: a scenario replaces what it names.
SENSOR = "{span: 10 bar gauge, at_zero: 0.5 V, at_span: 4.5 V, divider_top: 10 kohm, divider_bottom: 18 kohm,"


@dataclass(frozen=True)
class Installation:
    """One aircraft file with one kind of receiver and one or two sensors.

    `errors_bar` has for each sensor how far it reads from the truth at LOW_BAR and at HIGH_BAR; a straight line between.
    """

    file: str
    receiver: str
    errors_bar: tuple[tuple[float, float], ...]

    @property
    def n_sensors(self):
        """1 or 2."""
        return len(self.errors_bar)

    @property
    def has_signature(self):
        """Whether the receiver's signature channel is used."""
        return "signature" in self.receiver

    def options(self):
        """The section `options` of a scenario, one YAML flow mapping."""
        noise, worst = ("10 mbar", "150 mbar") if self.file == FILES[0] else ("0.15 psi", "2.2 psi")
        sensors = []
        for key, (low, high) in zip("ab", self.errors_bar, strict=False):
            gain = (high - low) / (HIGH_BAR - LOW_BAR)
            own = f"specimen_zero_error: {1000 * (low - gain * LOW_BAR):.2f} mbar, specimen_gain_error: {100 * gain:.4f} %"
            sensors.append(f"{key}: {SENSOR} noise: {noise}, worst_error: {worst}, {own}}}")
        if self.n_sensors == 1:
            sensors.append("b: none")
        preset = self.receiver.startswith("preset")
        receiver = [f"on_loss: {'preset' if preset else 'silent'}"]
        receiver.append(f"signature: {SIGNATURE if self.has_signature else 'none'}")
        if preset and self.file == FILES[0]:
            receiver.append(
                "preset: {gear: 1100 us, throttle: 1100 us, brake: 1100 us, light: 1100 us, spare: 2100 us}"
            )
        spare = "channels: {spare: {rest: 1500 us}}"
        return f"{{sensors: {{{', '.join(sensors)}}}, receiver: {{{', '.join(receiver)}}}, {spare}}}"


# Between these two true pressures the errors of a sensor are drawn; flights stay inside.
LOW_BAR, HIGH_BAR = 4.0, 8.0


@cache
def plain(file, receiver, n_sensors) -> Aircraft:
    """The aircraft of an installation whose sensors are perfect: for its settings and its figures."""
    exact = Installation(file, receiver, ((0.0, 0.0),) * n_sensors)
    return load_aircraft(Path(AIRCRAFT_DIR) / file, parse(exact.options(), "options"))


def error_budget_bar(aircraft):
    """What a sensor may be wrong by besides its noise: the stated error less the stated peak of the noise and 8 mbar.

    The 8 mbar are the steps of the two ADC inputs (3.1 mbar a code, and 2.7 mbar of the rail's) and the rounding.
    """
    s = aircraft.settings
    return (s.sensor_error_mbar - s.sensor_noise_mbar - 8) / 1000.0
