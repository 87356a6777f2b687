"""Only the points that a line needs: a flight has a row a tick, and a page shows a thousand dots at most."""


def steps(times, values):
    """Only the points where a stepped line changes, and its ends."""
    keep = [0] + [i for i in range(1, len(values)) if values[i] != values[i - 1]]
    if keep[-1] != len(values) - 1:
        keep.append(len(values) - 1)
    return [times[i] for i in keep], [values[i] for i in keep]


def thin(times, values, tolerance):
    """Points enough to draw a curve: every point left out lies within `tolerance` of the line between those kept.

    A stretch of None becomes one None, which is drawn as a gap. Returns (times, values).
    """
    out_t, out_v = [], []
    start = 0
    while start < len(values):
        if values[start] is None:
            stop = start + 1
            while stop < len(values) and values[stop] is None:
                stop += 1
            keep = [start]
        else:
            stop = start + 1
            while stop < len(values) and values[stop] is not None:
                stop += 1
            keep = _door(times, values, start, stop, tolerance)
        out_t += [times[i] for i in keep]
        out_v += [values[i] for i in keep]
        start = stop
    return out_t, out_v


def _door(times, values, start, stop, tolerance):
    """Swinging door: from the last point kept, the slopes that pass all points since within tolerance narrow until
    the next point does not fit; then the point before it is kept."""
    keep = [start]
    low, high = float("-inf"), float("inf")
    for i in range(start + 1, stop):
        slope = (values[i] - values[keep[-1]]) / (times[i] - times[keep[-1]])
        if not low <= slope <= high:
            keep.append(i - 1)
            low, high = float("-inf"), float("inf")
        span = times[i] - times[keep[-1]]
        low = max(low, (values[i] - tolerance - values[keep[-1]]) / span)
        high = min(high, (values[i] + tolerance - values[keep[-1]]) / span)
    if keep[-1] != stop - 1:
        keep.append(stop - 1)
    return keep
