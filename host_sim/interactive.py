"""The picture of a flight for the page: a Plotly figure with one time axis under all lanes.

Sizes are in px, because a lane of text must stay readable on a phone; report.js fits the width and the labels.
"""

from dataclasses import dataclass

import plotly.graph_objects as go

from .inks import INK, PAPER, RULE
from .interactive_lanes import draw_curves, draw_heading, fill_air, fill_gear, fill_strips

HEADING = 30
AIR = 330
GEAR = 120
LEVERS = 100
STRIP = 42
GAP = 14
TOP = 4
BOTTOM = 58
FONT = "system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"


@dataclass
class _Place:
    """A lane: its y axis number, top and bottom in px from the top of the drawing area."""

    what: object
    axis: int
    top: float
    bottom: float
    curves: list


def make_figure(picture):
    """go.Figure of a Picture; `layout.height` is set, the width follows the page."""
    places, height = _places(picture)
    figure = go.Figure()
    area = height - TOP - BOTTOM
    for place in places:
        draw_heading(figure, place, area)
        if place.bottom <= place.top:
            continue
        axis = {
            "domain": [1 - place.bottom / area, 1 - place.top / area],
            "fixedrange": True,
            "zeroline": False,
            "anchor": "x",
            "linecolor": INK,
            "tickfont": {"size": 14},
        }
        if place.what == "air":
            axis.update(fill_air(figure, place, picture))
        elif place.what == "gear":
            axis.update(fill_gear(figure, place, picture))
        elif place.what == "levers":
            draw_curves(figure, place, picture.levers)
            axis.update(
                {"range": [-6, 106], "tickvals": [0, 50, 100], "ticktext": ["0 %", "50 %", "100 %"], "showgrid": False}
            )
        else:
            axis.update(fill_strips(figure, place, picture))
        figure.update_layout({_axis_name(place.axis): axis})
    figure.update_layout(_layout(picture, height))
    return figure


def _places(picture):
    parts = [("air", AIR), ("gear", GEAR)]
    if picture.levers:
        parts.append(("levers", LEVERS))
    parts += [(lane, STRIP * len(lane.strips)) for lane in picture.lanes]
    places, at = [], 0.0
    for n, (what, part) in enumerate(parts, 1):
        curves = _curves_of(what, picture)
        places.append(_Place(what, n, at + HEADING, at + HEADING + part, curves))
        at += HEADING + part + GAP
    return places, at + TOP + BOTTOM


def _curves_of(what, picture):
    return getattr(picture, what) if isinstance(what, str) else []


def _layout(picture, height):
    return {
        "height": height,
        "margin": {"l": 62, "r": 176, "t": TOP, "b": BOTTOM},
        "paper_bgcolor": PAPER,
        "plot_bgcolor": PAPER,
        "font": {"family": FONT, "size": 15, "color": INK},
        "showlegend": False,
        "hovermode": "closest",
        "hoverlabel": {"bgcolor": INK, "font": {"color": PAPER, "size": 15}, "align": "left"},
        "dragmode": "zoom",
        "barmode": "overlay",
        "template": None,
        "xaxis": {
            "range": [0, picture.end_s],
            "anchor": "free",
            "position": 0,
            "title": {"text": "time since power-on, s", "font": {"size": 15}},
            "gridcolor": RULE,
            "linecolor": INK,
            "ticks": "outside",
            "tickfont": {"size": 14},
            "nticks": 8,
            "zeroline": False,
        },
    }


def _axis_name(n):
    return "yaxis" if n == 1 else f"yaxis{n}"
