"""The picture of random flights: chance of a forced extension that fails, and of a nuisance, against `force_below`."""

from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from ..inks import CURVE_INK, INK, PAPER, RULE
from ..wording import in_unit
from .drawing import HEADING, LABEL, LEFT, SMALL, names_above, panel, sheet, title_room, write
from .size_picture import STEPS

HEIGHT = 3.4
ROOM = 0.30
AXIS = 0.62
MARGIN, RIGHT = LEFT + 0.45, 0.3
# Marks of the two stand this share of the axis apart, so that one never hides the other.
BESIDE = 0.006
LEAST_CHANCE = 1e-6
SERIES = (
    ("failed", "does not lock, of forced extensions", CURVE_INK["command"], "-", "o"),
    ("nuisance", "forced without need, of days", CURVE_INK["in the tank"], "--", "s"),
)


def chances_figure(title, unit, force_bar, failed, nuisance, marks=()):
    """Figure of chances: of a failure for one forced extension, of a nuisance for one day. Make and save it inside drawing.style().

    force_bar         forcing points that were flown, bar gauge, ascending
    failed, nuisance  for each of them (chance, low, high), its interval around it, 0 to 1
    marks             (name, bar gauge, ink, dash) of forcing points to point out
    Raises ValueError where the lengths differ.
    """
    data = {"failed": list(failed), "nuisance": list(nuisance)}
    if not len(force_bar) == len(data["failed"]) == len(data["nuisance"]):
        raise ValueError("a chance of each kind belongs to every forcing point")
    above = LABEL * max(len(marks), 1) + 0.2
    height = title_room(title) + HEADING + ROOM + above + HEIGHT + AXIS
    figure = sheet(height, title)
    top = height - title_room(title)
    heading = "Chance, with its 95 % interval"
    write(figure, 0.2, top - HEADING / 2, heading, fontsize=12, fontweight="bold")
    axis = panel(figure, AXIS, HEIGHT, MARGIN, RIGHT)
    x = [in_unit(bar, unit) for bar in force_bar]
    axis.set_yscale("log")
    axis.set_ylim(_floor(data), 1.3)
    room = 0.04 * (max(x) - min(x)) or 0.05 * abs(x[0]) or 1.0
    places = x + [in_unit(bar, unit) for _, bar, *_ in marks]
    axis.set_xlim(min(places) - room, max(places) + room)
    axis.plot([], [], "o", color=INK, markerfacecolor=PAPER, markersize=7, label="none seen: at most this")
    left, right = axis.get_xlim()
    for side, (key, *look) in zip((-1, 1), SERIES, strict=True):
        _series(axis, [place + side * BESIDE * (right - left) for place in x], data[key], *look)
    names_above(axis, [(in_unit(bar, unit), name, ink, dash) for name, bar, ink, dash in marks])
    axis.yaxis.set_major_locator(FixedLocator([10.0**-n for n in range(7)]))
    axis.yaxis.set_minor_locator(NullLocator())
    axis.yaxis.set_major_formatter(FuncFormatter(_chance_words))
    axis.xaxis.set_major_locator(MaxNLocator(8, steps=STEPS))
    axis.grid(color=RULE, linewidth=0.6)
    axis.set_xlabel(f"force below, {unit} gauge", fontsize=12)
    width = figure.get_size_inches()[0]
    figure.legend(
        *axis.get_legend_handles_labels(),
        loc="upper left",
        bbox_to_anchor=(0.2 / width, (top - HEADING) / height),
        ncols=3,
        columnspacing=1.2,
        handlelength=1.6,
        fontsize=SMALL,
        frameon=False,
        borderaxespad=0.0,
        borderpad=0.2,
    )
    return figure


def _floor(data):
    """Lowest chance on the axis: half of the least that is drawn."""
    drawn = [value for three in data.values() for one in three for value in one if value > 0.0]
    return max(0.5 * min(drawn, default=0.1), LEAST_CHANCE)


def _chance_words(chance, _):
    return "always" if chance >= 1.0 else f"1 in {round(1 / chance):,}"


def _series(axis, x, chances, words, ink, dash, marker):
    """Chances seen as marks on a line; where none was seen, an open mark with an arrow at the most it can be."""
    seen = [n for n, (chance, *_) in enumerate(chances) if chance > 0.0]
    axis.plot(
        [x[n] for n in seen],
        [chances[n][0] for n in seen],
        color=ink,
        linestyle=dash,
        marker=marker,
        markersize=6,
        linewidth=2.2,
        label=words,
    )
    low = axis.get_ylim()[0]
    for n, (chance, least, most) in enumerate(chances):
        axis.plot([x[n], x[n]], [max(least, low), max(most, low)], color=ink, linewidth=1.4, zorder=1.8)
        if chance <= 0.0:
            axis.plot([x[n]], [most], marker, color=ink, markerfacecolor=PAPER, markersize=7, markeredgewidth=1.6)
            arrow = {"arrowstyle": "->", "color": ink, "linewidth": 1.4}
            axis.annotate("", (x[n], low * 1.05), (x[n], most), arrowprops=arrow)
