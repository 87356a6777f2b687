"""The lines and answers of boards/common/benchside.py, made on CPython without its chip: run as a program, printed."""

import sys
from types import SimpleNamespace

sys.modules["machine"] = SimpleNamespace(PWM=None, Pin=None)

from boards.common.benchside import Bench  # noqa: E402
from controller.frames import Inputs, Outputs  # noqa: E402


class Silent:
    """Parts that take everything."""

    def __getattr__(self, _):
        return lambda *arguments: None


def main():
    """Two lines, one looking and one flying, and the answer to every command."""
    inputs, outputs = Inputs(), Outputs()
    inputs.pulse_us[:] = [1100, 1500, 1100, 0, 2200]
    inputs.counts[:] = [410, 4095]
    inputs.rail_counts, inputs.supply_counts, inputs.ground_level = 3102, 2048, 1
    inputs.lock_level[:] = [0, 1, 0, 1]
    pulses = SimpleNamespace(ended=[3, 65536, 0, 0, 1], glitches=[0, 0, 7, 0, 0])
    bench = object.__new__(Bench)
    bench.inputs, bench.flying, bench.drive = inputs, 0, "off"
    bench._coil_off_ms = -1
    bench._fresh, bench._ended, bench._fed, bench._late = [0] * 5, [0] * 5, 5, 1
    bench.parts = SimpleNamespace(capture=SimpleNamespace(pulses=pulses), signals=Silent(), valve=Silent())
    outputs.tick, outputs.pressure_mbar, outputs.gear_command, outputs.cause = 500, 6900, 1, 9
    cycle = SimpleNamespace(inputs=inputs, outputs=outputs)
    boot = SimpleNamespace(valve_kind=1)
    bench.start = SimpleNamespace(cycle=cycle, made=SimpleNamespace(cycle=cycle, boot=boot), boot=boot)
    bench._tell(12300)
    bench.flying = 1
    bench._tell((1 << 30) + 5)
    bench._obey("drive up")
    bench.flying = 0
    bench._obey("drive up")
    bench._obey("show lamp")
    bench._obey("fly high")


if __name__ == "__main__":
    main()
