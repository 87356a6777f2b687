"""One flight as one HTML page that needs nothing else: no network, no fonts, no files beside it.

The page is report.html with report.css, report.js and the drawing library put inside.
"""

import base64
import io
import json
from html import escape
from importlib import resources
from string import Template

from controller.codes import VALVE_WORDS

from .events import Row
from .plots import write_plot
from .points import steps
from .quantities import show_pressure
from .version import version

SHOWN_AT_FIRST = ("warning", "caution", "fault")


def write_report(flown, path):
    """Write the page of a Flown. Raises OSError where the file cannot be written."""
    text = report_html(flown)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)


def report_html(flown):
    """The page as text; the same flight gives the same page."""
    from plotly.offline import get_plotlyjs

    from .interactive import make_figure

    scenario = flown.scenario
    page = Template(_part("report.html"))
    picture = io.BytesIO()
    write_plot(flown.picture, picture, scale=2)
    return page.substitute(
        title=escape(scenario.title),
        css=_part("report.css"),
        js=_part("report.js"),
        plotly=get_plotlyjs(),
        figure=make_figure(flown.picture).to_json(),
        flight=_json(_moments(flown)),
        png=base64.b64encode(picture.getvalue()).decode("ascii"),
        result=escape(result_words(flown.verdicts)),
        result_class="fails" if flown.failed else "holds",
        story=escape(scenario.story),
        short="\n".join(_short(mark, text) for mark, text in flown.in_short()),
        limits="\n".join(f'<p class="limit">{escape(text)}</p>' for text in flown.limits),
        facts="\n".join(_pair(name, value) for name, value in facts(flown)),
        moment=_moment_fields(flown),
        unit=flown.unit,
        alt=escape(_alt(flown)),
        events="\n".join(_event(line, flown.unit) for line in flown.lines),
        claims="\n".join(_claim(verdict) for verdict in flown.verdicts),
        covers=escape(_covers(scenario)),
        footer=escape(f"downlock {version()}, flight of {scenario.name}, seed {scenario.seed}, engine {flown.engine}."),
    )


def result_words(verdicts):
    """The verdict on the whole flight in one line."""
    failed = sum(not verdict.holds for verdict in verdicts)
    n = len(verdicts)
    if failed:
        return f"\u2717 {failed} of {n} claims FAILED"
    return f"\u2713 {'The claim holds' if n == 1 else f'All {n} claims hold'}"


def facts(flown):
    """(name, value) of what was flown."""
    scenario = flown.scenario
    return (
        ("Aircraft", scenario.aircraft.name),
        ("Air at the start", show_pressure(scenario.start.tank_bar, flown.unit)),
        ("Gear valve", VALVE_WORDS[scenario.aircraft.valve_kind]),
        ("Lasts", f"{scenario.duration_s:g} s"),
        ("Seed", str(scenario.seed)),
        ("Controller ran on", {"cpython": "CPython", "micropython": "MicroPython"}[flown.engine]),
    )


def _part(name):
    return resources.files("host_sim").joinpath(name).read_text(encoding="utf-8")


def _json(value):
    """JSON that cannot end the script element it stands in."""
    text = json.dumps(value, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


_MARKS = {"warning": "!!", "caution": "!", "": "\u2192"}


def _short(mark, text):
    return f'<li data-mark="{_MARKS[mark]}">{escape(text)}</li>'


def _pair(name, value):
    return f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>"


def _alt(flown):
    last = flown.in_short()
    return (
        f"Picture of the flight, lanes over time: tank pressure in {flown.unit} gauge with its thresholds, gear, "
        "levers, "
        f"link, faults, causes, alerts, landing light. {' '.join(text for _, text in last)} "
        "The table below the picture tells all of it in words."
    )


def _covers(scenario):
    sides = {"acts": "It shows that the controller acts when it must", "spares": "that it leaves the pilot alone"}
    found = []
    for side, words in sides.items():
        requirements = [requirement for requirement, which in scenario.covers if which == side]
        if requirements:
            found.append(f"{words} ({', '.join(requirements)})")
    text = ", and ".join(found)
    return text.replace("that", "It shows that", 1) + "." if text.startswith("that") else text + "."


def _event(line, unit):
    tag = f'<span class="tag {line.mark}">{line.mark.upper()}</span>' if line.mark else ""
    why = f'<span class="why">{escape(line.why)}</span>' if line.why else ""
    return (
        f'<tr class="{line.mark}"><td class="time"><button type="button" data-t="{line.t_s:.3f}">{line.t_s:.2f} s'
        "</button>"
        f'</td><td>{tag}<span class="what">{escape(line.what)}</span>{why}</td>'
        f'<td class="air">{escape(line.pressure(unit)).replace(", ", "<br>")}</td></tr>'
    )


def _claim(verdict):
    word, kind = ("\u2713 holds", "holds") if verdict.holds else ("\u2717 FAILED", "fails")
    detail = f'<span class="why">{escape(verdict.detail)}</span>' if verdict.detail else ""
    return (
        f'<tr><td><span class="tag {kind}">{word}</span></td><td>{escape(verdict.claim_text)}{detail}</td>'
        f"<td>{verdict.line}</td></tr>"
    )


# What the panel says of one moment: (id, label, column of the trace); numbers come from the picture's curves.
_WORDS = (
    ("switch", "pilot's switch", "pilot_switch"),
    ("command", "command", "gear_command"),
    ("link", "link", "link"),
    ("mode", "mode", "mode"),
    ("light", "landing light", "light"),
    ("causes", "held down by", "causes"),
    ("alerts", "alerts", "alerts"),
)
_WIDE = ("causes", "alerts")


def _numbers(flown):
    picture = flown.picture
    gauge = f"{flown.unit} gauge"
    curves = [("air", "air in the tank", picture.air[0], gauge, picture.digits, 1)]
    curves += [("reading", "reading", picture.air[1], gauge, picture.digits, 1)]
    curves += [("gear", "real gear", picture.gear[0], "% up", 0, 100)]
    return curves + [(curve.name, curve.name, curve, "%", 0, 1) for curve in picture.levers]


def _moment_fields(flown):
    fields = ['<div><dt>time</dt><dd id="at-time"></dd></div>']
    for key, label, *_ in _numbers(flown):
        fields.append(f'<div><dt>{label}</dt><dd id="at-{key}"></dd></div>')
    for key, label, _ in _WORDS:
        wide = ' class="wide"' if key in _WIDE else ""
        fields.append(f'<div{wide}><dt>{label}</dt><dd id="at-{key}"></dd></div>')
    return "\n".join(fields)


def _moments(flown):
    rows = [Row(*row) for row in flown.trace.rows]
    times = [round(row.t_s, 3) for row in rows]
    first = next((line.t_s for mark in SHOWN_AT_FIRST for line in flown.lines if line.mark == mark), 0.0)
    numbers, lists = {}, {}
    for key, _, curve, unit, digits, scale in _numbers(flown):
        values = [None if value is None else round(value * scale, 4) for value in curve.values]
        numbers[key] = {"t": [round(t, 3) for t in curve.t_s], "v": values, "unit": unit, "digits": digits}
    for key, _, column in _WORDS:
        at, values = steps(times, [str(getattr(row, column)).replace("+", ", ") for row in rows])
        lists[key] = list(zip(at, values, strict=True))
    return {"end_s": flown.picture.end_s, "start_at_s": first, "numbers": numbers, "words": lists}
