"""Air, valve and legs: variants, and what SR-02 to SR-04, SR-12, SR-14 and SR-15 ask.

When air that is lost must force the gear is judged from the plant (air_truth.py), so `up` is "may" here.
"""

from .expected import BURST, JAM, NO_FALL, TORN, UNHEEDED, UNLOCKED, VALVE, Expected, Variant, both

_AIR = ("low air", "burst", "air lost in stroke")
SMALL = Expected(up="may", causes=_AIR, move="any", rests_on=("SR-03", "SR-04"))
LARGE = Expected(up="may", causes=_AIR, move="any", limit=BURST, hazards=(UNLOCKED,), rests_on=("SR-03", "SR-04"))
STARVED = Expected(up="may", causes=_AIR, move="any", limit=TORN, hazards=(UNLOCKED,), rests_on=("SR-03", "SR-04"))
EMPTY = Expected(alerts=("air low",), alert_within="warn_confirm_ms + 100", move="refused", rests_on=("SR-02", "SR-12"))
TOO_LITTLE = Expected(move="refused", rests_on=("SR-02",))
STUCK = Expected(move="any", limit=VALVE, hazards=(UNLOCKED, UNHEEDED), unseen=True, rests_on=("SR-14", "SR-15"))
WIRE = {
    "curlew": Expected(move="any", limit=VALVE, hazards=(UNHEEDED,), unseen=True, rests_on=("SR-15", "SR-18")),
    "tern": Expected(move="any", limit=NO_FALL, hazards=(UNLOCKED, UNHEEDED), unseen=True, rests_on=("SR-14", "SR-18")),
}
JAMMED = Expected(move="any", limit=JAM, hazards=(UNLOCKED, UNHEEDED), unseen=True, rests_on=("SR-14", "SR-15"))
# A hole from here on may empty the tank before the legs are out; SAFETY.md says about 1 mm.
LARGE_MM = 1.0
LONG = ("long cruise",)


def _holes(failure, sizes_mm, phases=(), **more):
    for hole in sizes_mm:
        expected = LARGE if hole >= LARGE_MM else SMALL
        values = (*more.items(), ("hole", hole))
        name = ", ".join([*(f"{key} {value}" for key, value in more.items()), f"{hole:g} mm"])
        grid = 0 if failure == "burst line" and hole == 1.0 else 1
        yield Variant(failure, name, values, both(expected), grid=grid, phases=phases)


def _variants():
    yield from _holes("slow leak", (0.1, 0.2), LONG)
    yield from _holes("slow leak", (0.3, 0.6, 1.0))
    yield from _holes("burst line", (0.5, 1.0, 2.0, 5.0))
    yield from _holes("brake drag", (0.15,), LONG)
    yield from _holes("brake drag", (0.5,))
    for leg in (1, 2):
        yield from _holes("torn hose", (0.5, 1.5), leg=leg, side="retract")
        for hole in (0.5, 1.5):
            values = (("leg", leg), ("side", "extend"), ("hole", hole))
            yield Variant("torn hose", f"leg {leg}, side extend, {hole:g} mm", values, both(STARVED))
    yield Variant("empty tank", "empty", (("pressure", 0.0),), both(EMPTY), before_flight=True)
    yield Variant("empty tank", "3 bar", (("pressure", 3.0),), both(EMPTY), before_flight=True)
    # Below the permit, and above what would keep the second path from giving leave: the mode logic alone refuses.
    for aircraft, bar in (("curlew", 5.45), ("tern", 5.6)):
        row = {aircraft: TOO_LITTLE}
        yield Variant("empty tank", f"{bar:g} bar", (("pressure", bar),), row, before_flight=True)
    yield Variant("valve wire off", "", (), WIRE)
    yield Variant("valve stuck", "", (), both(STUCK))
    for leg, travel in ((1, 50.0), (2, 0.0), (3, 100.0)):
        values = (("leg", leg), ("travel", travel))
        yield Variant("jammed leg", f"leg {leg} at {travel:g} %", values, both(JAMMED))
    for travel in (0.0, 50.0):
        yield Variant("jammed legs", f"at {travel:g} %", (("travel", travel),), both(JAMMED))


VARIANTS = tuple(_variants())
