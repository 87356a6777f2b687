"""The picture of `downlock advise`: every threshold as the stack of its terms, opened up, one term a row.

All stacks share one pressure axis, so that a term can be set against another; a term begins where the one above ends.
"""

import textwrap

from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from ..inks import BAND_FILL, BAND_HATCH, INK, PAPER, RULE, THRESHOLD_INK, TRACK
from ..quantities import show_pressure
from ..wording import in_unit
from .advice import set_bar
from .drawing import SMALL, panel, sheet, title_room
from .size_picture import NAMES, STEPS
from .words import plain

ROW, HEAD, APART = 0.215, 0.30, 0.11
LEGEND = 0.62
AXIS = 0.62
NAMES_LEFT, NAMES_WIDTH, RIGHT = 0.2, 3.95, 0.25
VALUES_LEFT_OF_AXIS = 0.14
# The word "most" takes the room of some letters.
NAME_LETTERS, LETTERS_BESIDE_MOST = 38, 30
FILL_LINE = {"color": INK, "linestyle": ":", "linewidth": 2.0}
FILE_LINE = {"color": INK, "linestyle": "--", "linewidth": 1.6}


def costliest(threshold):
    """Index of the largest term that can be lowered, not one that is taken over; None where no term costs anything."""
    own = [(term.bar, -n) for n, term in enumerate(threshold.terms) if not term.is_base and term.bar > 0.0]
    return -max(own)[1] if own else None


def advice_figure(aircraft, advice, unit, titled=True):
    """Figure of an Advice, pressures in `unit` gauge. Make and save it inside drawing.style()."""
    title = f"{aircraft.name}: what each threshold is made of" if titled else ""
    blocks = [_block(threshold) for threshold in advice.thresholds.values()]
    rows_in = sum(HEAD + ROW * sum(lines for *_, lines in block) + APART for block in blocks)
    height = title_room(title) + LEGEND + rows_in + AXIS
    figure = sheet(height, title)
    axis = panel(figure, AXIS, rows_in, NAMES_WIDTH, RIGHT)
    axis.set_ylim(rows_in, 0.0)
    axis.set_yticks([])
    axis.spines["left"].set_visible(False)
    fill_bar = aircraft.installed.fill_bar
    ends = [in_unit(bar, unit) for bar in _ends(aircraft, advice)]
    low, high = min(0.0, *ends), max(ends)
    axis.set_xlim(low, high + 0.04 * (high - low))
    axis.xaxis.set_major_locator(MaxNLocator(9, steps=STEPS))
    axis.grid(axis="x", color=RULE, linewidth=0.6)
    axis.set_xlabel(f"{unit} gauge", fontsize=12)
    axis.axvline(in_unit(fill_bar, unit), zorder=1.5, **FILL_LINE)
    top = 0.0
    for threshold, block in zip(advice.thresholds.values(), blocks, strict=True):
        top = _stack(axis, top, threshold, block, aircraft, unit) + APART
    _legend(figure, 1 - (title_room(title) - 0.02) / height, fill_bar, unit)
    return figure


def _block(threshold):
    """[(Term, its name in lines, number of lines)]."""
    most, found = costliest(threshold), []
    for n, term in enumerate(threshold.terms):
        lines = textwrap.wrap(term.name, LETTERS_BESIDE_MOST if n == most else NAME_LETTERS) or [""]
        found.append((term, "\n".join(lines), max(1.0, 0.8 * len(lines))))
    return found


def _ends(aircraft, advice):
    """Every pressure that has to find room on the axis, bar."""
    yield aircraft.installed.fill_bar
    for key, threshold in advice.thresholds.items():
        yield threshold.advised_bar
        yield set_bar(aircraft.settings, key)
        bar = 0.0
        for term in threshold.terms:
            bar += term.bar
            yield bar


def _stack(axis, top, threshold, block, aircraft, unit):
    """Draw one threshold from `top` (inches below the axes' upper edge) down; returns where it ends."""
    ink = THRESHOLD_INK[NAMES[threshold.key]]
    names = axis.get_yaxis_transform()
    width = axis.get_position().width * axis.figure.get_size_inches()[0]
    across, values = (NAMES_LEFT - NAMES_WIDTH) / width, -VALUES_LEFT_OF_AXIS / width
    axis.text(
        across,
        top + HEAD / 2,
        heading(aircraft, threshold, unit),
        transform=names,
        va="center",
        fontsize=11.5,
        fontweight="bold",
        color=ink,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1},
        zorder=3,
    )
    most, end, y = costliest(threshold), 0.0, top + HEAD
    begin_y = y
    for n, (term, name, lines) in enumerate(block):
        middle, bar = y + lines * ROW / 2, in_unit(term.bar, unit)
        axis.text(across, middle, name, transform=names, va="center", fontsize=SMALL, linespacing=1.0)
        axis.barh(middle, bar, 0.66 * ROW, left=end, edgecolor=INK, linewidth=0.9, zorder=2, **_fill(term, n == most))
        how = {"ha": "right", "va": "center", "fontsize": SMALL, "fontweight": "bold" if n == most else "normal"}
        said = ("most  " if n == most else "") + plain(term.bar, unit, 1)
        axis.text(values, middle, said, transform=names, **how)
        end, y = end + bar, y + lines * ROW
        if n + 1 < len(block):
            axis.plot([end, end], [middle, y + ROW / 2], color=INK, linewidth=0.7, zorder=1.8)
    _marks(axis, threshold, begin_y, y, aircraft, unit, ink)
    return y


def heading(aircraft, threshold, unit):
    """The threshold, what is advised and what the file sets, in words."""
    said = f"{NAMES[threshold.key]}: advised {show_pressure(threshold.advised_bar, unit)}"
    if threshold.key in aircraft.advised:
        return f"{said}, which the file takes"
    bar = set_bar(aircraft.settings, threshold.key)
    below = " - LOWER" if bar < threshold.advised_bar - 5e-4 else ""
    return f"{said}; the file sets {show_pressure(bar, unit)}{below}"


def _fill(term, is_most):
    if term.is_base:
        return {"facecolor": TRACK}
    level = "caution" if is_most else "note"
    return {"facecolor": BAND_FILL[level], "hatch": BAND_HATCH[level]}


def _marks(axis, threshold, begin, end, aircraft, unit, ink):
    advised, present = in_unit(threshold.advised_bar, unit), in_unit(set_bar(aircraft.settings, threshold.key), unit)
    axis.plot([advised, advised], [begin, end], color=ink, linewidth=2.4, zorder=1.6)
    axis.plot([advised], [begin], "v", color=ink, markersize=8, zorder=2.5)
    axis.plot([present, present], [begin, end], zorder=1.7, **FILE_LINE)
    axis.plot([present], [end], "D", color=INK, markerfacecolor=PAPER, markersize=6, markeredgewidth=1.6, zorder=2.5)


def _legend(figure, top, fill_bar, unit):
    def box(level, words):
        return Patch(facecolor=BAND_FILL[level], hatch=BAND_HATCH[level], edgecolor=INK, label=words)

    handles = [
        box("note", "a term"),
        box("caution", "the term that costs most"),
        Patch(facecolor=TRACK, edgecolor=INK, label="taken over or measured"),
        Line2D([], [], color=INK, linewidth=2.4, marker="v", markersize=8, label="advised: the sum, rounded up"),
        Line2D([], [], marker="D", markerfacecolor=PAPER, markersize=6, label="set in the file now", **FILE_LINE),
        Line2D([], [], label=f"fill {show_pressure(fill_bar, unit)}", **FILL_LINE),
    ]
    figure.legend(
        handles=handles,
        loc="upper left",
        bbox_to_anchor=(0.012, top),
        ncols=3,
        fontsize=10,
        frameon=False,
        borderaxespad=0.0,
        columnspacing=1.6,
        handlelength=2.2,
    )
