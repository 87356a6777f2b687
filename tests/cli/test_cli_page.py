"""The page of a flight: self-contained, readable by machine and man, true to timeline and verdicts."""

import base64
import dataclasses
import html.parser
import json
import re

import pytest

from controller.codes import VALVE_SERVO
from host_sim.flown import Flown
from host_sim.plots import draw
from host_sim.report import _json, report_html


class Page(html.parser.HTMLParser):
    """Elements of a page with their attributes, the texts of headings and cells, ids."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.text, self.scripts, self.styles, self._in = [], [], {}, [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self._in = (tag, dict(attrs).get("id", ""))

    def handle_endtag(self, tag):
        if tag in ("script", "style"):
            self._in = []

    def handle_data(self, data):
        if not self._in:
            self.text.append(data)
        elif self._in[0] == "script":
            self.scripts[self._in[1]] = data
        else:
            self.styles.append(data)

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]


@pytest.fixture(scope="module")
def text_of_page(leak):
    return report_html(leak)


@pytest.fixture(scope="module")
def page(text_of_page):
    return Page(text_of_page)


def test_page_loads_nothing(page):
    for tag, attrs in page.elements:
        for name in ("src", "href", "srcset", "data", "action", "poster"):
            assert not attrs.get(name) or attrs[name].startswith("data:"), (tag, name, attrs[name][:60])
    assert page.all("link") == [] and page.all("iframe") == []
    for style in page.styles:
        assert "url(" not in style and "@import" not in style
    own = [text for name, text in page.scripts.items() if "Draws the picture" in text or name]
    assert len(own) == 3
    assert not [text for text in own if re.search(r"https?:|fetch\(|XMLHttpRequest|import\(", text)]


def test_page_has_what_a_reader_and_a_screen_reader_need(page, leak):
    assert page.all("html")[0]["lang"] == "en"
    assert {"name": "viewport", "content": "width=device-width, initial-scale=1"} in page.all("meta")
    assert len(page.all("h1")) == 1
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert all(attrs["aria-labelledby"] in ids for _, attrs in page.elements if "aria-labelledby" in attrs)
    (still,) = page.all("img")
    assert "psi gauge" in still["alt"] and "The controller put the gear down" in still["alt"]
    assert base64.b64decode(still["src"].split(",")[1]).startswith(b"\x89PNG")
    assert all(attrs.get("scope") == "col" for attrs in page.all("th"))
    text = " ".join(page.text)
    assert text.index(leak.scenario.story[:40]) < text.index("What happened") < text.index("Before you trust this")


def test_page_tells_timeline_and_verdicts(page, leak):
    text = " ".join(" ".join(page.text).split())
    assert f"All {len(leak.verdicts)} claims hold" in text
    for line in leak.lines:
        assert line.what in text
        assert line.why in text
    for verdict in leak.verdicts:
        assert verdict.claim_text in text
    times = [attrs["data-t"] for attrs in page.all("button") if "data-t" in attrs]
    assert [float(t) for t in times] == pytest.approx([line.t_s for line in leak.lines], abs=1e-3)


def test_every_field_of_the_moment_has_its_place(page):
    flight = json.loads(page.scripts["flight"])
    ids = {attrs["id"] for _, attrs in page.elements if "id" in attrs}
    assert {f"at-{name}" for name in (*flight["numbers"], *flight["words"])} < ids
    assert flight["numbers"]["air"]["unit"] == "psi gauge"


def test_failed_claim_is_said_without_colour(leak):
    worse = dataclasses.replace(leak, scenario=leak.scenario)
    first, *rest = leak.verdicts
    worse.__dict__["verdicts"] = [dataclasses.replace(first, holds=False, detail="never seen"), *rest]
    text = " ".join(Page(report_html(worse)).text)
    assert f"1 of {len(leak.verdicts)} claims FAILED" in text
    assert text.count("FAILED") == 2 and "never seen" in text


def test_hostile_words_stay_words(leak):
    hostile = '</script><script>alert("x")</script><img src=http://x/y onerror=z> & $title'
    scenario = dataclasses.replace(leak.scenario, title=hostile, story=hostile)
    page = Page(report_html(Flown(scenario, leak.trace, "psi")))
    assert len(page.all("script")) == 4 and len(page.all("img")) == 1
    assert hostile in "".join(page.text)
    assert json.loads(page.scripts["figure"])


def test_data_cannot_end_the_script_it_stands_in():
    text = _json({"word": "</script><b>&"})
    assert not set("<>&") & set(text)
    assert json.loads(text) == {"word": "</script><b>&"}


def test_admitted_limits_stand_in_page_and_plot(leak):
    aircraft = dataclasses.replace(leak.scenario.aircraft, valve_kind=VALVE_SERVO)
    flown = Flown(dataclasses.replace(leak.scenario, aircraft=aircraft), leak.trace, "psi")
    sentence = "the servo gear valve does not fall to DOWN by itself"
    assert sentence in "".join(Page(report_html(flown)).text)
    assert [text for text in draw(flown.picture).texts if sentence in text.get_text()]
    assert not [text for text in draw(leak.picture).texts if "by itself" in text.get_text()]


def test_same_flight_same_page(text_of_page, leak):
    assert report_html(leak) == text_of_page
