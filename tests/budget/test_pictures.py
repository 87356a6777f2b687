"""Pictures of the air budget: true to the data in every unit, no label cut or on another, the same bytes twice."""

import io
import itertools
import struct
from dataclasses import replace

import matplotlib
import numpy as np
import pytest
from matplotlib.image import imread
from matplotlib.patches import Rectangle, StepPatch
from matplotlib.text import Annotation, Text

from host_sim.budget.advice_picture import advice_figure, costliest
from host_sim.budget.chances_picture import chances_figure
from host_sim.budget.drawing import names_above, names_beside, panel, sheet, style
from host_sim.budget.pages import write_advice_picture, write_size_picture
from host_sim.budget.pictures import advice_png, size_png, stacked
from host_sim.budget.size_picture import size_figure, time_curve
from host_sim.budget.terms import Term, Threshold

from .odd_aircraft import advice, aircraft, sizing

# NIST SP 811 (2008), appendix B: 1 psi = 6894.757 Pa.
PER_BAR = {"bar": 1.0, "psi": 1e5 / 6894.757, "kPa": 100.0}
DIGITS = {"bar": 2, "psi": 1, "kPa": 0}
NAMES = ("curlew", "tern", "one leg")
EVERY = [(name, unit) for name in NAMES for unit in PER_BAR]


def shown(bar, unit, more=0):
    """A pressure as it is to be written."""
    return f"{bar * PER_BAR[unit]:.{DIGITS[unit] + more}f}"


def _ticks_out_of_view(figure):
    """Texts that Matplotlib makes for ticks beyond the axis, and draws nowhere."""
    hidden = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in [*axis.get_major_ticks(), *axis.get_minor_ticks()]:
                if not low <= tick.get_loc() <= high:
                    hidden |= {tick.label1, tick.label2}
    return hidden


def texts_of(figure):
    """[(text, box in pixels)] of all that is written."""
    figure.canvas.draw()
    hidden = _ticks_out_of_view(figure)
    renderer = figure.canvas.get_renderer()
    found = []
    for text in figure.findobj(Text):
        if text.get_text().strip() and text.get_visible() and text not in hidden:
            # Of an annotation the letters alone, without its line.
            box = Text.get_window_extent(text, renderer) if isinstance(text, Annotation) else None
            found.append((text.get_text(), box or text.get_window_extent(renderer)))
    return found


def faults_of(figure):
    """Sentences on texts that are cut by the sheet's edge or lie on one another."""
    written = texts_of(figure)
    width, height = figure.bbox.width, figure.bbox.height
    faults = [f"cut: {text}" for text, box in written if box.x0 < 0 or box.y0 < 0 or box.x1 > width or box.y1 > height]
    for (one, a), (other, b) in itertools.combinations(written, 2):
        if min(a.x1, b.x1) - max(a.x0, b.x0) > 1.0 and min(a.y1, b.y1) - max(a.y0, b.y0) > 1.5:
            faults.append(f"overlap: {one} / {other}")
    return faults


def test_the_check_of_labels_sees_what_is_cut_and_what_overlaps():
    with style():
        figure = sheet(2.0, "Title")
        figure.text(0.5, 0.5, "one")
        figure.text(0.505, 0.52, "other")
        figure.text(0.98, 0.2, "cut off")
        faults = faults_of(figure)
    assert faults == ["cut: cut off", "overlap: one / other"]


@pytest.mark.deep
@pytest.mark.parametrize(("name", "unit"), EVERY)
def test_labels_of_both_pictures_are_whole_and_apart(name, unit):
    with style():
        assert faults_of(size_figure(aircraft(name), sizing(name), unit)) == []
        assert faults_of(advice_figure(aircraft(name), advice(name), unit)) == []


@pytest.mark.deep
def test_pictures_without_a_title_for_a_page():
    with style():
        size_one = size_figure(aircraft("curlew"), sizing("curlew"), "bar", titled=False)
        advice_one = advice_figure(aircraft("curlew"), advice("curlew"), "bar", titled=False)
        for figure in (size_one, advice_one):
            assert faults_of(figure) == []
            assert not [text for text, _ in texts_of(figure) if "Curlew" in text]


def test_the_longest_name_is_whole():
    craft = replace(aircraft("curlew"), name="W" * 60)
    with style():
        assert faults_of(advice_figure(craft, advice("curlew"), "bar")) == []


def test_a_name_of_any_letters_is_no_formula_and_no_warning():
    craft = replace(aircraft("curlew"), name="$x_{$ \\frac \u98db\u884c")
    assert advice_png(craft, advice("curlew"), "bar").startswith(b"\x89PNG")
    with style():
        figure = advice_figure(craft, advice("curlew"), "bar")
        assert any(text.startswith(craft.name) for text, _ in texts_of(figure))


@pytest.mark.parametrize("unit", PER_BAR)
def test_staircase_is_the_table_of_strokes(unit):
    data, per_bar = sizing("tern"), PER_BAR[unit]
    with style():
        tank, times = size_figure(aircraft("tern"), data, unit).axes
    settled, cold = (patch.get_data().values for patch in tank.patches if isinstance(patch, StepPatch))
    fill = data.installed.fill_bar
    np.testing.assert_allclose(settled, [bar * per_bar for bar in (fill, *(r.settled_bar for r in data.rows))], 1e-6)
    np.testing.assert_allclose(cold, [bar * per_bar for bar in (fill, *(r.cold_bar for r in data.rows))], 1e-6)
    flown = next(line for line in tank.get_lines() if line.get_label() == "simulated")
    wanted = [bar * per_bar for row in data.rows for bar in (row.settled_plant_bar, row.cold_plant_bar)]
    np.testing.assert_allclose(flown.get_ydata(), wanted, 1e-6)
    levels = sorted(line.get_ydata()[0] for line in tank.get_lines() if line is not flown)
    np.testing.assert_allclose(levels, sorted(bar * per_bar for bar in data.thresholds.values()), 1e-6)
    assert tank.get_ylabel() == f"{unit} gauge"
    assert times.get_xlabel().endswith(f"{unit} gauge")


@pytest.mark.parametrize(("name", "unit"), [("curlew", "psi"), ("tern", "kPa")])
def test_size_picture_names_thresholds_strokes_and_where_nothing_locks(name, unit):
    data = sizing(name)
    with style():
        written = [text for text, _ in texts_of(size_figure(aircraft(name), data, unit))]
    words = {"retract_above": "retract above", "warn_below": "warn below", "force_below": "force below"}
    words["lock_min"] = "lock minimum"
    for key, word in words.items():
        assert f"{word} {shown(data.thresholds[key], unit)}" in written
    for row in data.rows:
        assert f"{row.number}\n{row.stroke}" in written
        assert shown(row.settled_bar, unit) in written and shown(row.cold_bar, unit) in written
    assert f"below {shown(data.lock_plant_bar, unit)} it does not lock against the air load" in written
    assert f"full air load {data.times[-1][1]:.2f} s" in written and f"still air {data.times[-1][2]:.2f} s" in written


def test_many_strokes_are_named_upright_and_leave_their_pressures_to_the_table():
    data = sizing("one leg")
    assert len(data.rows) >= 9
    with style():
        tank = size_figure(aircraft("one leg"), data, "bar").axes[0]
    labels = tank.get_xticklabels()
    assert [label.get_text() for label in labels] == ["fill"] + [f"{row.number} {row.stroke}" for row in data.rows]
    assert {label.get_rotation() for label in labels} == {90.0}
    assert not [text for text in tank.texts if text.get_text() == shown(data.rows[3].settled_bar, "bar")]


def test_curves_begin_where_the_gear_just_locks_and_pass_through_the_table():
    data = sizing("curlew")
    loaded = [(bar, seconds) for bar, seconds, _ in data.times]
    curve = time_curve(data.air, data.air.design_q_pa, loaded, data.lock_plant_bar)
    assert curve[0][0] == data.lock_plant_bar
    assert set(loaded) <= set(curve)
    seconds = [s for _, s in curve]
    assert seconds == sorted(seconds, reverse=True)
    assert time_curve(data.air, 0.0, [(1.0, None)], None) == []


def test_gear_that_never_locks_against_the_air_load_is_drawn_and_said():
    data = sizing("curlew")
    rows = [replace(data.rows[0], settled_plant_bar=None, cold_plant_bar=None, time_s=None)]
    data = replace(data, rows=rows, lock_plant_bar=None, times=[(bar, None, still) for bar, _, still in data.times])
    with style():
        figure = size_figure(aircraft("curlew"), data, "bar")
        assert faults_of(figure) == []
        written = [text for text, _ in texts_of(figure)]
    assert "against the full air load it never locks" in written
    assert not [text for text in written if text.startswith("full air load") or text == "simulated"]


def test_a_fill_that_allows_no_retraction_is_drawn():
    with style():
        figure = size_figure(aircraft("curlew"), replace(sizing("curlew"), rows=[]), "kPa")
        assert faults_of(figure) == []
    assert [label.get_text() for label in figure.axes[0].get_xticklabels()] == ["fill"]


@pytest.mark.parametrize(("name", "unit"), [("curlew", "bar"), ("tern", "kPa"), ("one leg", "psi"), ("low", "psi")])
def test_stacks_are_the_terms_one_after_the_other(name, unit):
    data, per_bar = advice(name), PER_BAR[unit]
    with style():
        (axes,) = advice_figure(aircraft(name), data, unit).axes
    bars = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    wanted, hatches = [], []
    for threshold in data.thresholds.values():
        end = 0.0
        for n, term in enumerate(threshold.terms):
            wanted.append((end * per_bar, term.bar * per_bar))
            end += term.bar
            hatches.append(None if term.is_base else "//" if n == costliest(threshold) else "..")
        assert end == pytest.approx(threshold.sum_bar)
    np.testing.assert_allclose([(bar.get_x(), bar.get_width()) for bar in bars], wanted, atol=1e-4 * per_bar)
    assert [bar.get_hatch() for bar in bars] == hatches
    assert axes.get_xlabel() == f"{unit} gauge"


@pytest.mark.parametrize(("name", "unit"), [("curlew", "bar"), ("tern", "psi"), ("one leg", "kPa"), ("low", "bar")])
def test_stacks_say_each_value_the_advice_the_file_and_the_fill(name, unit):
    data, craft = advice(name), aircraft(name)
    with style():
        figure = advice_figure(craft, data, unit)
        written = [text for text, _ in texts_of(figure)]
    (axes,) = figure.axes
    for key, threshold in data.thresholds.items():
        for n, term in enumerate(threshold.terms):
            assert (f"most  {shown(term.bar, unit, 1)}" if n == costliest(threshold) else shown(term.bar, unit, 1)) in (
                written
            )
        (said,) = [text for text in written if f"advised {shown(threshold.advised_bar, unit)} {unit} gauge" in text]
        set_bar = getattr(craft.settings, f"{key}_mbar") / 1000.0
        taken = "which the file takes" if key in craft.advised else f"the file sets {shown(set_bar, unit)} {unit} gauge"
        assert taken in said
        assert said.endswith("LOWER") == (name == "low" and key == "lock_min")
        marked = [line.get_xdata()[0] for line in axes.get_lines() if len(line.get_xdata()) == 1]
        for bar in (threshold.advised_bar, set_bar):
            assert any(abs(at - bar * PER_BAR[unit]) < 2e-3 * PER_BAR[unit] for at in marked)
    assert f"fill {shown(craft.installed.fill_bar, unit)} {unit} gauge" in written


def test_costliest_is_the_largest_term_of_the_thresholds_own():
    terms = (
        Term("forcing point", 4.0, is_base=True),
        Term("small", 0.1),
        Term("large", 0.3),
        Term("less than none", -0.2),
    )
    assert costliest(Threshold("retract_above", terms, 4.2)) == 2
    assert (
        costliest(Threshold("retract_above", (Term("forcing point", 4.0, is_base=True), Term("none", 0.0)), 4.0))
        is None
    )


FORCE_BAR = [3.6, 3.9, 4.2, 4.5]
FAILED = [(0.4, 0.3, 0.5), (0.02, 0.01, 0.04), (0.0, 0.0, 0.004), (0.0, 0.0, 0.004)]
NUISANCE = [(0.0, 0.0, 0.004), (0.0, 0.0, 0.004), (0.001, 0.0002, 0.005), (0.3, 0.2, 0.4)]
MARKS = [("advised 4.20", 4.2, "#b03000", "-"), ("set in the file 4.49", 4.49, "#111111", "--")]


@pytest.mark.parametrize("unit", PER_BAR)
def test_chances_are_drawn_where_they_are_and_none_seen_is_an_open_mark_at_its_bound(unit):
    with style():
        figure = chances_figure("Title", unit, FORCE_BAR, FAILED, NUISANCE, MARKS)
        assert faults_of(figure) == []
    (axes,) = figure.axes
    lines = {line.get_label(): line for line in axes.get_lines()}
    width = axes.get_xlim()[1] - axes.get_xlim()[0]
    for label, chances in (
        ("does not lock, of forced extensions", FAILED),
        ("forced without need, of days", NUISANCE),
    ):
        seen = [(bar * PER_BAR[unit], one[0]) for bar, one in zip(FORCE_BAR, chances, strict=True) if one[0] > 0.0]
        np.testing.assert_allclose(lines[label].get_xdata(), [x for x, _ in seen], atol=0.01 * width)
        np.testing.assert_allclose(lines[label].get_ydata(), [y for _, y in seen])
    opened = [line for line in axes.get_lines() if line.get_markerfacecolor() == "#ffffff" and len(line.get_xdata())]
    assert [line.get_ydata()[0] for line in opened] == [0.004] * 4
    assert axes.get_xlabel() == f"force below, {unit} gauge"


def test_chances_of_one_point_without_marks_or_events():
    with style():
        assert faults_of(chances_figure("Title", "bar", [4.2], [(0.0, 0.0, 1.0)], [(0.0, 0.0, 0.01)])) == []


def test_chances_need_one_of_each_kind_for_every_point():
    with style(), pytest.raises(ValueError, match="belongs to every forcing point"):
        chances_figure("Title", "bar", FORCE_BAR, FAILED[:3], NUISANCE)


def test_names_near_one_another_are_moved_apart_and_kept_on_the_sheet():
    with style():
        figure = sheet(3.0, "Title")
        axis = panel(figure, 0.5, 1.2)
        axis.set_xlim(0, 10)
        axis.set_ylim(0, 10)
        names_beside(axis, [(5.0, "one", "k"), (5.0, "two", "k"), (5.1, "three", "k")])
        names_above(axis, [(9.8, "a name that is far too long for where it begins", "k", "-"), (9.7, "b", "k", "-")])
        assert faults_of(figure) == []


@pytest.mark.deep
def test_pictures_are_the_same_twice_whatever_the_users_own_look_is(tmp_path):
    craft = aircraft("curlew")
    write_size_picture(tmp_path / "size.png", craft, sizing("curlew"), "psi")
    write_advice_picture(tmp_path / "advice.png", craft, advice("curlew"), "psi")
    with matplotlib.rc_context({"font.size": 30, "xtick.direction": "in", "axes.labelpad": 20}):
        assert (tmp_path / "size.png").read_bytes() == size_png(craft, sizing("curlew"), "psi")
        assert (tmp_path / "advice.png").read_bytes() == advice_png(craft, advice("curlew"), "psi")
    assert matplotlib.rcParams["font.size"] != 11
    assert size_png(craft, sizing("curlew"), "psi") != size_png(craft, sizing("curlew"), "bar")


def test_pictures_have_their_size_and_one_stands_below_the_other():
    craft = aircraft("curlew")
    one, two = advice_png(craft, advice("curlew"), "bar"), advice_png(craft, advice("curlew"), "psi", titled=False)
    both = stacked(one, two)
    (_, high), (_, low) = _size(one), _size(two)
    assert _size(both) == (950, high + low)
    assert _size(advice_png(craft, advice("curlew"), "bar", scale=2))[0] == 1900
    pixels = imread(io.BytesIO(both))
    np.testing.assert_allclose(pixels[high:, :, :3], imread(io.BytesIO(two))[:, :, :3], atol=0.01)


def _size(png):
    return struct.unpack(">II", png[16:24])
