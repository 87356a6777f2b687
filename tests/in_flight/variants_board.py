"""Switches, supply and board: variants, and what SR-01, SR-13, SR-14, SR-16, SR-18 and SR-30 to SR-33 ask."""

from host_sim.bench import BOOT_US

from .expected import FILLING, FORGETS, NO_FALL, STAYS_UP, UNHEEDED, UNLOCKED, Expected, Variant, both

NOTHING = Expected(rests_on=("SR-09",))
NOT_FITTED = Expected()
CLOSED = Expected(
    alerts=("lock switch not trusted",),
    alert_within="stroke_ms + stroke_settle_ms",
    alert_with="up",
    rests_on=("SR-14",),
)
OPEN = Expected(
    alerts=("not locked",), alert_within="extend_ms + lock_margin_ms", alert_with="down", rests_on=("SR-14",)
)
ON_GROUND = Expected(move="refused", rests_on=("SR-16",))
GROUND_BLIND = Expected(rests_on=("SR-16",))
SAGS = Expected(
    up="forced",
    within="supply_confirm_ms",
    causes=("supply low",),
    alerts=("supply low",),
    alert_within="supply_confirm_ms",
    move="refused",
    settled="40",
    rests_on=("SR-02", "SR-13"),
)
LOW = Expected(alerts=("supply low",), alert_within="100", move="any", rests_on=("SR-13",))
DIPS = Expected(move="any", rests_on=("SR-09", "SR-13"))
# From a reset to the first output; with a supply that was away for 300 ms; the third of three resets.
BOOT = f"{BOOT_US // 1000} + 40"
DIPPED = f"400 + {BOOT}"
EVERY_MS = 2500
THIRD = f"2 * {EVERY_MS} + {BOOT}"
RESET = Expected(
    up="reset",
    within=BOOT,
    alerts=("restarted",),
    alert_within=BOOT,
    move="any",
    limit=FORGETS,
    hazards=(FILLING,),
    rests_on=("SR-01",),
)
DEAD_AND_BACK = Expected(up="reset", within=DIPPED, move="any", limit=FORGETS, hazards=(FILLING,), rests_on=("SR-01",))
KEPT = Expected(
    up="reset",
    within=DIPPED,
    alerts=("restarted",),
    alert_within=DIPPED,
    move="any",
    limit=FORGETS,
    hazards=(FILLING,),
    rests_on=("SR-01", "SR-32"),
)
DEAD = {
    "curlew": Expected(up="reset", within="100", move="no", down_within="10**6", rests_on=("SR-18",)),
    "tern": Expected(
        up="reset",
        within="100",
        move="no",
        down_within="10**6",
        limit=NO_FALL,
        hazards=(UNLOCKED, STAYS_UP, UNHEEDED),
        rests_on=("SR-18",),
    ),
}
LOCK_OUT = Expected(
    up="reset",
    within=BOOT,
    alerts=("locked out",),
    alert_within=THIRD,
    move="refused",
    settled=THIRD,
    rests_on=("SR-01", "SR-32"),
)
LATE_ONCE = Expected(move="any", rests_on=("SR-31",))
LATE = ("tick late",)
LATE_THRICE = Expected(up="forced", within="3 * 260", causes=LATE, move="any", rests_on=("SR-31",))
VERY_LATE = Expected(up="forced", within="200", causes=LATE, move="any", rests_on=("SR-31",))
BITTEN = Expected(
    up="reset",
    within=f"500 + {BOOT}",
    alerts=("restarted",),
    alert_within=f"500 + {BOOT}",
    move="any",
    limit=FORGETS,
    hazards=(FILLING,),
    rests_on=("SR-01", "SR-31"),
)
CLOCK = Expected(
    up="forced", within="2 * 50 * tick_ms", causes=("clock wrong", "tick late"), move="any", rests_on=("SR-33",)
)


def _board(alert, move):
    return both(Expected(alerts=(alert,), alert_within="40", move=move, rests_on=("SR-30",)))


# The built-in settings do not know that the Tern's gear channel runs the other way: its move to UP reads as DOWN.
NO_SETTINGS = {
    "curlew": _board("no valid settings", "refused")["curlew"],
    "tern": _board("no valid settings", "no")["tern"],
}


def _switches():
    for leg in (1, 3):
        closed = {"curlew": NOT_FITTED, "tern": CLOSED}
        yield Variant("lock switch stuck closed", f"leg {leg}", (("leg", leg),), closed)
        yield Variant("lock switch stuck open", f"leg {leg}", (("leg", leg),), {"curlew": NOT_FITTED, "tern": OPEN})
    yield Variant("ground wire off", "", (), {"curlew": NOT_FITTED, "tern": ON_GROUND})
    stuck = (("reads", "ground"),)
    yield Variant("ground switch stuck", "reads ground", stuck, {"curlew": NOT_FITTED, "tern": ON_GROUND})
    stuck = (("reads", "clear"),)
    yield Variant("ground switch stuck", "reads clear", stuck, {"curlew": NOT_FITTED, "tern": GROUND_BLIND})
    yield Variant("button stuck", "", (), both(NOTHING), grid=2)


def _supply():
    yield Variant("brown-out", "0 V for 300 ms", (("supply", 0.0),), both(DEAD_AND_BACK), 300)
    yield Variant("brown-out", "2 V for 300 ms", (("supply", 2.0),), both(KEPT), 300)
    yield Variant("brown-out", "0 V for good", (("supply", 0.0),), DEAD)
    yield Variant("supply sag", "4.2 V", (("supply", 4.2),), both(SAGS), grid=0)
    yield Variant("supply sag", "4.2 V for 100 ms", (("supply", 4.2),), both(DIPS), 100, grid=2)
    yield Variant("supply sag", "4.7 V", (("supply", 4.7),), both(LOW))


def _late(name, expected, late, count=1, grid=1):
    values = (("late", late), ("count", count), ("every", 200.0))
    return Variant("late ticks", name, values, both(expected), grid=grid)


def _variants():
    yield from _switches()
    yield from _supply()
    yield Variant("reset", "once", (), both(RESET), grid=0)
    yield Variant("reset", "three in 5 s", (("times", 3), ("every", float(EVERY_MS))), both(LOCK_OUT))
    yield _late("one of 60 ms", LATE_ONCE, 60.0)
    yield _late("three of 60 ms", LATE_THRICE, 60.0, 3)
    yield _late("one of 150 ms", VERY_LATE, 150.0, grid=0)
    yield _late("one of 600 ms", BITTEN, 600.0)
    for copy, expected in (
        ("a", _board("one settings copy bad", "followed")),
        ("b", _board("one settings copy bad", "followed")),
        ("both", NO_SETTINGS),
    ):
        yield Variant("settings corrupt", f"copy {copy}", (("copy", copy),), expected, before_flight=True)
    yield Variant("settings differ", "", (), _board("settings copies differ", "refused"), before_flight=True)
    lost = both(Expected(alerts=("wiring record invalid",), alert_within="40", move="refused", rests_on=("SR-18",)))
    yield Variant("wiring record lost", "", (), lost, before_flight=True)
    for before in (1.0, 7.05, 8.0, 17.03):
        values = (("before", before),)
        wrap = both(Expected(rests_on=("SR-33",)))
        yield Variant("clock near wrap", f"at {before:g} s", values, wrap, before_flight=True)
    for rate, expected in ((90.0, NOTHING), (115.0, NOTHING), (70.0, CLOCK), (130.0, CLOCK), (400.0, CLOCK)):
        grid = 2 if expected is NOTHING else 1
        yield Variant("clock rate", f"{rate:g} %", (("rate", rate),), both(expected), grid=grid)


VARIANTS = tuple(_variants())
