"""Radio link, receiver and channels: variants, and what SR-06, SR-08, SR-09, SR-10 and SR-21 ask."""

from .expected import (
    HOLDS,
    INTERFERENCE,
    LINK_UNSEEN,
    PULSES,
    STAYS_UP,
    UNHEEDED,
    UNLOCKED,
    UP_UNASKED,
    WIRING,
    Expected,
    Variant,
    both,
)

_LINK = ("link lost",)


def lost(within, degraded):
    """Link lost: DOWN within an outage of link_force; a move once degraded cannot happen."""
    return Expected(
        up="forced",
        within=within,
        causes=_LINK,
        alerts=_LINK,
        alert_within=within,
        move="no",
        settled=degraded,
        down_within="10**6",
        rests_on=("SR-06",),
    )


LOST = lost("loss_delay_ms + frame_ms + link_force_ms", "loss_delay_ms + frame_ms + link_degraded_ms")
CUT = lost("frame_ms + link_force_ms", "frame_ms + link_degraded_ms")
SIGNATURE = lost("frame_ms + signature_age_ms + link_force_ms", "frame_ms + signature_age_ms + link_degraded_ms")
STUTTERS = lost("2 * 760 + frame_ms", "600")
SLOW = lost("2 * link_force_ms", "2 * link_degraded_ms + 200")
SHORT = Expected(move="any", down_within="1200", rests_on=("SR-06", "SR-09"))
NOTHING = Expected(rests_on=("SR-09",))
GLITCHES = Expected(move="any", down_within="1500", rests_on=("SR-09", "SR-10"))
OBEYED = Expected(
    up="switch",
    within="loss_delay_ms + 6 * frame_ms",
    move="no",
    settled="loss_delay_ms + 6 * frame_ms",
    rests_on=("SR-08",),
)
HELD = Expected(
    move="any",
    down_within="10**6",
    limit=HOLDS,
    hazards=(STAYS_UP, LINK_UNSEEN, UNHEEDED, UNLOCKED),
    unseen=True,
    rests_on=("SR-06",),
)
STUCK_UP = Expected(
    move="any",
    limit=PULSES,
    hazards=(UP_UNASKED, STAYS_UP, UNHEEDED, UNLOCKED),
    unseen=True,
    rests_on=("SR-09", "SR-10"),
)
LOUD = Expected(
    up="may",
    move="any",
    down_within="2000",
    limit=INTERFERENCE,
    hazards=(UP_UNASKED, STAYS_UP, UNLOCKED),
    rests_on=("SR-09", "SR-10"),
)
CROSSED = Expected(
    up="may",
    move="any",
    limit=WIRING,
    hazards=(UNLOCKED, UP_UNASKED, STAYS_UP, UNHEEDED),
    unseen=True,
    rests_on=("SR-10",),
)


def _lever(alert):
    return Expected(alerts=(alert,), alert_within="500 + frame_ms", rests_on=("SR-21",))


def _gear_stuck():
    """Pulses that say UP and DOWN differ by aircraft; the others are the same."""
    for failure, width, curlew, tern, grid in (
        ("channel stuck high", 1900.0, STUCK_UP, OBEYED, 0),
        ("channel stuck low", 1100.0, OBEYED, STUCK_UP, 1),
    ):
        yield Variant(
            failure, "gear", (("channel", "gear"), ("pulse", width)), {"curlew": curlew, "tern": tern}, grid=grid
        )
    for failure, width, name in (
        ("channel stuck high", 2500.0, "gear, no valid width"),
        ("channel stuck low", 300.0, "gear, no valid width"),
    ):
        yield Variant(failure, name, (("channel", "gear"), ("pulse", width)), both(CUT))
    dead = (("channel", "gear"), ("pulse", 1500.0))
    yield Variant("channel stuck high", "gear, between the positions", dead, both(STUCK_UP))


def _stuck():
    yield from _gear_stuck()
    for failure, width in (("channel stuck high", 1900.0), ("channel stuck low", 1100.0)):
        for channel in ("throttle", "brake", "light"):
            yield Variant(failure, channel, (("channel", channel), ("pulse", width)), both(NOTHING), grid=2)
    spare = (("channel", "spare"), ("pulse", 2100.0))
    yield Variant("channel stuck high", "spare", spare, {"curlew": NOTHING, "tern": SIGNATURE})
    spare = (("channel", "spare"), ("pulse", 1500.0))
    yield Variant("channel stuck low", "spare", spare, both(NOTHING))


def _variants():
    yield Variant("transmitter off", "", (), both(LOST), grid=0)
    yield Variant("transmitter off", "for 300 ms", (), both(SHORT), lasts_ms=300)
    yield Variant("transmitter off", "for 700 ms", (), both(SHORT), lasts_ms=700)
    yield Variant("no pulses", "", (), both(LOST))
    yield Variant("preset on loss", "", (), {"curlew": OBEYED, "tern": LOST})
    yield Variant("held pulses", "", (), both(HELD))
    yield Variant("stutter", "300 ms off, 300 ms on", (("off", 300.0), ("on", 300.0)), both(SHORT))
    # The Tern's receiver holds its pulses for 250 ms, longer than a link needs to be good again: no stutter to it.
    stutter = {"curlew": STUTTERS, "tern": SHORT}
    yield Variant("stutter", "700 ms off, 60 ms on", (("off", 700.0), ("on", 60.0)), stutter)
    wire = {
        "throttle": _lever("no throttle signal"),
        "brake": _lever("no brake signal"),
        "light": _lever("no light signal"),
    }
    yield Variant("channel wire off", "gear", (("channel", "gear"),), both(CUT))
    for channel, expected in wire.items():
        yield Variant("channel wire off", channel, (("channel", channel),), both(expected), grid=2)
    yield Variant("channel wire off", "spare", (("channel", "spare"),), {"curlew": NOTHING, "tern": SIGNATURE})
    yield from _stuck()
    # The Tern's frames are shorter than a tick, and of two in one tick one is not seen: it may be the clean one.
    for share, run, tern in ((20.0, 1, GLITCHES), (40.0, 2, LOUD)):
        values = (("channel", "gear"), ("share", share), ("run", run))
        expected = {"curlew": GLITCHES, "tern": tern}
        yield Variant("glitches", f"gear, {run} in a row", values, expected)
    yield Variant("glitches", "gear, 10 in a row", (("channel", "gear"), ("share", 80.0), ("run", 10)), both(LOUD))
    for channel in ("throttle", "brake", "light"):
        values = (("channel", channel), ("share", 40.0), ("run", 2))
        yield Variant("glitches", channel, values, both(NOTHING), grid=2)
    values = (("channel", "spare"), ("share", 20.0), ("run", 1))
    yield Variant("glitches", "spare", values, {"curlew": NOTHING, "tern": GLITCHES})
    yield Variant("frame period", "10 ms", (("period", 10.0),), both(NOTHING), grid=2)
    yield Variant("frame period", "30 ms", (("period", 30.0),), both(SHORT))
    yield Variant("frame period", "150 ms", (("period", 150.0),), both(SLOW))
    for first, second in (
        ("gear", "brake"),
        ("gear", "throttle"),
        ("gear", "light"),
        ("gear", "spare"),
        ("throttle", "brake"),
    ):
        values = (("first", first), ("second", second))
        yield Variant("channels swapped", f"{first} and {second}", values, both(CROSSED), before_flight=True)
    for channel in ("gear", "throttle", "brake", "light", "spare"):
        yield Variant("channel reversed", channel, (("channel", channel),), both(CROSSED), before_flight=True)


VARIANTS = tuple(_variants())
