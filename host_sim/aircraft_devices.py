"""The sections of an aircraft file about what is wired to the board: sensors, receiver, channels, supply, switches.

Each reader returns the record that the simulator builds the device from, and puts into `values` the settings that
follow.
"""

from controller import codes

from .budget.accuracy import read_accuracy
from .devices import ON_LOSS, RailSpec, ReceiverSpec, SensorSpec, SupplySpec, SwitchesSpec, SwitchSpec
from .yamlfile import Mapping, Scalar

# The two ends of each channel, by the names an owner uses: the safe or low end first.
_ENDS = (("down", "up"), ("idle", "full"), ("off", "full"), ("off", "on"), ("rest", "rest"))
_LEVELS = ("low", "high")


def read_rail(node, values):
    """RailSpec of the sensors' rail; it exists whether or not the controller measures it."""
    measured = node.take("measured").flag()
    rail = RailSpec(
        nominal_v=node.take("nominal").quantity("V", 2.5, 6.0),
        error_v=node.take("error").quantity("V", -1.0, 1.0),
        ratio=node.take("ratio").number(0.1, 1.0),
    )
    node.close()
    values["rail_fitted"] = int(measured)
    values["rail_nominal_counts"] = rail.nominal_counts
    return rail


def read_sensors(node, rail, values):
    """(tuple of one or two SensorSpec, from the keys a and b; the Accuracy of the one whose own figure is the worst)."""
    specs, accuracies, errors_mbar, noises_mbar, opens, shorts = [], [], [], [], [], []
    present = [key for key in ("a", "b") if node.has(key)]
    node.close()
    if "a" not in present:
        node.fail("the key 'a' is missing: one sensor at least")
    for key in present:
        part = node.take(key, (Mapping, Scalar))
        if isinstance(part, Scalar):
            if key == "b" and part.text.strip() == "none":
                continue
            part.fail("is a single value; wanted is a mapping of keys to values" + (" or 'none'" if key == "b" else ""))
        accuracy = read_accuracy(part.take("accuracy", Mapping, None))
        spec, error_mbar, peak_mbar, zero_v, full_v = _read_sensor(part, rail)
        specs.append(spec)
        accuracies.append(accuracy)
        errors_mbar.append(error_mbar)
        noises_mbar.append(peak_mbar)
        # A wire off or a short is suspected halfway between the sensor's own end and the rail's: 0.25 V and 4.75 V.
        opens.append(_counts(spec, zero_v / 2))
        shorts.append(_counts(spec, (full_v + rail.nominal_v) / 2))
        values[f"sensor_{key}_zero_counts"] = round(_counts(spec, zero_v))
        values[f"sensor_{key}_full_counts"] = round(_counts(spec, full_v))
        values[f"sensor_{key}_span_mbar"] = spec.span_bar * 1000.0
    values["sensor_count"] = len(specs)
    values["sensor_error_mbar"] = max(errors_mbar)
    values["sensor_noise_mbar"] = max(noises_mbar)
    values["sensor_open_counts"] = max(opens)
    values["sensor_short_counts"] = min(shorts)
    return tuple(specs), max(accuracies, key=lambda accuracy: accuracy.sensor)


def _counts(spec, volts):
    ratio = spec.divider_bottom_ohm / (spec.divider_top_ohm + spec.divider_bottom_ohm)
    return volts * ratio / spec.adc_v * spec.adc_codes


def _read_sensor(node, rail):
    zero_v = node.take("at_zero").quantity("V", 0.0, rail.nominal_v)
    full_v = node.take("at_span").quantity("V", 0.5, rail.nominal_v)
    if full_v <= zero_v:
        node.take("at_span").fail("must be above the voltage at zero")
    peak_mbar = node.take("noise").quantity("mbar", 0.0, 200.0)
    error_mbar = node.take("worst_error").quantity("mbar", 20.0, 1000.0)
    own = {}
    if node.has("specimen_zero_error"):
        own["zero_error_mbar"] = node.take("specimen_zero_error").quantity("mbar", -1000.0, 1000.0)
    if node.has("specimen_gain_error"):
        own["gain_error"] = node.take("specimen_gain_error").quantity("percent", -10.0, 10.0) / 100.0
    spec = SensorSpec(
        span_bar=node.take("span").quantity("bar", 2.0, 16.0, "gauge"),
        zero_fraction=zero_v / rail.nominal_v,
        full_fraction=full_v / rail.nominal_v,
        # Stated is the peak; a normal spread stays within three deviations 99.7 % of the time.
        noise_mbar=peak_mbar / 3.0,
        divider_top_ohm=node.take("divider_top").quantity("ohm", 0.0, 1e6),
        divider_bottom_ohm=node.take("divider_bottom").quantity("ohm", 100.0, 1e6),
        rail_v=rail.nominal_v,
        **own,
    )
    node.close()
    return spec, error_mbar, peak_mbar, zero_v, full_v


def read_channels(node, values):
    """(low_us, high_us): the pulse of each channel at its low and its high end; five whole numbers each."""
    low_us, high_us = list(ReceiverSpec().low_us), list(ReceiverSpec().high_us)
    for index, word in enumerate(codes.CHANNEL_WORDS):
        part = node.take(word, (Mapping, Scalar))
        fitted = isinstance(part, Mapping)
        if not fitted and (part.text.strip() != "none" or index == codes.GEAR):
            part.fail(f"'{part.text[:40]}' is not a mapping of keys to values" + (" or 'none'" if index else ""))
        if fitted:
            ends = [part.take(end) for end in _ENDS[index]]
            low_us[index], high_us[index] = (round(end.quantity("us", 800, 2200)) for end in ends)
            part.close()
            if index != codes.SPARE and abs(high_us[index] - low_us[index]) < 300:
                part.fail(f"the two ends are {abs(high_us[index] - low_us[index])} us apart; allowed: at least 300 us")
        if index in (codes.THROTTLE, codes.BRAKE, codes.LIGHT):
            values[f"{word}_fitted"] = int(fitted)
            values[f"{word}_{_ENDS[index][0]}_us"] = low_us[index]
            values[f"{word}_{_ENDS[index][1]}_us"] = high_us[index]
    node.close()
    down_us, up_us = low_us[codes.GEAR], high_us[codes.GEAR]
    quarter_us = abs(up_us - down_us) / 4.0
    values["gear_up_high"] = int(up_us > down_us)
    values["gear_low_us"] = min(down_us, up_us) + quarter_us
    values["gear_high_us"] = max(down_us, up_us) - quarter_us
    return tuple(low_us), tuple(high_us)


def read_receiver(node, low_us, high_us, values):
    """ReceiverSpec, and the signature by which a preset is known."""
    on_loss = node.take("on_loss").word(ON_LOSS)
    preset_us = list(low_us)
    if node.has("preset"):
        part = node.take("preset", Mapping)
        for index, word in enumerate(codes.CHANNEL_WORDS):
            if part.has(word):
                preset_us[index] = round(part.take(word).quantity("us", 800, 2200))
        part.close()
    values["signature_channel"] = 0
    if node.has("signature"):
        part = node.take("signature", (Mapping, Scalar))
        if isinstance(part, Mapping):
            _read_signature(part, low_us, high_us, values)
        elif part.text.strip() != "none":
            part.fail(f"'{part.text[:40]}' is neither 'none' nor a mapping of keys to values")
    spec = ReceiverSpec(
        frame_ms=node.take("frame").quantity("ms", 5.0, 50.0),
        on_loss=on_loss,
        failsafe_delay_ms=node.take("loss_delay").quantity("ms", 0.0, 5000.0),
        preset_us=tuple(preset_us),
        low_us=low_us,
        high_us=high_us,
    )
    node.close()
    return spec


def _read_signature(node, low_us, high_us, values):
    channel = codes.CHANNEL_WORDS.index(node.take("channel").word(codes.CHANNEL_WORDS[1:]))
    values["signature_channel"] = channel
    values["signature_low_us"] = node.take("from").quantity("us", 800, 2200)
    values["signature_high_us"] = node.take("to").quantity("us", 800, 2200)
    node.close()
    values["signature_travel_low_us"] = min(low_us[channel], high_us[channel])
    values["signature_travel_high_us"] = max(low_us[channel], high_us[channel])


def read_supply(node, values):
    """SupplySpec of the receiver's and the valve's supply."""
    values["supply_fitted"] = int(node.take("measured").flag())
    full_mv = round(node.take("full_reading").quantity("mV", 3300, 40000, show="V"))
    values["supply_full_mv"] = full_mv
    spec = SupplySpec(
        volts=node.take("voltage").quantity("V", 3.0, 30.0),
        resistance_ohm=node.take("resistance").quantity("ohm", 0.0, 2.0),
        idle_a=node.take("idle_current").quantity("A", 0.0, 20.0),
        coil_a=node.take("coil_current").quantity("A", 0.0, 10.0),
        light_a=node.take("light_current").quantity("A", 0.0, 20.0),
        servo_a=node.take("servo_current").quantity("A", 0.0, 60.0),
        full_mv=full_mv,
    )
    node.close()
    return spec


def read_switches(node, leg_count, values):
    """SwitchesSpec: lock switches on the first legs, and a ground switch."""
    lock_count = node.take("locks").whole(0, leg_count)
    lock = SwitchSpec(made_level=_level(node, "lock_made"))
    ground_fitted = node.take("ground").flag()
    clear = _level(node, "ground_clear")
    node.close()
    values["lock_count"] = lock_count
    values["lock_closed_level"] = lock.made_level
    values["ground_fitted"] = int(ground_fitted)
    values["ground_clear_level"] = clear
    ground = SwitchSpec(made_level=clear, wire_off_level=1 - clear)
    lock = SwitchSpec(made_level=lock.made_level, wire_off_level=1 - lock.made_level)
    return SwitchesSpec(lock_count=lock_count, lock=lock, ground_fitted=ground_fitted, ground=ground)


def _level(node, key):
    return _LEVELS.index(node.take(key).word(_LEVELS))
