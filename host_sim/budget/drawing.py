"""What the pictures of the air budget share: the sheet, its style, labels that keep clear of one another. Inches.

The sheet is narrower than that of a flight, so that its letters stay above 8 points when it is printed across A4.
"""

import io
import warnings
from contextlib import contextmanager

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from ..inks import PAPER, STYLE
from ..levels import spread

WIDTH_IN = 9.5
DPI = 100
LEFT = 0.85
RIGHT = 2.15
TITLE = 0.62
TITLE_POINTS = 16
HEADING = 0.32
LABEL = 0.21
SMALL = 10.5

_STYLE = {
    **STYLE,
    "hatch.linewidth": 1.0,
    # A name is a name, whatever dollar signs it has.
    "text.parse_math": False,
}


@contextmanager
def style():
    """Matplotlib set to the look of these pictures, whatever the user's own settings are, for making and saving them."""
    with matplotlib.rc_context(), warnings.catch_warnings():
        # A letter of a name that the font has not is drawn as a box; that is no reason to write to a pilot's terminal.
        warnings.filterwarnings("ignore", "Glyph .* missing from font")
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_STYLE)
        yield


def png(draw, *data, scale=1):
    """Bytes of the PNG of the Figure that `draw(*data)` makes; the same data give the same bytes. Scale 1 is 950 px."""
    with style():
        written = io.BytesIO()
        draw(*data).savefig(written, format="png", dpi=DPI * scale, facecolor=PAPER, metadata={"Software": None})
    return written.getvalue()


def title_room(title):
    """What a title takes at the top of the sheet; without one, as on a page that has it as its heading, next to none."""
    return TITLE if title else 0.05


def sheet(height, title):
    """A Figure of this height with its title on top, or without one."""
    figure = Figure(figsize=(WIDTH_IN, height), dpi=DPI)
    FigureCanvasAgg(figure)
    if title:
        written = write(figure, 0.2, height - 0.34, title, fontsize=TITLE_POINTS, fontweight="bold")
        width = written.get_window_extent(figure.canvas.get_renderer()).width / figure.dpi
        written.set_fontsize(TITLE_POINTS * min(1.0, (WIDTH_IN - 0.4) / width))
    return figure


def write(figure, left, bottom, text, **how):
    """Text at a place of the sheet, its middle at this height."""
    width, height = figure.get_size_inches()
    return figure.text(left / width, bottom / height, text, va="center", **how)


def panel(figure, bottom, height, left=LEFT, right=RIGHT):
    """Axes at a place of the sheet, open at the top and the right."""
    width, whole = figure.get_size_inches()
    axis = figure.add_axes((left / width, bottom / whole, (width - left - right) / width, height / whole))
    axis.set_facecolor(PAPER)
    for side in ("top", "right"):
        axis.spines[side].set_visible(False)
    axis.set_axisbelow(True)
    return axis


def height_of(axis):
    """Height of axes, inches."""
    return axis.get_position().height * axis.figure.get_size_inches()[1]


def names_beside(axis, named):
    """Names at the right edge of axes, each as near its value as the others allow. `named` [(value, text, ink)]."""
    low, high = axis.get_ylim()
    places = spread([value for value, *_ in named], LABEL / height_of(axis) * (high - low), low, high)
    for (value, text, ink), place in zip(named, places, strict=True):
        axis.annotate(
            text,
            (1.0, value),
            (1.03, place),
            xycoords=("axes fraction", "data"),
            textcoords=("axes fraction", "data"),
            va="center",
            color=ink,
            fontsize=SMALL,
            fontweight="bold",
            arrowprops={"arrowstyle": "-", "color": ink, "shrinkA": 0, "shrinkB": 0},
            annotation_clip=False,
        )


def names_above(axis, named):
    """Upright lines with their names in rows above the axes, the leftmost in the top row. `named` [(x, text, ink, dash)].

    Each name starts at its line and reads to the right, so that no line below it can run through it.
    """
    height = height_of(axis)
    for n, (x, text, ink, dash) in enumerate(sorted(named, reverse=True)):
        row = 1.0 + (0.12 + n * LABEL) / height
        axis.plot(
            [x, x],
            [0.0, row + 0.07 / height],
            color=ink,
            linestyle=dash,
            linewidth=1.6,
            transform=axis.get_xaxis_transform(),
            clip_on=False,
            zorder=1.5,
        )
        label = axis.annotate(
            text,
            (x, row),
            (4, 0),
            xycoords=axis.get_xaxis_transform(),
            textcoords="offset points",
            va="center",
            color=ink,
            fontsize=SMALL,
            fontweight="bold",
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5},
            annotation_clip=False,
        )
        _push_back(label)


def _push_back(label):
    """Move a name to the left by as much as it would stick out of the sheet."""
    figure = label.figure
    over_px = label.get_window_extent(figure.canvas.get_renderer()).x1 - (figure.bbox.x1 - 0.08 * figure.dpi)
    if over_px > 0:
        label.set_position((4 - over_px * 72.0 / figure.dpi, 0))
