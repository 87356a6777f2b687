"""What the owner has measured on the bench: the optional section `measured` of an aircraft file.

Every key may be left out, but a lock minimum does not count without the load that stood against the extension, nor a
leak-down without the temperature of the air. Pressures gauge. `within` says what the bench's own instruments may be
wrong by, as bounds: what the file does not say of them is assumed (common practice, no source).
"""

from dataclasses import dataclass, field
from math import sqrt

from ..air.spec import AirSystem
from ..quantities import show_pressure
from ..wording import show_difference
from ..yamlfile import Mapping, Sequence
from .extension import SEA_K
from .strokes import SEA_BAR

MOST_ROWS = 24
# Each costs the plant some hundred flights of an extension in a fit.
MOST_TIMED = 8
FULL_LOAD = "full air load"
NO_LOAD = "none"
TEN_K_SHARE = 10.0 / SEA_K


def standard(bound):
    """Standard uncertainty of a bound +-bound, every value inside it as likely (GUM, JCGM 100:2008, 4.3.7)."""
    return bound / sqrt(3.0)


def of_load(share):
    """A share of the full air load in words."""
    if share in (0.0, 1.0):
        return "no air load" if share == 0.0 else FULL_LOAD
    return f"{100 * share:.0f} % of the {FULL_LOAD}"


@dataclass(frozen=True)
class Within:
    """Bounds of error: `pressure_bar` of each pressure written down, `time_s` of each time, `gauge_bar` of the gauge
    itself, `air_k` of each air temperature. `assumed` names the keys that the file does not give."""

    pressure_bar: float = 0.05
    time_s: float = 0.2
    gauge_bar: float = 0.1
    air_k: float = 1.0
    assumed: tuple[str, ...] = field(default=())


@dataclass(frozen=True)
class LockMinimum:
    """Least tank pressure from which one extension locked every leg, against `load_share` of the full air load."""

    tank_bar: float
    load_share: float
    within_bar: float


@dataclass(frozen=True)
class LeakDown:
    """The tank at rest with the gear down and locked, settled at both ends; air temperatures around it in K."""

    from_bar: float
    to_bar: float
    over_s: float
    start_k: float
    end_k: float


@dataclass(frozen=True)
class Drop:
    """Tank before one stroke, "retraction" or "extension", and settled after it. What leaks meanwhile counts as drop."""

    stroke: str
    from_bar: float
    to_bar: float


@dataclass(frozen=True)
class ExtensionTime:
    """Time from the command to the last lock, against `load_share` of the full air load."""

    from_bar: float
    takes_s: float
    load_share: float


@dataclass(frozen=True)
class Comparison:
    """What the controller read while a gauge showed `gauge_bar`."""

    reads_bar: float
    gauge_bar: float


@dataclass(frozen=True)
class Measured:
    """All of the section. `air` is the aircraft that stood on the bench, as its file has it, and `stated_error_bar` the
    sensors' `worst_error`; `file` and `line` are for messages. None and () for what was not measured."""

    air: AirSystem
    stated_error_bar: float
    lock_minimum: LockMinimum | None = None
    leak_down: tuple[LeakDown, ...] = ()
    drops: tuple[Drop, ...] = ()
    extensions: tuple[ExtensionTime, ...] = ()
    zero_bar: float | None = None
    gauge: tuple[Comparison, ...] = ()
    within: Within = Within()
    file: str = ""
    line: int = 0


def read_measured(node, unit, air, stated_error_bar):
    """Measured of a Mapping, or None of None. Raises InputError."""
    if node is None:
        return None
    within = _read_within(node.take("within", Mapping, None), unit)
    lock_node = node.take("lock_minimum", Mapping, None)
    zero_node = node.take("zero", Mapping, None)
    measured = Measured(
        air=air,
        stated_error_bar=stated_error_bar,
        lock_minimum=None if lock_node is None else _read_lock_minimum(lock_node, unit, within),
        leak_down=_rows(node, "leak_down", _read_leak_down, unit),
        drops=_rows(node, "drops", _read_drop, unit),
        extensions=_rows(node, "extensions", _read_extension, unit, MOST_TIMED),
        zero_bar=None if zero_node is None else _read_zero(zero_node, unit),
        gauge=_rows(node, "gauge", _read_comparison, unit),
        within=within,
        file=node.file,
        line=node.line,
    )
    node.close()
    return measured


_WITHIN = {
    "pressure": ("pressure_bar", lambda node, unit: node.quantity("bar", 0.001, 1.0, "", unit)),
    "time": ("time_s", lambda node, unit: node.quantity("s", 0.01, 2.0)),
    "gauge": ("gauge_bar", lambda node, unit: node.quantity("bar", 0.001, 1.0, "", unit)),
    "air": ("air_k", lambda node, unit: node.quantity("K", 0.05, 10.0)),
}


def _read_within(node, unit):
    if node is None:
        return Within(assumed=tuple(_WITHIN))
    given = {key: name_and_read for key, name_and_read in _WITHIN.items() if node.has(key)}
    values = {name: read(node.take(key), unit) for key, (name, read) in given.items()}
    node.close()
    return Within(**values, assumed=tuple(key for key in _WITHIN if key not in given))


def _rows(node, key, read, unit, most=MOST_ROWS):
    """Tuple of what `read` makes of each mapping in the list of `key`."""
    part = node.take(key, Sequence, None)
    if part is None:
        return ()
    if not 1 <= len(part.items) <= most:
        part.fail(f"has {len(part.items)} rows; allowed: 1 to {most}")
    return tuple(read(row, unit) for row in part.of(Mapping))


def _gauge(node, key, unit, low_bar=0.2, high_bar=20.0):
    return node.take(key).quantity("bar", low_bar, high_bar, "gauge", unit)


def _load_share(scalar):
    text = scalar.text.strip()
    if text in (FULL_LOAD, NO_LOAD):
        return 1.0 if text == FULL_LOAD else 0.0
    if "%" not in text and "percent" not in text:
        scalar.fail(f"'{text[:40]}' is no load; allowed: {FULL_LOAD}, {NO_LOAD}, or a share of it like '60 %'")
    return scalar.quantity("percent", 0.0, 100.0) / 100.0


def _read_lock_minimum(node, unit, within):
    if not node.has("load"):
        node.fail(
            "a lock minimum counts only with its load: in still air a gear locks from far less than in flight; "
            f"add 'load: {FULL_LOAD}', 'load: {NO_LOAD}' or a share like 'load: 60 %'"
        )
    found = LockMinimum(
        tank_bar=_gauge(node, "tank", unit),
        load_share=_load_share(node.take("load")),
        # A level, not a difference: the gauge's own error counts too.
        within_bar=(
            node.take("within").quantity("bar", 0.001, 2.0, "", unit)
            if node.has("within")
            else within.pressure_bar + within.gauge_bar
        ),
    )
    node.close()
    return found


def _read_leak_down(node, unit):
    for key in ("start_air", "end_air"):
        if not node.has(key):
            node.fail(
                f"a leak-down counts only with the air's temperature at both ends: '{key}' is missing; 10 K move a tank "
                f"of {show_pressure(7.5, unit)} by {show_difference(TEN_K_SHARE * (7.5 + SEA_BAR), unit)}"
            )
    row = LeakDown(
        # Below 1 bar gauge a leak is no longer choked, and what follows from it would be too small.
        from_bar=_gauge(node, "from", unit, 1.0),
        to_bar=_gauge(node, "to", unit, 1.0),
        over_s=node.take("over").quantity("s", 60.0, 172800.0, show="min"),
        start_k=node.take("start_air").quantity("K", 233.15, 333.15, show="degC"),
        end_k=node.take("end_air").quantity("K", 233.15, 333.15, show="degC"),
    )
    node.close()
    if row.to_bar > row.from_bar:
        _fail_rising(node, "a tank that gains pressure has warmed more than it has leaked; let it settle and repeat")
    return row


def _read_drop(node, unit):
    row = Drop(
        stroke=node.take("stroke").word(("retraction", "extension")),
        from_bar=_gauge(node, "from", unit),
        to_bar=_gauge(node, "to", unit),
    )
    node.close()
    if row.to_bar >= row.from_bar:
        _fail_rising(node, "a stroke takes air")
    return row


def _fail_rising(node, why):
    to, start = node.take("to"), node.take("from")
    to.fail(f"'{to.text.strip()}' is not below 'from', {start.text.strip()}: {why}")


def _read_extension(node, unit):
    row = ExtensionTime(
        from_bar=_gauge(node, "from", unit),
        takes_s=node.take("takes").quantity("s", 0.05, 20.0),
        load_share=_load_share(node.take("load")) if node.has("load") else 0.0,
    )
    node.close()
    return row


def _read_zero(node, unit):
    reads_bar = node.take("reads").quantity("bar", -1.0, 1.0, "gauge", unit)
    node.close()
    return reads_bar


def _read_comparison(node, unit):
    row = Comparison(_gauge(node, "reads", unit, -1.0), _gauge(node, "gauge", unit))
    node.close()
    return row
