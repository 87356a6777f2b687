"""The picture of a flight for the page: a Plotly figure with one time axis under all lanes.

Sizes are in px, because a lane of text must stay readable on a phone; report.js fits the width and the labels.
"""

from dataclasses import dataclass
from html import escape

import plotly.graph_objects as go

from .inks import (
    BAND_FILL,
    BAND_SHAPE,
    CURVE_INK,
    CURVE_WIDTH,
    INK,
    PAPER,
    RULE,
    THRESHOLD_DASH,
    THRESHOLD_INK,
    TRACK,
)
from .levels import spread
from .picture import TITLES

HEADING = 30
AIR = 330
GEAR = 120
LEVERS = 100
STRIP = 42
GAP = 14
TOP = 4
BOTTOM = 58
LABEL_APART = 19
FONT = "system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"
_SAMPLE = {"-": "\u2501\u2501", "--": "\u2505\u2505", ":": "\u2508\u2508"}
_DASH = {"-": "solid", "--": "dash", "-.": "dashdot", ":": "dot"}
# Names of annotations that report.js moves when the page is narrow.
THRESHOLD_NAME = "threshold"


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
        _heading(figure, place, area)
        if place.bottom <= place.top:
            continue
        axis = {"domain": [1 - place.bottom / area, 1 - place.top / area], "fixedrange": True, "zeroline": False,
                "anchor": "x", "linecolor": INK, "tickfont": {"size": 14}}
        if place.what == "air":
            axis.update(_air(figure, place, picture))
        elif place.what == "gear":
            axis.update(_gear(figure, place, picture))
        elif place.what == "levers":
            _curves(figure, place, picture.levers)
            axis.update({"range": [-6, 106], "tickvals": [0, 50, 100], "ticktext": ["0 %", "50 %", "100 %"], "showgrid": False})
        else:
            axis.update(_strips(figure, place, picture))
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


def _y(n):
    return "y" if n == 1 else f"y{n}"


def _heading(figure, place, area):
    title, _, empty = _title(place.what).partition(": ")
    text = f"<b>{title}</b>" + (f": {empty}" if empty else "")
    for curve in place.curves:
        ink, dash = CURVE_INK[curve.name], "-"
        if isinstance(ink, tuple):
            ink, dash = ink
        text += f'  <span style="color:{ink}"><b>{_SAMPLE[dash]}</b> {curve.name}</span>'
    figure.add_annotation(text=text, x=0, xref="paper", xanchor="left", y=1 - (place.top - 4) / area, yref="paper",
                          yanchor="bottom", showarrow=False, font={"size": 15}, borderpad=0, name="heading")


def _title(what):
    return TITLES[what] if isinstance(what, str) else escape(what.title)


def _curves(figure, place, curves):
    for curve in curves:
        ink, dash = CURVE_INK[curve.name], "-"
        if isinstance(ink, tuple):
            ink, dash = ink
        line = {"color": ink, "width": CURVE_WIDTH[curve.name], "dash": _DASH[dash],
                "shape": "hv" if curve.steps else "linear"}
        figure.add_trace(go.Scatter(x=_rounded(curve.t_s, 3), y=_rounded(curve.values, 4), name=curve.name, mode="lines",
                                    line=line, hoverinfo="skip", yaxis=_y(place.axis), connectgaps=False))


def _rounded(values, digits):
    return [None if value is None else round(value, digits) for value in values]


def _air(figure, place, picture):
    low, high = picture.air_range()
    bottom = picture.thresholds[-1].value
    figure.add_shape(type="rect", xref="paper", x0=0, x1=1, yref=_y(place.axis), y0=low, y1=max(bottom, low),
                     fillcolor=TRACK, line={"width": 0}, layer="below")
    _curves(figure, place, picture.air)
    apart = LABEL_APART * (high - low) / (place.bottom - place.top)
    levels = spread([threshold.value for threshold in picture.thresholds], apart, low, high)
    for threshold, level in zip(picture.thresholds, levels, strict=True):
        ink = THRESHOLD_INK[threshold.name]
        figure.add_shape(type="line", xref="paper", x0=0, x1=1, yref=_y(place.axis), y0=threshold.value,
                         y1=threshold.value, layer="below",
                         line={"color": ink, "width": 2, "dash": _DASH[THRESHOLD_DASH[threshold.name]]})
        text = f"<b>{threshold.name} {threshold.value:.{picture.digits}f}</b>"
        figure.add_annotation(text=text, name=THRESHOLD_NAME, x=1, xref="paper", xanchor="left", xshift=14, y=level,
                              yref=_y(place.axis), yanchor="middle", showarrow=False, borderpad=1,
                              font={"size": 14, "color": ink}, bgcolor="rgba(255,255,255,0.85)")
        figure.add_shape(type="line", xref="paper", x0=1, x1=1.018, yref=_y(place.axis), y0=threshold.value, y1=level,
                         line={"color": ink, "width": 1})
    return {"range": [low, high], "title": {"text": picture.air_axis, "font": {"size": 15}, "standoff": 6},
            "gridcolor": RULE, "nticks": 7}


def _gear(figure, place, picture):
    real = picture.gear[0]
    figure.add_trace(go.Scatter(x=_rounded(real.t_s, 3), y=_rounded(real.values, 4), mode="lines", line={"width": 0},
                                fill="tozeroy", fillcolor="rgba(0,90,148,0.16)", hoverinfo="skip",
                                yaxis=_y(place.axis)))
    _curves(figure, place, picture.gear)
    return {"range": [-0.12, 1.12], "tickvals": [0, 1], "ticktext": ["down", "up"], "showgrid": False}


def _strips(figure, place, picture):
    for i, strip in enumerate(place.what.strips):
        figure.add_shape(type="rect", xref="paper", x0=0, x1=1, yref=_y(place.axis), y0=i + 0.52, y1=i + 0.94,
                         fillcolor=TRACK, line={"width": 0}, layer="below")
        figure.add_annotation(text=escape(strip.label), x=0, xref="paper", xanchor="left", y=i + 0.26, yref=_y(place.axis),
                              yanchor="middle", showarrow=False, font={"size": 14}, borderpad=0, align="left",
                              name="strip")
        for level in dict.fromkeys(band.level for band in strip.bands):
            _bars(figure, place, i, [band for band in strip.bands if band.level == level], level)
    return {"range": [len(place.what.strips), 0], "visible": False}


def _bars(figure, place, row, bands, level):
    figure.add_trace(go.Bar(
        orientation="h",
        base=[round(band.t0_s, 3) for band in bands],
        x=[max(round(band.t1_s - band.t0_s, 3), 1e-3) for band in bands],
        y=[row + 0.73] * len(bands),
        width=0.42,
        marker={"color": BAND_FILL[level], "line": {"color": INK, "width": 1},
                "pattern": {"shape": BAND_SHAPE[level], "fgcolor": INK, "size": 7, "solidity": 0.25,
                            "fillmode": "overlay"}},
        customdata=[[band.word, f"{band.t0_s:.2f}", f"{band.t1_s:.2f}"] for band in bands],
        hovertemplate="%{customdata[0]}<br>%{customdata[1]} s to %{customdata[2]} s<extra></extra>",
        yaxis=_y(place.axis),
    ))
