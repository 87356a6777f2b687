"""Flies what the user names and tells about it on a terminal: one flight in full, many in a line each."""

import sys
import textwrap
from pathlib import Path

from .engines import make_engine
from .errors import InputError
from .flight import fly
from .flown import Flown
from .quantities import show_pressure
from .scenario import load_scenario, shipped_scenarios
from .timeline import LEGEND, text_lines
from .yamlfile import read

SHIPPED = "shipped"
ENDINGS = (".yaml", ".yml")


def find_scenarios(names):
    """(paths, many) for what the user named: files, folders, shipped scenarios by name, or all of these as "shipped".

    Raises InputError for a name that is nothing of these and for a folder without scenarios.
    """
    shipped = {path.stem: path for path in shipped_scenarios()}
    paths, many = [], len(names) > 1
    for name in names:
        path = Path(name)
        if path.is_dir():
            paths += _in_folder(path)
            many = True
        elif path.is_file():
            paths.append(path)
        elif name == SHIPPED:
            paths += shipped.values()
            many = True
        elif name.removesuffix(".yaml") in shipped:
            paths.append(shipped[name.removesuffix(".yaml")])
        else:
            raise InputError(name, "", "no such file, folder or shipped scenario; see 'downlock scenarios'")
    return list(dict.fromkeys(paths)), many


def _in_folder(folder):
    files = sorted(path for path in folder.iterdir() if path.suffix in ENDINGS and path.is_file())
    paths = [path for path in files if not _is_aircraft(path)]
    if not paths:
        raise InputError(folder, "", f"the folder holds no scenario (no file ending in {' or '.join(ENDINGS)})")
    return paths


def _is_aircraft(path):
    """Whether a file of a folder is an aircraft, which may stand beside its scenarios."""
    items = read(path).items
    return "beats" not in items and "legs" in getattr(items.get("gear"), "items", ())


def load_all(paths):
    """Scenarios of the paths, all checked before the first is flown. Raises InputError."""
    scenarios = [load_scenario(path) for path in paths]
    seen = {}
    for scenario in scenarios:
        other = seen.setdefault(scenario.name, scenario.file)
        if other != scenario.file:
            raise InputError(scenario.file, "", f"has the same name as {other}; their outputs would be mixed up")
    return scenarios


def fly_one(scenario, engine, unit):
    """Flown of one scenario; `unit` "" is the aircraft's own."""
    return Flown(scenario, fly(scenario, engine), unit or scenario.aircraft.unit, engine)


def tell_one(flown, quiet, width):
    """Print one flight: who flew, the timeline, the verdicts."""
    scenario = flown.scenario
    if not quiet:
        print(scenario.title)
        start = show_pressure(scenario.start.tank_bar, flown.unit)
        print(
            f"{scenario.aircraft.name}, {start} at the start, {scenario.duration_s:g} s, seed {scenario.seed}, "
            f"controller on {flown.engine}"
        )
        print(textwrap.fill(scenario.story, width))
    for limit in flown.limits:
        print(textwrap.fill(limit, width))
    if not quiet:
        print()
        print(LEGEND)
        print("\n".join(text_lines(flown.lines, flown.unit, width)))
        print()
    for verdict in flown.verdicts:
        if not quiet or not verdict.holds:
            _tell_verdict(verdict, width)
    print(verdict_line(flown))


def _tell_verdict(verdict, width, indent=""):
    word = "holds " if verdict.holds else "FAILED"
    body = textwrap.wrap(f"{verdict.claim_text} (line {verdict.line})", width - 8 - len(indent))
    print(f"{indent}{word}  {body[0]}")
    for more in body[1:]:
        print(f"{indent}        {more}")
    if verdict.detail:
        print(
            textwrap.fill(verdict.detail, width, initial_indent=indent + " " * 10, subsequent_indent=indent + " " * 10)
        )


def verdict_line(flown):
    """The verdict on one flight in a line."""
    n, failed = len(flown.verdicts), len(flown.failed)
    if failed:
        return f"{failed} of {n} claims FAILED."
    return "The claim holds." if n == 1 else f"All {n} claims hold."


def fly_many(scenarios, engine_name, unit, targets, quiet, width):
    """Fly and print all, one line each and a closing count. Returns the number of flights with a failed claim."""
    from tqdm import tqdm

    n_failed, limits = 0, {}
    longest = max(len(scenario.name) for scenario in scenarios)
    bar = tqdm(scenarios, file=sys.stderr, delay=2, leave=False, unit="flight", disable=not sys.stderr.isatty())
    with make_engine(engine_name) as engine, bar:
        for scenario in bar:
            flown = Flown(scenario, fly(scenario, engine), unit or scenario.aircraft.unit, engine_name)
            targets.write(flown)
            n_failed += bool(flown.failed)
            limits.update((f"{scenario.aircraft.name}. {limit}", None) for limit in flown.limits)
            if quiet and not flown.failed:
                continue
            bar.clear()
            _short_line(flown, longest, width)
    for limit in limits:
        print(textwrap.fill(limit, width))
    good = len(scenarios) - n_failed
    print(
        f"{len(scenarios)} flight{'s' * (len(scenarios) != 1)}: "
        f"{good} with every claim held, {n_failed} with a claim FAILED."
    )
    return n_failed


def _short_line(flown, longest, width):
    word = "FAILED" if flown.failed else "holds "
    held = len(flown.verdicts) - len(flown.failed)
    print(f"{word}  {flown.scenario.name:<{longest}}  {held} of {len(flown.verdicts)} claims  {flown.scenario.title}")
    for verdict in flown.failed:
        _tell_verdict(verdict, width, " " * 8)
