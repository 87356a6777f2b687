"""Inks of the pictures: dark on white for sunlight, apart for colour-blind eyes, and never told by colour alone.

The colours are of the palette of Okabe and Ito (Color Universal Design, 2008), darkened where small text needs it;
every level also has its own hatch and its word beside it, every line its own width or dash.
"""

PAPER = "#ffffff"
INK = "#111111"
RULE = "#c4c4c4"
TRACK = "#f1f1ee"

BAND_FILL = {"good": "#e3e8ea", "note": "#7fa8c4", "advisory": "#56b4e9", "caution": "#f0b23c", "warning": "#c43c00"}
# Matplotlib hatch, and what the page's drawing library calls the same.
BAND_HATCH = {"good": None, "note": "..", "advisory": None, "caution": "//", "warning": "xx"}
BAND_SHAPE = {"good": "", "note": ".", "advisory": "", "caution": "/", "warning": "x"}

# An ink, or an ink and a dash.
CURVE_INK = {
    "in the tank": "#005a94",
    "reading": (INK, ":"),
    "real gear": "#005a94",
    "pilot's switch": (INK, "--"),
    "command": "#c43c00",
    "throttle": INK,
    "brake": ("#c43c00", "--"),
}
CURVE_WIDTH = {
    "in the tank": 3.2,
    "reading": 1.4,
    "real gear": 3.2,
    "pilot's switch": 1.6,
    "command": 2.2,
    "throttle": 1.8,
    "brake": 2.2,
}
THRESHOLD_INK = {"retract above": "#00674a", "warn below": "#8a5a00", "force below": "#b03000", "lock minimum": INK}
THRESHOLD_DASH = {"retract above": "-.", "warn below": "--", "force below": "-", "lock minimum": ":"}

# What every picture starts from, for matplotlib.
STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": 11,
    "axes.edgecolor": INK,
    "axes.linewidth": 1.0,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    "axes.labelcolor": INK,
}
