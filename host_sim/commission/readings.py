"""Numbers out of many lines of a board: pulses, pressures, supply. Means and medians, so that noise is no finding."""

from statistics import fmean, median

from controller import codes

# Fewer pulses than this in a second are no signal: the slowest receiver sends 20 a second.
LEAST_PULSES_S = 5


def pulses(seen):
    """(median width in us of each channel, 0 where no pulse came; pulses of each that came in all of `seen`)."""
    counts = [sum(one.fresh[channel] for one in seen) for channel in range(codes.N_CHANNELS)]
    widths = [
        round(median(one.pulse_us[channel] for one in seen if one.fresh[channel])) if count else 0
        for channel, count in enumerate(counts)
    ]
    return widths, counts


def spans(seen):
    """Width between the shortest and the longest pulse of each channel, us, without the outermost of each side."""
    found = []
    for channel in range(codes.N_CHANNELS):
        widths = sorted(one.pulse_us[channel] for one in seen if one.fresh[channel])
        found.append(widths[-2] - widths[1] if len(widths) > 3 else 0)
    return found


OPEN, SHORT = "OPEN: no signal, a wire or the plug is off", "SHORT: its signal is at its supply"
RAIL_OFF = "NO READING: its 5 V is more than a fifth off"


def sensor_bar(seen, settings):
    """Mean reading of each fitted sensor, bar gauge, by the rule of controller/sensor.py; None where it is no reading
    (open, short or the rail too far off)."""
    return [bar for bar, _ in sensor_states(seen, settings)]


def sensor_states(seen, settings):
    """(mean reading in bar gauge or None, "" or why there is none) of each fitted sensor."""
    s = settings
    scales = (
        (s.sensor_a_zero_counts, s.sensor_a_full_counts, s.sensor_a_span_mbar),
        (s.sensor_b_zero_counts, s.sensor_b_full_counts, s.sensor_b_span_mbar),
    )
    found = []
    for index in range(s.sensor_count):
        zero, full, span_mbar = scales[index]
        corrected = [one.counts[index] * _rail_factor(one, s) for one in seen]
        if s.rail_fitted and not all(_rail_good(one.rail_counts, s) for one in seen):
            found.append((None, RAIL_OFF))
        elif min(corrected) < s.sensor_open_counts:
            found.append((None, OPEN))
        elif max(corrected) > s.sensor_short_counts:
            found.append((None, SHORT))
        else:
            found.append(((fmean(corrected) - zero) * span_mbar / (full - zero) / 1000.0, ""))
    return found


def governing_bar(seen, settings):
    """What the controller goes by: the lower of two; None where a sensor gives no reading."""
    readings = sensor_bar(seen, settings)
    return None if None in readings else min(readings)


def _rail_good(counts, settings):
    nominal = settings.rail_nominal_counts
    return nominal * 8 // 10 <= counts <= nominal * 12 // 10


def _rail_factor(one, settings):
    if not settings.rail_fitted:
        return 1.0
    return settings.rail_nominal_counts / max(one.rail_counts, 1)


def rail_v(seen, rail):
    """Mean voltage of the sensors' rail, V; `rail` the RailSpec of the aircraft file."""
    return fmean(one.rail_counts for one in seen) / rail.adc_codes * rail.adc_v / rail.ratio


def supply_v(seen, settings):
    """Mean supply, V."""
    return fmean(one.supply_counts for one in seen) * settings.supply_full_mv / 4095 / 1000.0
