"""Sensors and their rail: variants, and what SR-02, SR-05, SR-09 and SR-17 ask."""

from .expected import DRIFT, FROZEN, NOISY, Expected, Variant, both

_CONFIRM = "sensor_confirm_ms"
_UNKNOWN = ("pressure unknown",)
NOTHING = Expected(rests_on=("SR-09",))
SHORT = Expected(move="any", rests_on=("SR-09", "SR-17"))
LOST = Expected(
    up="forced",
    within="sensor_confirm_ms + sensor_force_ms",
    causes=_UNKNOWN,
    alerts=_UNKNOWN,
    alert_within=_CONFIRM,
    move="refused",
    settled=_CONFIRM,
    rests_on=("SR-02", "SR-05"),
)
ONE_LOST = Expected(alerts=("one sensor failed",), alert_within=_CONFIRM, rests_on=("SR-05",))
STUTTER = Expected(
    up="forced",
    within="2 * sensor_confirm_ms + sensor_force_ms",
    causes=_UNKNOWN,
    alerts=_UNKNOWN,
    alert_within="2 * sensor_confirm_ms",
    move="refused",
    settled="2 * sensor_confirm_ms",
    rests_on=("SR-05", "SR-17"),
)
ONE_STUTTERS = Expected(
    alerts=("one sensor failed",), alert_within="2 * sensor_confirm_ms", rests_on=("SR-05", "SR-17")
)
_STROKE = "stroke_ms + stroke_settle_ms + sensor_confirm_ms"
STUCK = Expected(
    up="forced",
    within=f"{_STROKE} + sensor_force_ms",
    causes=_UNKNOWN,
    alerts=_UNKNOWN,
    alert_within=_STROKE,
    since="stroke",
    limit=FROZEN,
    unseen=True,
    rests_on=("SR-05",),
)
ONE_STUCK = Expected(
    alerts=("one sensor failed", "sensors disagree"),
    alert_within=_STROKE,
    since="stroke",
    limit=FROZEN,
    unseen=True,
    rests_on=("SR-05",),
)
WRONG = Expected(up="may", move="any", limit=DRIFT, unseen=True, rests_on=("SR-05",))
WRONG_HIGH = Expected(move="any", limit=DRIFT, unseen=True, rests_on=("SR-05",))


def _apart(after, up="held"):
    return Expected(
        up=up,
        alerts=("sensors disagree",),
        alert_within=f"{after} + sensor_confirm_ms",
        move="refused",
        settled=f"{after} + sensor_confirm_ms",
        rests_on=("SR-02", "SR-05"),
    )


def _on(sensor, failure, name, one, of_two, grid=1, lasts_ms=0, **values):
    expected = {"tern": of_two} if sensor == "b" else {"curlew": one, "tern": of_two}
    label = f"sensor {sensor}, {name}" if name else f"sensor {sensor}"
    return Variant(failure, label, (("sensor", sensor), *values.items()), expected, lasts_ms, grid)


def _variants():
    for sensor in ("a", "b"):
        grid = 0 if sensor == "a" else 1
        yield _on(sensor, "sensor open", "", LOST, ONE_LOST, grid)
        yield _on(sensor, "sensor open", "for 100 ms", SHORT, SHORT, lasts_ms=100)
        yield _on(sensor, "sensor short", "", LOST, ONE_LOST)
        yield _on(sensor, "sensor frozen", "", STUCK, ONE_STUCK)
        yield _on(sensor, "sensor drift", "up slowly", WRONG_HIGH, _apart("2000"), rate=200.0)
        yield _on(sensor, "sensor drift", "down slowly", WRONG, _apart("2000", "may"), rate=-200.0)
        yield _on(sensor, "sensor offset", "500 mbar high", WRONG_HIGH, _apart("60"), offset=500.0)
        yield _on(sensor, "sensor offset", "500 mbar low", WRONG, _apart("60"), offset=-500.0)
        yield _on(sensor, "sensor offset", "4000 mbar low", WRONG, _apart("60", "may"), offset=-4000.0)
        yield _on(sensor, "sensor noise", "50 mbar", NOTHING, NOTHING, noise=50.0)
        noisy = Expected(up="may", move="any", limit=NOISY, unseen=True, rests_on=("SR-05",))
        yield _on(sensor, "sensor noise", "500 mbar", noisy, noisy, noise=500.0)
        yield _on(sensor, "sensor intermittent", "100 ms off, 100 ms on", STUTTER, ONE_STUTTERS, off=100.0, on=100.0)
        yield _on(sensor, "sensor intermittent", "100 ms off, 400 ms on", SHORT, SHORT, off=100.0, on=400.0)
    yield Variant("rail shift", "0.5 V low", (("shift", -0.5),), both(NOTHING), grid=2)
    yield Variant("rail shift", "0.5 V high", (("shift", 0.5),), both(NOTHING), grid=2)
    yield Variant("rail shift", "1.5 V low", (("shift", -1.5),), both(LOST))


VARIANTS = tuple(_variants())
