"""Lists for a terminal: what a scenario can break, and the scenarios that come with the program."""

import textwrap

from .yamlfile import read


def fault_lines(kinds, width):
    """Lines on the closed catalogue of faults: name, sentence, and each parameter with its range and default."""
    lines = []
    kinds = list(kinds)
    for kind in kinds:
        lines.append(f"{kind.name}  [{kind.device}]")
        lines += textwrap.wrap(kind.sentence, width, initial_indent="    ", subsequent_indent="    ")
        for parameter in kind.parameters:
            lines.append(f"    {parameter.name}: {_allowed(parameter)}")
        if kind.at_start:
            lines.append("    acts on the start of the flight; takes no times")
    lines.append(
        f"{len(kinds)} kinds of fault. In a scenario: {{what: slow leak, from: 20 s, until: 80 s, hole: 0.2 mm}}"
    )
    return lines


def _allowed(parameter):
    if parameter.words:
        return f"{', '.join(parameter.words)} (default {parameter.default})"
    unit = {"percent": "%"}.get(parameter.unit, parameter.unit)
    if parameter.name == "pressure":
        unit += " gauge"
    whole = "whole number, " if parameter.whole else ""
    return f"{whole}{parameter.low:g} to {parameter.high:g} {unit}".rstrip() + f" (default {parameter.default:g})"


def scenario_lines(paths, width):
    """Lines on the shipped scenarios: name and title; only the titles are read."""
    titles = [(path.stem, read(path).take("title").string()) for path in paths]
    longest = max((len(name) for name, _ in titles), default=0)
    lines = [f"{name:<{longest}}  {textwrap.shorten(title, max(width - longest - 2, 30))}" for name, title in titles]
    lines.append(f"{len(titles)} scenarios. Fly one with 'downlock fly NAME', all with 'downlock fly shipped'.")
    return lines
