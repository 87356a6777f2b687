"""`downlock size` and `downlock advise` as pages that print on a sheet or two, and as pictures.

A page is one file: page.html with page.css and the picture inside, no script, no network. No date stands on it, so that
the same input gives the same bytes.
"""

from html import escape
from importlib import resources
from pathlib import Path
from string import Template

from ..version import version
from ..wording import admitted_limits
from .advice_page import advice_sections
from .markup import paragraph
from .pictures import advice_png, chances_png, size_png, stacked
from .size_page import size_sections


def write_size_page(path, aircraft, sizing, unit):
    """Write the page of a Sizing, pressures in `unit` (bar, psi or kPa). Raises OSError."""
    _write(path, size_html(aircraft, sizing, unit))


def write_advice_page(path, aircraft, advice, unit, chances=None):
    """Write the page of an Advice, with the Chances of random flights where there are any. Raises OSError."""
    _write(path, advice_html(aircraft, advice, unit, chances))


def write_size_picture(path, aircraft, sizing, unit):
    """Write the PNG of a Sizing. Raises OSError."""
    Path(path).write_bytes(size_png(aircraft, sizing, unit))


def write_advice_picture(path, aircraft, advice, unit, chances=None):
    """Write the PNG of an Advice, with the chances of random flights under it where there are any. Raises OSError."""
    drawn = advice_png(aircraft, advice, unit)
    if chances is not None:
        drawn = stacked(drawn, chances_png(aircraft, advice, chances, unit))
    Path(path).write_bytes(drawn)


def size_html(aircraft, sizing, unit):
    """The page of a Sizing as text."""
    return _page(f"{aircraft.name}: the air of one fill", "size", aircraft, unit, size_sections(aircraft, sizing, unit))


def advice_html(aircraft, advice, unit, chances=None):
    """The page of an Advice as text."""
    sections = advice_sections(aircraft, advice, unit, chances)
    return _page(f"{aircraft.name}: advised thresholds", "advise", aircraft, unit, sections)


def _page(title, command, aircraft, unit, sections):
    page = Template(_part("page.html"))
    return page.substitute(
        title=escape(title),
        css=_part("page.css"),
        unit=unit,
        limits="\n".join(paragraph(text, "limit") for text in admitted_limits(aircraft)),
        sections="\n".join(part for part in sections if part),
        footer=escape(f"downlock {version()}, {command}, of {Path(aircraft.file).name}."),
    )


def _part(name):
    return resources.files("host_sim").joinpath("budget", name).read_text(encoding="utf-8")


def _write(path, text):
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)
