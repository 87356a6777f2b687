"""What a pressure reading may be wrong by, term by term, from the parts: sensor, divider, converter, rail, zero.

A ratiometric reading is p = span ((codes / full code) - z) / s: whatever scales the codes acts on the pressure and on
the zero's own voltage, z span / s (1.25 bar for 0.5-4.5 V and 10 bar); a check of the zero on the empty tank takes the
latter away. Terms are worst cases and add up. Figures that the file does not give are assumed (common practice, no
source); the sum stands beside the `worst_error` that the owner wrote.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Accuracy:
    """`sensor` of its span, `divider` each resistor and `rail` of the nominal voltage, as fractions; `adc_codes`;
    `zero_checked` on the empty tank with the power on; `given` whether the file says all this."""

    sensor: float = 0.01
    divider: float = 0.01
    rail: float = 0.02
    adc_codes: float = 6.0
    zero_checked: bool = True
    given: bool = False


def read_accuracy(node):
    """Accuracy of a Mapping, or the assumed one of None."""
    if node is None:
        return Accuracy()
    made = Accuracy(
        sensor=node.take("sensor").quantity("percent", 0.0, 10.0) / 100.0,
        divider=node.take("divider").quantity("percent", 0.0, 10.0) / 100.0,
        rail=node.take("rail").quantity("percent", 0.0, 10.0) / 100.0,
        adc_codes=node.take("adc").number(0.0, 200.0),
        zero_checked=node.take("zero_checked").flag(),
        given=True,
    )
    node.close()
    return made


def error_parts(accuracy, spec, rail, rail_measured, bar):
    """[(words, bar)] of the worst case at a gauge pressure, bar. `spec` a SensorSpec, `rail` a RailSpec.

    Where the rail is measured on a second input, the converter's reference drops out and the rail's divider comes in.
    """
    slope = (spec.full_fraction - spec.zero_fraction) / spec.span_bar
    at_zero_bar = 0.0 if accuracy.zero_checked else spec.zero_fraction / slope
    scaled_bar = bar + at_zero_bar
    ratio = spec.divider_bottom_ohm / (spec.divider_top_ohm + spec.divider_bottom_ohm)
    code_bar = spec.adc_v / spec.adc_codes / (ratio * spec.rail_v * slope)
    parts = [
        ("sensor", accuracy.sensor * spec.span_bar),
        ("divider of the sensor", 2.0 * accuracy.divider * (1.0 - ratio) * scaled_bar),
        ("converter (ADC)", accuracy.adc_codes * code_bar),
    ]
    if rail_measured:
        rail_code = rail.adc_v / rail.adc_codes / (rail.ratio * rail.nominal_v)
        parts.append(("divider of the rail", 2.0 * accuracy.divider * (1.0 - rail.ratio) * scaled_bar))
        parts.append(("converter (ADC) on the rail", accuracy.adc_codes * rail_code * scaled_bar))
    else:
        parts.append(("rail, not measured", accuracy.rail * scaled_bar))
    return parts
