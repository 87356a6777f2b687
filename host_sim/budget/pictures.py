"""The pictures of the air budget as PNG bytes; each is drawn by the module named after it."""

import io

import numpy as np
from matplotlib.image import imread, imsave

from ..inks import INK, THRESHOLD_INK
from .advice_picture import advice_figure
from .chances_picture import chances_figure
from .drawing import DPI, png
from .size_picture import size_figure
from .words import plain


def size_png(aircraft, sizing, unit, titled=True, scale=1):
    """PNG of a Sizing: the tank after every stroke, and the time of an extension. `scale` 1 is 950 px wide."""
    return png(size_figure, aircraft, sizing, unit, titled, scale=scale)


def advice_png(aircraft, advice, unit, titled=True, scale=1):
    """PNG of an Advice: every threshold, term by term."""
    return png(advice_figure, aircraft, advice, unit, titled, scale=scale)


def chances_png(aircraft, advice, chances, unit, titled=True, scale=1):
    """PNG of a Chances: how the two chances move with the forcing point."""
    title = f"{aircraft.name}: {chances.n} random days" if titled else ""
    advised_bar, set_bar = advice.thresholds["force_below"].advised_bar, aircraft.settings.force_below_mbar / 1000.0
    marks = [
        (f"advised {plain(advised_bar, unit)}", advised_bar, THRESHOLD_INK["force below"], "-"),
        (f"set in the file {plain(set_bar, unit)}", set_bar, INK, "--"),
    ]
    force_bar = [point.force_below_bar for point in chances.curve]
    failed = [point.failed.triple for point in chances.curve]
    nuisance = [point.nuisance.triple for point in chances.curve]
    return png(chances_figure, title, unit, force_bar, failed, nuisance, marks, scale=scale)


def stacked(*pictures):
    """One PNG of several of the same width, one below the other."""
    sheets = [imread(io.BytesIO(picture)) for picture in pictures]
    written = io.BytesIO()
    imsave(written, np.vstack(sheets), format="png", dpi=DPI, metadata={"Software": None})
    return written.getvalue()
