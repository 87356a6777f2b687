"""Every failure of the catalogue in its variants. test_variants.py fails when one of the catalogue has none."""

from host_sim.faults import CATALOGUE, make_fault

from . import variants_air, variants_board, variants_radio, variants_sensors

VARIANTS = (
    *variants_sensors.VARIANTS,
    *variants_radio.VARIANTS,
    *variants_air.VARIANTS,
    *variants_board.VARIANTS,
)


def fault_of(variant, onset_ms):
    """The checked faults.Fault of a variant that begins at onset_ms, ms since power-on."""
    values = dict(variant.values)
    if CATALOGUE[variant.failure].at_start:
        return make_fault(variant.failure, **values)
    if not variant.lasts_ms:
        return make_fault(variant.failure, onset_ms / 1000.0, **values)
    return make_fault(variant.failure, onset_ms / 1000.0, (onset_ms + variant.lasts_ms) / 1000.0, **values)
