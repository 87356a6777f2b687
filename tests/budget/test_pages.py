"""Printable pages of the air budget: whole and closed in themselves, every number of the data on them, names escaped."""

import base64
import html.parser
import re
from dataclasses import replace
from functools import cache

import pytest

from host_sim.budget.calibration import Calibration
from host_sim.budget.chances import Chances, CurvePoint, Worst, share
from host_sim.budget.fitted import Fitted
from host_sim.budget.pages import (
    advice_html,
    size_html,
    write_advice_page,
    write_advice_picture,
    write_size_page,
)
from host_sim.budget.pictures import advice_png, chances_png, stacked
from host_sim.budget.use import read_use

from .odd_aircraft import HOSTILE, REASON, advice, aircraft, sizing

# NIST SP 811 (2008), appendix B: 1 psi = 6894.757 Pa.
PER_BAR = {"bar": 1.0, "psi": 1e5 / 6894.757, "kPa": 100.0}
DIGITS = {"bar": 2, "psi": 1, "kPa": 0}
WORDS = {
    "lock_min": "lock minimum",
    "force_below": "force below",
    "warn_below": "warn below",
    "retract_above": "retract above",
}
VOID = ("meta", "img", "br", "link", "input", "hr")


def number(bar, unit, more=0):
    """A pressure as it is to be written, without its unit."""
    return f"{bar * PER_BAR[unit]:.{DIGITS[unit] + more}f}"


def signed(bar, unit):
    """A difference with its sign; nothing is +0."""
    digits = DIGITS[unit] + 1
    return f"{round(bar * PER_BAR[unit], digits) + 0.0:+.{digits}f}"


def gauge(bar, unit):
    """A pressure as it is to be written."""
    return f"{number(bar, unit)} {unit} gauge"


class Page(html.parser.HTMLParser):
    """Elements, text, and tables {caption: rows of cells} of a page; `faults` tags that do not match."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.words, self.styles, self.tables, self.faults = [], [], [], {}, []
        self._open, self._rows, self._caption, self._cell = [], [], "", None
        self.feed(text)
        self.close()
        self.faults += [f"never closed: {tag}" for tag in self._open]
        self.text = " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)
        if tag == "table":
            self._rows, self._caption = [], ""
        elif tag == "tr":
            self._rows.append([])
        elif tag in ("td", "th", "caption"):
            self._cell = ""

    def handle_endtag(self, tag):
        if not self._open or self._open.pop() != tag:
            self.faults.append(f"closed where it is not open: {tag}")
        if tag in ("td", "th"):
            self._rows[-1].append(self._cell)
        elif tag == "caption":
            self._caption = self._cell
        elif tag == "table":
            self.tables[self._caption] = self._rows
        if tag in ("td", "th", "caption"):
            self._cell = None

    def handle_data(self, data):
        if self._open and self._open[-1] == "style":
            self.styles.append(data)
            return
        self.words.append(data)
        if self._cell is not None:
            self._cell += data

    def all(self, tag):
        """Attributes of every element of a kind."""
        return [attrs for name, attrs in self.elements if name == tag]


@cache
def size_page(name, unit):
    """Page of a sizing."""
    return Page(size_html(aircraft(name), sizing(name), unit))


@cache
def advice_page(name, unit, with_chances=False):
    """Page of an advice, where asked with made_chances()."""
    return Page(advice_html(aircraft(name), advice(name), unit, made_chances() if with_chances else None))


def made_chances():
    """Chances of 400 invented days."""
    curve = (
        CurvePoint(3.2, False, True, share(120, 400), share(0, 400)),
        CurvePoint(4.2, True, True, share(0, 390), share(2, 400)),
        CurvePoint(4.9, False, False, share(0, 0), share(400, 400)),
    )
    return Chances(
        n=400,
        seed=7,
        distribution="Invented <distribution>.",
        thresholds={"force_below": 4.2},
        nuisance=curve[1].nuisance,
        failed=curve[1].failed,
        refused=3,
        causes={"low air": 2},
        forced_by={"low air": 390},
        curve=curve,
        shows=("What it shows.",),
        cannot_show=("What it cannot show.",),
        worst=(Worst(11, "nuisance", None), Worst(12, "slowest lock", 2.5), Worst(13, "closest to forcing", 0.3)),
        flights=1600,
    )


def test_the_reader_of_tags_sees_what_does_not_match():
    assert Page("<p>a</p>").faults == []
    assert Page("<p><b>a</p></b>").faults and Page("<div><p>a</p>").faults and Page("a</p>").faults


@pytest.mark.deep
@pytest.mark.parametrize(("name", "unit"), [("curlew", "bar"), ("tern", "psi"), ("one leg", "kPa")])
def test_pages_are_whole_html_that_loads_nothing(name, unit):
    for page in (size_page(name, unit), advice_page(name, unit, True)):
        assert page.faults == []
        assert page.all("html")[0]["lang"] == "en" and len(page.all("h1")) == 1
        for tag, attrs in page.elements:
            assert tag not in ("script", "link", "iframe", "object", "embed", "base", "form")
            for key in ("src", "href", "srcset", "data", "action", "poster", "background"):
                assert not attrs.get(key) or attrs[key].startswith("data:image/png;base64,")
            assert not [key for key in attrs if key.startswith("on")]
        assert not [style for style in page.styles if "url(" in style or "@import" in style]
        assert not re.search(r"https?:|//www", page.text)
        ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
        assert len(ids) == len(set(ids))
        assert {attrs["aria-labelledby"] for attrs in page.all("section")} == set(ids)
        assert all("scope" in attrs for attrs in page.all("th"))
        for image in page.all("img"):
            assert (
                base64.b64decode(image["src"].split(",")[1]).startswith(b"\x89PNG") and f"{unit} gauge" in image["alt"]
            )


def test_pages_have_rules_for_printing():
    for page in (size_page("curlew", "bar"), advice_page("curlew", "bar")):
        (style,) = page.styles
        printed = style.split("@media print")[1]
        assert "@page { size: A4;" in printed and "break-inside: avoid" in printed and "table-header-group" in printed


@pytest.mark.deep
@pytest.mark.parametrize(("name", "unit"), [("curlew", "bar"), ("tern", "psi"), ("one leg", "kPa")])
def test_size_page_has_every_stroke_three_ways(name, unit):
    data, page = sizing(name), size_page(name, unit)
    rows = page.tables[f"Tank after each stroke, {unit} gauge"]
    assert rows[1][1:] == ["closed form", "simulated", "difference"] * 2 + ["takes"]
    assert len(rows) == 2 + len(data.rows)
    for row, cells in zip(data.rows, rows[2:], strict=True):
        wanted = [f"{row.number} {row.stroke}"]
        for closed, flown in ((row.settled_bar, row.settled_plant_bar), (row.cold_bar, row.cold_plant_bar)):
            wanted += [number(closed, unit, 1), number(flown, unit, 1)]
            wanted.append(signed(flown - closed, unit))
        assert [cell.strip() for cell in cells] == [*wanted, f"{row.time_s:.2f} s"]


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("curlew", "psi"),
        *(pytest.param(*pair, marks=pytest.mark.deep) for pair in (("tern", "psi"), ("one leg", "kPa"))),
    ],
)
def test_size_page_has_air_thresholds_times_and_variants(name, unit):
    data, page = sizing(name), size_page(name, unit)
    air = page.tables["Free air is at ambient pressure"]
    assert air[0][3:] == [f"settled fall, {unit}", f"cold fall, {unit}"]
    for use, cells in zip(data.uses, air[1:], strict=True):
        falls = [number(use.settled_bar, unit, 1), number(use.cold_bar, unit, 1)]
        assert cells == [use.name, f"{use.volume_ml:.1f}", f"{use.free_l:.3f}", *falls]
    assert ("full brake application" in [cells[0] for cells in air]) == (name != "one leg")
    cuts = {cells[0]: cells[1:] for cells in page.tables["Where each threshold of the file cuts"]}
    for key, bar in data.thresholds.items():
        settled = [row.number for row in data.rows if row.settled_bar < bar]
        cold = [row.number for row in data.rows if row.cold_bar < bar]
        words = [f"after stroke {found[0]}" if found else "not in this table" for found in (settled, cold)]
        assert cuts[WORDS[key]] == [number(bar, unit), *words]
    times = page.tables["Extension to the last lock; - where it does not"]
    assert times[1:] == [[number(bar, unit), f"{a:.2f} s", f"{b:.2f} s"] for bar, a, b in data.times]
    variants = page.tables["One change at a time"]
    for variant, cells in zip(data.variants, variants[1:], strict=True):
        bars = (variant.force_below_bar, variant.retract_above_bar)
        assert cells[:2] == [variant.name, number(variant.first_cycle_bar, unit)]
        assert cells[2].split(",")[0] == str(variant.cycles)
        assert cells[3:] == [*(number(bar, unit) for bar in bars), f"{variant.extend_s:.2f} s"]


@pytest.mark.parametrize("unit", PER_BAR)
def test_size_page_says_what_is_left_the_lock_minimum_and_the_energy(unit):
    data, text = sizing("curlew"), size_page("curlew", unit).text
    for bar in (data.after_flight_bar, data.lock_closed_bar, data.lock_plant_bar, data.installed.fill_bar):
        assert gauge(bar, unit) in text
    assert f"{data.brakes_left_cold} full brake applications" in text and f"{data.brakes_left} with the heat" in text
    assert f"{data.energy_j[0]:.0f} to {data.energy_j[1]:.0f} J" in text
    assert "throws its parts with it" in text
    assert f"the next retraction is refused, it would need {gauge(data.thresholds['retract_above'], unit)}" in text


@pytest.mark.parametrize(("name", "unit"), [("curlew", "bar"), ("tern", "psi"), ("one leg", "kPa"), ("low", "bar")])
def test_advice_page_has_every_term_with_its_reason(name, unit):
    data, craft = advice(name), aircraft(name)
    tables = {caption.split(":")[0]: rows for caption, rows in advice_page(name, unit).tables.items()}
    for key, threshold in data.thresholds.items():
        own = [term for term in threshold.terms if not term.is_base]
        most = max(own, key=lambda term: term.bar)
        head, *rows, last = tables[WORDS[key]]
        assert head == ["term", unit, "why"]
        assert rows == [
            [term.name, number(term.bar, unit, 1), ("costs most: " if term is most else "") + term.because(unit)]
            for term in threshold.terms
        ]
        _closes(last, key, threshold, craft, unit)


def _closes(cells, key, threshold, craft, unit):
    """The last row of a threshold: its sum, the advice, and how the file stands to it."""
    (said,) = cells
    assert f"Sum {number(threshold.sum_bar, unit, 1)}; advised {gauge(threshold.advised_bar, unit)};" in said
    set_bar = getattr(craft.settings, f"{key}_mbar") / 1000.0
    if key in craft.advised:
        assert said.endswith("the file takes the advice.")
    else:
        assert f"the file sets {gauge(set_bar, unit)}, {number(abs(set_bar - threshold.advised_bar), unit)}" in said
    assert ("BELOW" in said) == (key in craft.reasons)
    assert (REASON in said) == (key in craft.reasons)


@pytest.mark.parametrize(("name", "unit"), [("curlew", "psi"), ("one leg", "kPa"), ("low", "bar")])
def test_advice_page_sums_up_thresholds_and_the_error_of_a_reading(name, unit):
    data, craft, page = advice(name), aircraft(name), advice_page(name, unit)
    found = page.tables[f"Thresholds, {unit} gauge"]
    for (key, threshold), cells in zip(data.thresholds.items(), found[1:], strict=True):
        set_bar = getattr(craft.settings, f"{key}_mbar") / 1000.0
        assert cells == [WORDS[key], number(threshold.advised_bar, unit), number(set_bar, unit)]
    parts = page.tables["What a reading may be wrong by, worst case"]
    wanted = [[words, number(bar, unit, 1)] for words, bar in data.error_parts]
    wanted.append(["sum", number(sum(bar for _, bar in data.error_parts), unit, 1)])
    wanted.append(["goes into the forcing point", number(data.error_bar, unit, 1)])
    assert parts[1:] == wanted
    fill = gauge(craft.installed.fill_bar, unit)
    assert f"From {fill} the fill gives {data.cycles} cycles" in page.text
    assert f"wanted: {craft.installed.use.cycles} cycles and a landing" in page.text


def test_advice_page_shows_what_cannot_be_had_and_what_would_help():
    data, page = advice("low"), advice_page("low", "bar")
    assert data.problems and data.helps
    for sentence in [*data.problems, *data.helps]:
        assert sentence in page.text
    assert len([attrs for attrs in page.all("p") if attrs.get("class") == "refused"]) == len(data.problems)
    assert not [attrs for attrs in advice_page("curlew", "bar").all("p") if attrs.get("class") == "refused"]


def test_pages_mark_what_is_assumed_and_say_what_the_file_does_not():
    for page_of in (size_page, advice_page):
        said = page_of("one leg", "kPa").text
        assert "cycles 8 gear up for at most 8 min assumed" in said and "7 values marked 'assumed'" in said
        assert f"brakes need at least {gauge(1.5, 'kPa')} assumed" in said
        assert "no rated pressure of tank, hoses, valve and legs:" in said
        assert "what was assumed, and which ratings nobody has given, stands below" in said
        assert f"tank rated {gauge(10.0, 'bar')}" in page_of("curlew", "bar").text
    bare = replace(aircraft("curlew").installed, use=read_use(None, "bar"), ratings={})
    text = Page(advice_html(replace(aircraft("curlew"), installed=bare), advice("curlew"), "bar")).text
    assert "8 values marked 'assumed'" in text and "of tank, hoses, valve, legs and brakes:" in text


def test_pages_say_when_the_accuracy_is_assumed_and_nothing_when_all_is_given():
    craft, data = aircraft("curlew"), advice("curlew")
    known = replace(craft.installed, accuracy=replace(craft.installed.accuracy, given=True))
    unknown = replace(craft.installed, accuracy=replace(craft.installed.accuracy, given=False))
    assert "The file gives no accuracy" in advice_html(replace(craft, installed=unknown), data, "bar")
    told = advice_html(replace(craft, installed=known), data, "bar")
    assert "The file gives no accuracy" not in told and "stands below" not in told


def test_pages_admit_limits_and_give_the_cautions():
    for page in (size_page("tern", "psi"), advice_page("tern", "psi")):
        assert "Limit accepted: the two-coil gear valve does not fall to DOWN by itself." in page.text
        for words in (
            "Compressed air stores energy.",
            "rated pressure of every part",
            "eye protection",
            "Vent the tank before work",
            "Doors and legs crush.",
            "Turbines need their own safety practice.",
            "have to be measured on the aircraft that flies",
            "Local codes, club rules and licensed practice come first.",
            "Nothing here is certified",
        ):
            assert words in page.text
    assert "Limit accepted" not in size_page("curlew", "bar").text


def test_names_and_reasons_are_escaped():
    craft = aircraft("one leg")
    assert craft.name == HOSTILE
    for text in (size_html(craft, sizing("one leg"), "kPa"), advice_html(craft, advice("one leg"), "kPa")):
        assert HOSTILE not in text and "<b>" not in text
        assert "<h1>&lt;b&gt;&amp;&quot;x:" in text
    assert "<out>" not in advice_html(aircraft("low"), advice("low"), "bar")


@pytest.mark.deep
def test_pages_are_the_same_twice_and_have_no_other_unit(tmp_path):
    craft = aircraft("curlew")
    write_size_page(tmp_path / "size.html", craft, sizing("curlew"), "bar")
    write_advice_page(tmp_path / "advice.html", craft, advice("curlew"), "bar")
    assert (tmp_path / "size.html").read_bytes() == size_html(craft, sizing("curlew"), "bar").encode()
    assert (tmp_path / "advice.html").read_bytes() == advice_html(craft, advice("curlew"), "bar").encode()
    for page in (size_page("curlew", "bar"), advice_page("curlew", "bar", True)):
        assert not re.search(r"\d (psi|kPa|mbar|Pa)\b", page.text)
    for page in (size_page("tern", "psi"), advice_page("tern", "psi", True)):
        assert not re.search(r"\d (bar|kPa|mbar|Pa)\b", page.text)
        assert re.search(r"\d psi gauge", page.text)


def test_advice_page_shows_random_days(tmp_path):
    chances, page = made_chances(), advice_page("curlew", "psi", True)
    rows = page.tables["Chances along the forcing point"]
    assert rows[2] == [number(3.2, "psi"), "120 of 400", "30 % (26 % to 35 %)", "0 of 400", "at most 0.92 %", ""]
    # 1 - 0.025^(1/n), none seen among n; 390 and 400 of them.
    assert rows[3][1:3] == ["0 of 390", f"at most {100 * (1 - 0.025 ** (1 / 390)):.2g} %"]
    assert rows[3][3:] == ["2 of 400", "0.5 % (0.061 % to 1.8 %)", "as advised"]
    assert rows[4] == [number(4.9, "psi"), "0 of 0", "nothing to judge", "400 of 400", "100 % (99 % to 100 %)", "a board refuses it"]  # fmt: skip
    for words in (*chances.shows, *chances.cannot_show, chances.distribution, "400 days, seed 7, 1600 flights"):
        assert words in page.text
    assert "Day 11: nuisance." in page.text and "Day 12: slowest lock, 2.50 s." in page.text
    assert f"Day 13: closest to forcing, {number(0.3, 'psi')} psi" in page.text
    assert "refused the retraction on 3 of the days" in page.text and "low air on 2" in page.text
    assert len(page.all("img")) == 2 and len(advice_page("curlew", "psi").all("img")) == 1
    craft, data = aircraft("curlew"), advice("curlew")
    write_advice_picture(tmp_path / "both.png", craft, data, "psi", chances)
    assert (tmp_path / "both.png").read_bytes() == stacked(
        advice_png(craft, data, "psi"), chances_png(craft, data, chances, "psi")
    )


def test_advice_page_shows_what_the_bench_found():
    data = advice("curlew")
    leak = Fitted("leak <tank>", 0.0123, 0.01, 0.015, "dm3/(s bar)", 0.02, "2 <i>leak-downs")
    zero = Fitted("zero of the reading", 0.03, 0.02, 0.04, "bar", 0.0, "the open tank")
    found = Calibration(
        data.calibration.air,
        fitted=(leak, zero),
        disagreements=("It takes longer than <this>.",),
        notes=("Friction & flow cannot be told apart.",),
    )
    page = Page(advice_html(aircraft("curlew"), replace(data, calibration=found), "psi"))
    rows = page.tables["Fitted to the measurements"]
    assert rows[1] == [
        "leak <tank>",
        "0.0123 dm3/(s bar)",
        "0.01 to 0.015 dm3/(s bar)",
        "0.02 dm3/(s bar)",
        "2 <i>leak-downs",
    ]
    values = [number(bar, "psi", 1) for bar in (0.03, 0.02, 0.04, 0.0)]
    interval = f"{values[1]} to {values[2]} psi"
    assert rows[2] == ["zero of the reading", f"{values[0]} psi", interval, f"{values[3]} psi", "the open tank"]
    assert "Friction & flow cannot be told apart." in page.text
    assert "Differs: It takes longer than <this>." in page.text
    assert "Measured on the bench" not in advice_page("tern", "psi").text
