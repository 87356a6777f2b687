"""The picture of a flight: lanes, axes and thresholds in the user's unit, true to the trace, the same twice."""

import math
import struct
from itertools import pairwise

import pytest

from host_sim.events import Row
from host_sim.flight import fly
from host_sim.inks import BAND_FILL, BAND_HATCH, CURVE_INK, PAPER, THRESHOLD_DASH, THRESHOLD_INK
from host_sim.interactive import make_figure
from host_sim.levels import spread
from host_sim.picture import bands, make_picture
from host_sim.plots import draw, write_plot
from host_sim.points import steps, thin
from host_sim.scenario import SCENARIO_DIR, load_scenario

PSI_PER_BAR = 1e5 / 6894.757  # NIST SP 811 (2008), appendix B


def test_figure_axes_lanes_and_thresholds(leak):
    figure = make_figure(leak.picture)
    assert figure.layout.yaxis.title.text == "psi gauge"
    assert {trace.xaxis for trace in figure.data} == {None}  # all on the one time axis
    low, high = figure.layout.yaxis.range
    settings = leak.scenario.aircraft.settings
    notes = [note.text for note in figure.layout.annotations if note.name == "threshold"]
    wanted = {"retract above": settings.retract_above_mbar, "warn below": settings.warn_below_mbar,
              "force below": settings.force_below_mbar, "lock minimum": settings.lock_min_mbar}  # fmt: skip
    assert notes == [f"<b>{name} {mbar / 1000 * PSI_PER_BAR:.1f}</b>" for name, mbar in wanted.items()]
    assert all(low < mbar / 1000 * PSI_PER_BAR < high for mbar in wanted.values())
    headings = [note.text for note in figure.layout.annotations if note.name == "heading"]
    order = ["Air in the tank", "Gear", "Levers", "Link", "What breaks", "Gear held down by", "Alerts", "Landing light"]
    assert [next(i for i, text in enumerate(headings) if f"<b>{name}</b>" in text) for name in order] == list(range(8))


def test_plot_has_the_lanes_of_the_page_in_their_order(leak):
    figure = draw(leak.picture)
    texts = [(text.get_position()[1], text.get_text()) for text in figure.texts]
    assert texts == sorted(texts, key=lambda item: -item[0])
    assert [text for _, text in texts][:4] == [leak.scenario.title, "Air in the tank", "Gear", "Levers"]
    air = figure.axes[0]
    assert air.get_ylabel() == "psi gauge"
    rows = [Row(*row) for row in leak.trace.rows]
    drawn = air.get_lines()[0]
    worst = max(
        abs(_at(drawn.get_xdata(), drawn.get_ydata(), row.t_s) - row.tank_bar * PSI_PER_BAR) for row in rows[::25]
    )
    assert worst < 0.2


def _at(times, values, t):
    after = next(i for i, time in enumerate(times) if time >= t)
    if times[after] == t or after == 0:
        return values[after]
    part = (t - times[after - 1]) / (times[after] - times[after - 1])
    return values[after - 1] + part * (values[after] - values[after - 1])


def test_bands_are_those_of_the_trace(leak):
    lanes = {lane.heading: lane for lane in leak.picture.lanes}
    (cause,) = lanes["Gear held down by"].strips
    rows = [Row(*row) for row in leak.trace.rows]
    assert cause.label == "low air"
    assert cause.bands[0].t0_s == next(row.t_s for row in rows if row.causes == "low air")
    labels = [strip.label for strip in lanes["Alerts"].strips]
    assert labels[:2] == ["warning: gear forced down", "caution: air low"]
    assert lanes["What breaks"].strips[0].label.startswith("slow leak (hole ")
    assert lanes["Landing light"].title == "Landing light: off all the time"


def test_png_is_1200_wide_and_the_same_twice(leak, tmp_path):
    write_plot(leak.picture, tmp_path / "a.png")
    write_plot(leak.picture, tmp_path / "b.png")
    data = (tmp_path / "a.png").read_bytes()
    assert data == (tmp_path / "b.png").read_bytes()
    assert struct.unpack(">I", data[16:20]) == (1200,)


def _luminance(colour):
    """WCAG 2.2 relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one, other):
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_inks_can_be_read_in_sunlight():
    inks = [ink if isinstance(ink, str) else ink[0] for ink in CURVE_INK.values()]
    # 4.5 is what WCAG 2.2 asks of text at level AA.
    assert min(_contrast(ink, PAPER) for ink in [*inks, *THRESHOLD_INK.values()]) >= 4.5
    assert len(set(THRESHOLD_DASH.values())) == len(THRESHOLD_DASH)
    severities = ("advisory", "caution", "warning")
    assert len({BAND_HATCH[level] for level in severities}) == len({BAND_FILL[level] for level in severities}) == 3


@pytest.mark.parametrize("tolerance", [0.0, 0.01, 0.2])
def test_thinned_curve_stays_within_its_tolerance(tolerance):
    times = [i * 0.02 for i in range(400)]
    values = [math.sin(t) + (0.5 if t > 3 else 0.0) for t in times]
    kept_t, kept_v = thin(times, values, tolerance)
    assert kept_t[0] == times[0] and kept_t[-1] == times[-1]
    assert max(abs(_at(kept_t, kept_v, t) - v) for t, v in zip(times, values, strict=True)) <= tolerance + 1e-9
    if tolerance:
        assert len(kept_t) < 150


def test_thinned_curve_keeps_its_gaps():
    times, values = thin([0, 1, 2, 3, 4, 5, 6], [1, 1, 1, None, None, 2, 2], 0.1)
    assert (times, values) == ([0, 2, 3, 5, 6], [1, 1, None, 2, 2])


def test_steps_keep_changes_and_ends():
    assert steps([0, 1, 2, 3, 4], ["a", "a", "b", "b", "b"]) == ([0, 2, 4], ["a", "b", "b"])


def test_bands_end_where_the_word_ends():
    class Cell:
        def __init__(self, t_s, word):
            self.t_s, self.word = t_s, word

    rows = [Cell(t, word) for t, word in enumerate("aabba")]
    found = bands(rows, lambda row: row.word, {"b": "note"})
    assert [(band.t0_s, band.t1_s) for band in found] == [(2, 4)]
    assert [(band.t0_s, band.t1_s) for band in bands(rows, lambda row: row.word, {"a": "note"})] == [(0, 2), (4, 4)]


def test_nothing_is_drawn_of_a_controller_that_boots():
    scenario = load_scenario(SCENARIO_DIR / "reset_with_gear_up.yaml")
    trace = fly(scenario)
    ((reset_s, _),) = trace.resets
    t_s = trace.column("t_s")
    first_s = next(b for a, b in pairwise(t_s) if a <= reset_s < b)
    made = make_picture("", trace, scenario.aircraft.settings, "bar")
    real, switch, command = made.gear
    at = command.values.index(None)
    assert command.values[at - 1 : at + 2] == [1.0, None, 0.0]
    assert command.t_s[at] == pytest.approx(reset_s, abs=0.03) and command.t_s[at + 1] == first_s
    assert None not in real.values and None not in switch.values
    assert None in made.air[1].values and None not in made.air[0].values
    for lane in made.lanes:
        if lane.heading in ("Link", "Alerts", "Landing light"):
            for strip in lane.strips:
                assert all(band.t1_s <= reset_s or band.t0_s >= first_s for band in strip.bands)
    (link,) = made.lanes[0].strips
    assert link.label == "pale: good, crossed: lost, none: the controller boots"


def test_labels_are_spread_in_order_and_near():
    places = spread([5.0, 5.1, 5.2, 9.0], 0.5, 0.0, 10.0)
    assert places == pytest.approx([4.6, 5.1, 5.6, 9.0])
    low = spread([0.0, 0.1], 1.0, 0.0, 10.0)
    assert low == pytest.approx([0.0, 1.0])
    assert spread([3.0, 1.0], 0.5, 0.0, 10.0) == [3.0, 1.0]
