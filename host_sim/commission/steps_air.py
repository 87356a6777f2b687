"""Steps about tank and sensors: zero, readings against a gauge, leak-down."""

from .lines import seconds_between
from .readings import governing_bar, sensor_bar
from .step import BOTH, Result, Step

LOOK_S = 2.0
ZERO_SHARE = 0.5
LEAK_S = 600.0
SETTLE_S = 180.0
# Differences of two means of a sensor: what rounding, noise and warming within a kelvin leave (an assumption).
LEAK_WITHIN_BAR = 0.02
GAUGE_SHARES = (0.5, 0.75, 1.0)


class ZeroStep(Step):
    """Every sensor reads zero on the empty tank."""

    name = "zero"
    title = "Sensor zero on the empty tank"
    what = "Vent the tank until its gauge shows nothing and no air is heard."
    expect = "Every sensor within half of the file's worst_error of zero."
    moves = (
        "The tank is vented. Eye protection on. Doors and legs may sag when the air is gone: support them, hands clear."
    )

    def run(self, on):
        result = Result(self.name)
        on.person.do(("empty",), "Vent the tank to nothing. Leave the vent open.")
        readings = sensor_bar(on.board.watch(LOOK_S), on.settings)
        allowed_bar = ZERO_SHARE * on.settings.sensor_error_mbar / 1000.0
        for word, bar in zip("ab", readings, strict=False):
            result.note(
                f"sensor {word}: {'no reading' if bar is None else on.show(bar)}; allowed {on.show_step(allowed_bar)}"
            )
            result.need(
                bar is not None and abs(bar) <= allowed_bar,
                f"sensor {word} is off at zero: look at sensor, divider, rail",
            )
        if None not in readings:
            result.rows["zero"] = max(readings, key=abs)
        on.person.do(("vent shut",), "Close the vent.")
        return result


class GaugeStep(Step):
    """What the controller goes by agrees with a gauge at three pressures."""

    name = "gauge"
    title = "Sensor against a gauge"
    what = "Fill to three pressures, one after the other, gear down. A gauge that you trust, at the tank."
    expect = "Readings within the file's worst_error of the gauge."
    moves = "Filling moves a gear that is not down. Stay within the rated pressure. Eye protection on."

    def run(self, on):
        result, rows = Result(self.name, by=BOTH), []  # a row: the gauge, and what each sensor reads
        allowed_bar = on.settings.sensor_error_mbar / 1000.0
        for share in GAUGE_SHARES:
            on.ready_air(share * on.aircraft.fill_bar)
            gauge_bar = on.person.pressure(("gauge",), "What does the gauge show?", on.unit)
            readings = sensor_bar(on.board.watch(LOOK_S), on.settings)
            if not result.need(None not in readings, "a sensor gives no reading"):
                return result
            worst_bar = max(readings, key=lambda bar: abs(bar - gauge_bar))
            rows.append((gauge_bar, readings))
            result.note(f"gauge {on.show(gauge_bar)}: reads {', '.join(on.show(bar) for bar in readings)}")
            result.need(
                abs(worst_bar - gauge_bar) <= allowed_bar,
                f"at {on.show(gauge_bar)} a sensor is off by {on.show_step(worst_bar - gauge_bar)}; worst_error is "
                f"{on.show_step(allowed_bar)}",
            )
        # The sensor that is furthest off anywhere stands for both: a mix would look like neither.
        off_bar = [max(abs(readings[n] - gauge_bar) for gauge_bar, readings in rows) for n in range(len(rows[0][1]))]
        worst = off_bar.index(max(off_bar))
        result.rows["gauge"] = [(readings[worst], gauge_bar) for gauge_bar, readings in rows]
        return result


class LeakStep(Step):
    """The tank holds its air: not more is lost in ten minutes than the file says."""

    name = "leak"
    title = "Leak-down, with the temperature of the air"
    what = (
        "Gear down, tank full and settled. Wait ten minutes at least, and move nothing. A thermometer beside the tank."
    )
    expect = "Not more lost than the file's leak_down, corrected for the temperature."

    def run(self, on):
        result = Result(self.name, by=BOTH)
        on.ready_air(on.aircraft.fill_bar)
        on.person.do(
            ("wait", SETTLE_S), f"Wait {SETTLE_S / 60:.0f} minutes, so that the tank's air is as warm as the room."
        )
        start, start_k, from_bar = self._read(on, "now")
        on.person.do(("wait", LEAK_S), f"Wait {LEAK_S / 60:.0f} minutes at least. Longer tells more.")
        end, end_k, to_bar = self._read(on, "at the end")
        if not result.need(None not in (from_bar, to_bar), "a sensor gives no reading"):
            return result
        over_s = seconds_between(start, end)
        if not result.need(over_s >= LEAK_S - 1.0, f"only {over_s / 60:.1f} minutes; wait {LEAK_S / 60:.0f} at least"):
            return result
        # An ideal gas at a constant volume: what the temperature did to the absolute pressure is taken out.
        kept_bar = (to_bar + 1.013) * start_k / end_k - 1.013
        lost_bar = from_bar - kept_bar
        pa_abs = (on.aircraft.fill_bar + 1.013) / (from_bar + 1.013)
        allowed_bar = self._leak_down_bar(on) / pa_abs * over_s / LEAK_S + LEAK_WITHIN_BAR
        result.note(
            f"{on.show(from_bar)} to {on.show(to_bar)} in {over_s / 60:.1f} min, {start_k - 273.15:.1f} to {end_k - 273.15:.1f} degC"
        )
        result.note(f"lost {on.show_step(max(lost_bar, 0.0))}; allowed {on.show_step(allowed_bar)}")
        if to_bar <= from_bar:
            result.rows["leak_down"] = [(from_bar, to_bar, over_s, start_k, end_k)]
        if not result.need(
            lost_bar <= allowed_bar, "more is lost than the file's leak_down: find the leak, or let the file say so"
        ):
            result.propose.append(f"tank: leak_down: {on.show_step(lost_bar * pa_abs * LEAK_S / over_s)}")
        return result

    def _read(self, on, when):
        air_k = on.person.amount(
            ("air",), f"Temperature of the air beside the tank {when}?", "K", 233.0, 333.0, "18.5 degC"
        )
        seen = on.board.watch(LOOK_S)
        return seen[-1], air_k, governing_bar(seen, on.settings)

    def _leak_down_bar(self, on):
        """The file's leak_down: from its fill, in ten minutes, at one temperature."""
        from ..air.gas import ANR_K, ANR_KG_M3, R_J_KG_K

        air = on.aircraft.air
        pa_abs = on.aircraft.fill_bar * 1e5 + 101325.0
        return air.leak_m3_s_pa * LEAK_S * pa_abs * ANR_KG_M3 * R_J_KG_K * ANR_K / air.tank_m3 / 1e5
