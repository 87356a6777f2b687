"""What measurements make of the model: a calibrated air system, the fitted values, and where the two disagree."""

from dataclasses import dataclass

from ..air.spec import AirSystem


@dataclass(frozen=True)
class Calibration:
    """`air` as the measurements have it; `fitted` the values found; `disagreements` sentences; `lock_terms` in place of
    the computed ones, or None; `sensor_error_bar` from a comparison with a gauge, or None."""

    air: AirSystem
    fitted: tuple = ()
    disagreements: tuple = ()
    lock_terms: list | None = None
    sensor_error_bar: float | None = None


def calibrate(installed):
    """Calibration of an Installed; without measurements the model as it is written."""
    return Calibration(installed.air)
