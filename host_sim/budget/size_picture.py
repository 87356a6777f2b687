"""The picture of `downlock size`: the tank after every stroke, and how long an extension takes from which pressure."""

from functools import lru_cache

from matplotlib.ticker import MaxNLocator

from ..inks import CURVE_INK, INK, PAPER, RULE, THRESHOLD_DASH, THRESHOLD_INK
from ..wording import in_unit, pressure_digits
from .drawing import HEADING, LABEL, LEFT, SMALL, names_above, names_beside, panel, sheet, title_room, write
from .extension import extend, simulated_lock_minimum_bar
from .size_words import after_sentence
from .words import plain

NAMES = {
    "retract_above": "retract above",
    "warn_below": "warn below",
    "force_below": "force below",
    "lock_min": "lock minimum",
}
TANK, TIMES = 3.4, 2.3
LEGEND = 0.28
UPRIGHT_NAMES = 0.75
WIDE_NAMES = 0.45
AXIS = 0.55
SENTENCE = 0.3
GAP = 0.15
STEPS = [1, 2, 2.5, 5, 10]
# From so many strokes on their names stand upright, and the pressures are left to the table.
MANY = 9
TANK_INK, QUICK_INK = CURVE_INK["in the tank"], CURVE_INK["command"]
# How far above the least pressure that locks the extra points of the curves lie: there it bends most.
NEAR_BAR = (0.0, 0.02, 0.05, 0.1, 0.15, 0.25, 0.4, 0.7, 1.2)


def size_figure(aircraft, sizing, unit, titled=True):
    """Figure of a Sizing, pressures in `unit` gauge. Make and save it inside drawing.style()."""
    title = f"{aircraft.name}: the air of one fill" if titled else ""
    names = UPRIGHT_NAMES + 0.1 if len(sizing.rows) >= MANY else WIDE_NAMES
    height = (
        title_room(title) + HEADING + LEGEND + TANK + names + SENTENCE + HEADING + 3 * LABEL + 0.1 + TIMES + AXIS + GAP
    )
    figure = sheet(height, title)
    top = height - title_room(title)
    write(figure, LEFT, top - HEADING / 2, "Tank after every stroke", fontsize=12, fontweight="bold")
    top -= HEADING + LEGEND + TANK
    _staircase(panel(figure, top, TANK), sizing, unit)
    top -= names + SENTENCE
    write(figure, LEFT, top + SENTENCE / 2, after_sentence(sizing, unit), fontsize=SMALL)
    heading = "How long one extension takes, by simulation"
    write(figure, LEFT, top - HEADING / 2, heading, fontsize=12, fontweight="bold")
    top -= HEADING + 3 * LABEL + 0.1 + TIMES
    _times(panel(figure, top, TIMES), aircraft, sizing, unit)
    return figure


def _staircase(axis, sizing, unit):
    fill_bar, rows = sizing.installed.fill_bar, sizing.rows
    settled = [in_unit(bar, unit) for bar in [fill_bar, *(row.settled_bar for row in rows)]]
    cold = [in_unit(bar, unit) for bar in [fill_bar, *(row.cold_bar for row in rows)]]
    thresholds = {key: in_unit(sizing.thresholds[key], unit) for key in NAMES}
    _limits(axis, [*settled, *cold, *thresholds.values()], thresholds["lock_min"])
    edges = [n - 0.5 for n in range(len(settled) + 1)]
    axis.set_xlim(edges[0], edges[-1])
    axis.stairs(settled, edges, baseline=None, color=TANK_INK, linewidth=3.0, label="settled: the heat is back")
    axis.stairs(
        cold, edges, baseline=None, color=QUICK_INK, linewidth=1.8, linestyle="--", label="cold: in quick succession"
    )
    _flown(axis, rows, unit)
    for key, value in thresholds.items():
        name = NAMES[key]
        axis.axhline(value, color=THRESHOLD_INK[name], linestyle=THRESHOLD_DASH[name], linewidth=1.6, zorder=1.5)
    beside = [
        (value, f"{NAMES[key]} {plain(sizing.thresholds[key], unit)}", THRESHOLD_INK[NAMES[key]])
        for key, value in thresholds.items()
    ]
    names_beside(axis, beside)
    _name_strokes(axis, rows)
    if len(rows) < MANY:
        _values(axis, settled, cold, pressure_digits(unit))
    axis.set_ylabel(f"{unit} gauge", fontsize=12)
    axis.yaxis.set_major_locator(MaxNLocator(6, steps=STEPS))
    axis.grid(axis="y", color=RULE, linewidth=0.6)
    axis.legend(
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=3,
        fontsize=SMALL,
        frameon=False,
        borderaxespad=0.0,
        borderpad=0.2,
        columnspacing=1.4,
    )


def _limits(axis, values, lock_min):
    low, high = min(values), max(values)
    room = 0.08 * (high - low)
    low, high = low - room, high + room
    axis.set_ylim(low, high)
    axis.axhspan(low, lock_min, facecolor="none", edgecolor=RULE, hatch="//", linewidth=0)


def _flown(axis, rows, unit):
    """What the plant flew, as rings on the steps."""
    places = []
    for row in rows:
        for bar in (row.settled_plant_bar, row.cold_plant_bar):
            if bar is not None:
                places.append((row.number, in_unit(bar, unit)))
    if places:
        x, y = zip(*places, strict=True)
        axis.plot(x, y, "o", color=INK, markerfacecolor=PAPER, markersize=5, markeredgewidth=1.2, label="simulated")


def _name_strokes(axis, rows):
    many = len(rows) >= MANY
    words = [f"{row.number} {row.stroke}" if many else f"{row.number}\n{row.stroke}" for row in rows]
    axis.set_xticks(range(len(rows) + 1), ["fill", *words], rotation=90 if many else 0, fontsize=9.5 if many else SMALL)
    axis.tick_params(axis="x", length=0)


def _values(axis, settled, cold, digits):
    """The pressure at each step: settled above its line, cold below."""
    box = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.5}
    how = {"ha": "center", "textcoords": "offset points", "fontsize": 10, "bbox": box, "zorder": 3}
    for n, (high, low) in enumerate(zip(settled, cold, strict=True)):
        axis.annotate(f"{high:.{digits}f}", (n, high), (0, 5), va="bottom", color=TANK_INK, fontweight="bold", **how)
        if n:
            axis.annotate(f"{low:.{digits}f}", (n, low), (0, -5), va="top", color=QUICK_INK, **how)


def time_curve(air, q_pa, points, lock_bar):
    """[(tank bar gauge, seconds)] of extensions that lock, from the least pressure that does, points of the table among
    them. `points` [(bar, seconds or None)]; `lock_bar` None where no pressure locks."""
    found = {bar: seconds for bar, seconds in points if seconds is not None}
    if lock_bar is not None:
        first_bar = min(found, default=lock_bar + 1.0)
        for bar in (lock_bar + more for more in NEAR_BAR):
            if bar < first_bar:
                seconds = extend(air, bar, q_pa).time_s
                if seconds is not None:
                    found[bar] = seconds
    return sorted(found.items())


# A page and a picture of the same aircraft, or of another unit, need not fly them again.
@lru_cache(maxsize=8)
def _curves(air, lock_bar, times):
    """(least pressure that locks in still air, time_curve with the full air load, time_curve in still air)."""
    still_bar = simulated_lock_minimum_bar(air, 0.0)
    loaded = time_curve(air, air.design_q_pa, [(bar, loaded) for bar, loaded, _ in times], lock_bar)
    return still_bar, loaded, time_curve(air, 0.0, [(bar, still) for bar, _, still in times], still_bar)


def _times(axis, aircraft, sizing, unit):
    still_bar, loaded, still = _curves(sizing.air, sizing.lock_plant_bar, tuple(sizing.times))
    stated_s = aircraft.settings.extend_ms / 1000.0
    tabled = [s for _, *both in sizing.times for s in both if s is not None]
    top_s = 1.25 * max([stated_s, *tabled])
    axis.set_ylim(0.0, top_s)
    ends = [bar for bar, _ in [*loaded, *still]] + [sizing.thresholds["force_below"], sizing.installed.fill_bar]
    room = 0.04 * (max(ends) - min(ends))
    axis.set_xlim(in_unit(min(ends) - room, unit), in_unit(max(ends) + room, unit))
    beside = [(stated_s, f"file: slowest {stated_s:.2f} s", INK)]
    axis.axhline(stated_s, color=INK, linestyle=":", linewidth=1.6)
    for curve, name, ink, dash, width in (
        (loaded, "full air load", QUICK_INK, "-", 2.6),
        (still, "still air", TANK_INK, "--", 2.2),
    ):
        if curve:
            axis.plot(
                [in_unit(bar, unit) for bar, _ in curve], [s for _, s in curve], color=ink, linestyle=dash, lw=width
            )
            beside.append((min(curve[-1][1], top_s), f"{name} {curve[-1][1]:.2f} s", ink))
    names_beside(axis, beside)
    _where_it_locks(axis, sizing, still_bar, unit)
    axis.set_xlabel(f"tank as the extension starts, {unit} gauge", fontsize=11)
    axis.set_ylabel("seconds", fontsize=12)
    axis.yaxis.set_major_locator(MaxNLocator(5, steps=STEPS))
    axis.grid(color=RULE, linewidth=0.6)


def _where_it_locks(axis, sizing, still_bar, unit):
    lines = [_line("force_below", sizing.thresholds["force_below"], unit)]
    left = axis.get_xlim()[0]
    if sizing.lock_plant_bar is not None:
        words = f"below {plain(sizing.lock_plant_bar, unit)} it does not lock against the air load"
        lines.append((in_unit(sizing.lock_plant_bar, unit), words, INK, "-"))
        axis.axvspan(
            left, in_unit(sizing.lock_plant_bar, unit), facecolor="none", edgecolor=RULE, hatch="//", linewidth=0
        )
    else:
        axis.text(
            0.5,
            0.06,
            "against the full air load it never locks",
            transform=axis.transAxes,
            ha="center",
            fontsize=SMALL,
            fontweight="bold",
            bbox={"facecolor": PAPER, "edgecolor": INK, "pad": 3},
        )
    if still_bar is not None:
        words = f"below {plain(still_bar, unit)} it does not lock even in still air"
        lines.append((in_unit(still_bar, unit), words, TANK_INK, "--"))
    names_above(axis, lines)


def _line(key, bar, unit):
    name = NAMES[key]
    return in_unit(bar, unit), f"{name} {plain(bar, unit)}", THRESHOLD_INK[name], THRESHOLD_DASH[name]
