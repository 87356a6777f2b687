"""The picture of a flight as a PNG, drawn with Matplotlib: 1200 px wide at its own size, sharp when printed."""

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from .inks import (
    BAND_FILL,
    BAND_HATCH,
    CURVE_INK,
    CURVE_WIDTH,
    INK,
    PAPER,
    RULE,
    STYLE,
    THRESHOLD_DASH,
    THRESHOLD_INK,
    TRACK,
)
from .levels import spread
from .picture import TITLES

WIDTH_IN = 12.0
DPI = 100
# Heights of the parts, in inches.
HEADING = 0.30
AIR = 3.1
GEAR = 1.25
LEVERS = 1.0
STRIP = 0.40
GAP = 0.16
TOP = 0.62
AXIS_NUMBERS = 0.14
BOTTOM = 0.62
LIMIT = 0.26
LEFT = 0.85
RIGHT = 1.95

_STYLE = {
    **STYLE,
    "hatch.linewidth": 1.2,
}


def write_plot(picture, path, scale=1):
    """Write the PNG. `scale` 1 is 1200 px wide, 2 is twice as fine. The same picture gives the same bytes."""
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_STYLE)
        figure = draw(picture)
        figure.savefig(path, format="png", dpi=DPI * scale, facecolor=PAPER, metadata={"Software": None})


def draw(picture):
    """The Matplotlib Figure of a Picture. Lanes from top to bottom are in the order of the page."""
    parts = [("air", AIR), ("gear", GEAR)]
    if picture.levers:
        parts.append(("levers", LEVERS))
    parts += [(lane, STRIP * max(len(lane.strips), 1)) for lane in picture.lanes]
    # An empty lane says so on its heading line and takes no other room.
    parts = [(what, 0.0 if getattr(what, "strips", True) == [] else height) for what, height in parts]
    height = TOP + sum(h + HEADING + GAP for _, h in parts) + AXIS_NUMBERS + BOTTOM + LIMIT * len(picture.limits)
    figure = Figure(figsize=(WIDTH_IN, height), dpi=DPI)
    FigureCanvasAgg(figure)
    figure.text(
        LEFT / WIDTH_IN,
        1 - 0.36 / height,
        picture.title,
        fontsize=17 if len(picture.title) <= 66 else 12,
        fontweight="bold",
        va="center",
    )
    top = height - TOP
    axes = []
    for what, part in parts:
        figure.text(
            LEFT / WIDTH_IN,
            (top - HEADING * 0.55) / height,
            _heading(what),
            fontsize=12,
            fontweight="bold",
            va="center",
        )
        top -= HEADING
        if part:
            box = (LEFT / WIDTH_IN, (top - part) / height, (WIDTH_IN - LEFT - RIGHT) / WIDTH_IN, part / height)
            axes.append(figure.add_axes(box, sharex=axes[0] if axes else None))
            _fill(axes[-1], what, picture)
        top -= part + (GAP + AXIS_NUMBERS if what == "air" else GAP)
    _time_axis(figure, axes, picture, top / height)
    for i, sentence in enumerate(picture.limits):
        figure.text(LEFT / WIDTH_IN, (0.16 + LIMIT * i) / height, sentence, fontsize=10.5, fontweight="bold")
    return figure


def _heading(what):
    return TITLES[what] if isinstance(what, str) else what.title


def _fill(axis, what, picture):
    axis.set_facecolor(PAPER)
    for side in ("top", "right"):
        axis.spines[side].set_visible(False)
    if what == "air":
        _air(axis, picture)
    elif what == "gear":
        _gear(axis, picture)
    elif what == "levers":
        _curves(axis, picture.levers)
        axis.set_ylim(-4, 104)
        axis.set_yticks([0, 50, 100], ["0 %", "50 %", "100 %"])
        _names_beside(axis, picture.levers)
    else:
        _strips(axis, what)


def _curves(axis, curves):
    for curve in curves:
        ink, width, dash = CURVE_INK[curve.name], CURVE_WIDTH[curve.name], "-"
        if isinstance(ink, tuple):
            ink, dash = ink
        values = [float("nan") if value is None else value for value in curve.values]
        axis.plot(
            curve.t_s,
            values,
            color=ink,
            linewidth=width,
            linestyle=dash,
            label=curve.name,
            drawstyle="steps-post" if curve.steps else "default",
            solid_capstyle="butt",
            clip_on=True,
        )


def _air(axis, picture):
    low, high = picture.air_range()
    axis.set_ylim(low, high)
    axis.set_xlim(0, picture.end_s)
    bottom = picture.thresholds[-1].value
    axis.axhspan(low, bottom, facecolor="none", edgecolor=RULE, hatch="//", linewidth=0)
    _curves(axis, picture.air)
    axis.set_ylabel(picture.air_axis, fontsize=12)
    axis.yaxis.set_major_locator(MaxNLocator(6))
    axis.grid(axis="y", color=RULE, linewidth=0.6)
    axis.set_axisbelow(True)
    values = [threshold.value for threshold in picture.thresholds]
    places = spread(values, 0.078 * (high - low), low, high)
    for threshold, place in zip(picture.thresholds, places, strict=True):
        ink, dash = THRESHOLD_INK[threshold.name], THRESHOLD_DASH[threshold.name]
        axis.axhline(threshold.value, color=ink, linewidth=1.6, linestyle=dash, zorder=1.5)
        label = f"{threshold.name} {threshold.value:.{picture.digits}f}"
        axis.annotate(
            label,
            (1.0, threshold.value),
            (1.025, place),
            xycoords=("axes fraction", "data"),
            textcoords=("axes fraction", "data"),
            va="center",
            color=ink,
            fontsize=10.5,
            fontweight="bold",
            arrowprops={"arrowstyle": "-", "color": ink, "shrinkA": 0, "shrinkB": 0},
            annotation_clip=False,
        )
    axis.legend(
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=2,
        fontsize=10.5,
        frameon=False,
        borderaxespad=0.0,
        borderpad=0.2,
    )


def _gear(axis, picture):
    axis.set_ylim(-0.15, 1.15)
    real = picture.gear[0]
    axis.fill_between(real.t_s, real.values, -0.15, color=BAND_FILL["note"], alpha=0.35, linewidth=0)
    _curves(axis, picture.gear)
    axis.set_yticks([0, 1], ["down", "up"])
    axis.legend(
        loc="center left", bbox_to_anchor=(1.01, 0.5), fontsize=10.5, frameon=False, borderaxespad=0.0, handlelength=2.2
    )


def _names_beside(axis, curves):
    axis.legend(
        loc="center left", bbox_to_anchor=(1.01, 0.5), fontsize=10.5, frameon=False, borderaxespad=0.0, handlelength=2.2
    )


def _strips(axis, lane):
    count = len(lane.strips)
    axis.set_ylim(count, 0)
    axis.set_yticks([])
    axis.spines["left"].set_visible(False)
    axis.spines["bottom"].set_visible(False)
    for i, strip in enumerate(lane.strips):
        axis.axhspan(i + 0.48, i + 0.90, facecolor=TRACK, linewidth=0)
        axis.text(0.0, i + 0.24, strip.label, transform=axis.get_yaxis_transform(), fontsize=10.5, va="center")
        for band in strip.bands:
            axis.broken_barh(
                [(band.t0_s, max(band.t1_s - band.t0_s, 1e-3))],
                (i + 0.48, 0.42),
                facecolor=BAND_FILL[band.level],
                edgecolor=INK,
                linewidth=0.8,
                hatch=BAND_HATCH[band.level],
            )


def _time_axis(figure, axes, picture, bottom):
    """The one time axis under all lanes, with its numbers once more under the air."""
    axes[0].set_xlim(0, picture.end_s)
    for axis in axes:
        axis.grid(axis="x", color=RULE, linewidth=0.6)
        axis.set_axisbelow(True)
        axis.tick_params(axis="x", labelbottom=axis is axes[0], length=0, labelsize=10)
    box = axes[0].get_position()
    last = figure.add_axes((box.x0, bottom, box.width, 1e-6), sharex=axes[0])
    for side in ("top", "left", "right"):
        last.spines[side].set_visible(False)
    last.set_yticks([])
    last.tick_params(axis="x", labelbottom=True, length=5)
    last.set_xlabel("time since power-on, s", fontsize=12)
