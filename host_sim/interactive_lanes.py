"""The lanes of the page's picture: what is drawn in each, and what its y axis must be.

A `place` says where a lane is: `axis`, the number of its y axis, `top` and `bottom` in px, `what`, `curves`.
"""

from html import escape

import plotly.graph_objects as go

from .inks import (
    BAND_FILL,
    BAND_SHAPE,
    CURVE_INK,
    CURVE_WIDTH,
    INK,
    RULE,
    THRESHOLD_DASH,
    THRESHOLD_INK,
    TRACK,
)
from .levels import spread
from .picture import TITLES

LABEL_APART = 19
_SAMPLE = {"-": "\u2501\u2501", "--": "\u2505\u2505", ":": "\u2508\u2508"}
_DASH = {"-": "solid", "--": "dash", "-.": "dashdot", ":": "dot"}
# Names of annotations that report.js moves when the page is narrow.
THRESHOLD_NAME = "threshold"


def _y(n):
    return "y" if n == 1 else f"y{n}"


def draw_heading(figure, place, area):
    """The lane's heading, with a sample of each of its curves."""
    title, _, empty = _title(place.what).partition(": ")
    text = f"<b>{title}</b>" + (f": {empty}" if empty else "")
    for curve in place.curves:
        ink, dash = CURVE_INK[curve.name], "-"
        if isinstance(ink, tuple):
            ink, dash = ink
        text += f'  <span style="color:{ink}"><b>{_SAMPLE[dash]}</b> {curve.name}</span>'
    figure.add_annotation(
        text=text,
        x=0,
        xref="paper",
        xanchor="left",
        y=1 - (place.top - 4) / area,
        yref="paper",
        yanchor="bottom",
        showarrow=False,
        font={"size": 15},
        borderpad=0,
        name="heading",
    )


def _title(what):
    return TITLES[what] if isinstance(what, str) else escape(what.title)


def draw_curves(figure, place, curves):
    """The lines of a lane."""
    for curve in curves:
        ink, dash = CURVE_INK[curve.name], "-"
        if isinstance(ink, tuple):
            ink, dash = ink
        line = {
            "color": ink,
            "width": CURVE_WIDTH[curve.name],
            "dash": _DASH[dash],
            "shape": "hv" if curve.steps else "linear",
        }
        figure.add_trace(
            go.Scatter(
                x=_rounded(curve.t_s, 3),
                y=_rounded(curve.values, 4),
                name=curve.name,
                mode="lines",
                line=line,
                hoverinfo="skip",
                yaxis=_y(place.axis),
                connectgaps=False,
            )
        )


def _rounded(values, digits):
    return [None if value is None else round(value, digits) for value in values]


def fill_air(figure, place, picture):
    """Pressure against its thresholds; returns the y axis."""
    low, high = picture.air_range()
    bottom = max(picture.thresholds[-1].value, low)
    _box(figure, place, low, bottom)
    draw_curves(figure, place, picture.air)
    apart = LABEL_APART * (high - low) / (place.bottom - place.top)
    levels = spread([threshold.value for threshold in picture.thresholds], apart, low, high)
    for threshold, level in zip(picture.thresholds, levels, strict=True):
        _threshold(figure, place, threshold, level, picture.digits)
    return {
        "range": [low, high],
        "title": {"text": picture.air_axis, "font": {"size": 15}, "standoff": 6},
        "gridcolor": RULE,
        "nticks": 7,
    }


def _box(figure, place, low, high):
    figure.add_shape(
        type="rect",
        xref="paper",
        x0=0,
        x1=1,
        yref=_y(place.axis),
        y0=low,
        y1=high,
        fillcolor=TRACK,
        line={"width": 0},
        layer="below",
    )


def _threshold(figure, place, threshold, level, digits):
    """A line across the lane, its name in the margin at `level`, and a stroke between the two."""
    ink, y = THRESHOLD_INK[threshold.name], _y(place.axis)
    line = {"color": ink, "width": 2, "dash": _DASH[THRESHOLD_DASH[threshold.name]]}
    at = threshold.value
    figure.add_shape(type="line", xref="paper", x0=0, x1=1, yref=y, y0=at, y1=at, layer="below", line=line)
    stroke = {"color": ink, "width": 1}
    figure.add_shape(type="line", xref="paper", x0=1, x1=1.018, yref=y, y0=at, y1=level, line=stroke)
    figure.add_annotation(
        text=f"<b>{threshold.name} {at:.{digits}f}</b>",
        name=THRESHOLD_NAME,
        x=1,
        xref="paper",
        xanchor="left",
        xshift=14,
        y=level,
        yref=y,
        yanchor="middle",
        showarrow=False,
        borderpad=1,
        font={"size": 14, "color": ink},
        bgcolor="rgba(255,255,255,0.85)",
    )


def fill_gear(figure, place, picture):
    """Real gear as an area, switch and command as lines; returns the y axis."""
    real = picture.gear[0]
    figure.add_trace(
        go.Scatter(
            x=_rounded(real.t_s, 3),
            y=_rounded(real.values, 4),
            mode="lines",
            line={"width": 0},
            fill="tozeroy",
            fillcolor="rgba(0,90,148,0.16)",
            hoverinfo="skip",
            yaxis=_y(place.axis),
        )
    )
    draw_curves(figure, place, picture.gear)
    return {"range": [-0.12, 1.12], "tickvals": [0, 1], "ticktext": ["down", "up"], "showgrid": False}


def fill_strips(figure, place, picture):
    """A row for each strip: its label, its track, its bands; returns the y axis."""
    for i, strip in enumerate(place.what.strips):
        _box(figure, place, i + 0.52, i + 0.94)
        figure.add_annotation(
            text=escape(strip.label),
            x=0,
            xref="paper",
            xanchor="left",
            y=i + 0.26,
            yref=_y(place.axis),
            yanchor="middle",
            showarrow=False,
            font={"size": 14},
            borderpad=0,
            align="left",
            name="strip",
        )
        for level in dict.fromkeys(band.level for band in strip.bands):
            _bars(figure, place, i, [band for band in strip.bands if band.level == level], level)
    return {"range": [len(place.what.strips), 0], "visible": False}


def _bars(figure, place, row, bands, level):
    figure.add_trace(
        go.Bar(
            orientation="h",
            base=[round(band.t0_s, 3) for band in bands],
            x=[max(round(band.t1_s - band.t0_s, 3), 1e-3) for band in bands],
            y=[row + 0.73] * len(bands),
            width=0.42,
            marker={
                "color": BAND_FILL[level],
                "line": {"color": INK, "width": 1},
                "pattern": {
                    "shape": BAND_SHAPE[level],
                    "fgcolor": INK,
                    "size": 7,
                    "solidity": 0.25,
                    "fillmode": "overlay",
                },
            },
            customdata=[[band.word, f"{band.t0_s:.2f}", f"{band.t1_s:.2f}"] for band in bands],
            hovertemplate="%{customdata[0]}<br>%{customdata[1]} s to %{customdata[2]} s<extra></extra>",
            yaxis=_y(place.axis),
        )
    )
