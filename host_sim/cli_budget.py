"""The commands about air: `downlock size` and `downlock advise`."""

import os
from argparse import ArgumentTypeError
from pathlib import Path

from .errors import InputError


def add_commands(commands, add_unit, width, load):
    """Add both to argparse's `commands`. `add_unit` adds --unit, `width` gives columns, `load` an Aircraft of a name."""
    size = commands.add_parser(
        "size",
        help="what strokes and brakes take from the tank, and what is left",
        description="What strokes and brakes take from the tank: closed form and simulation side by side.",
    )
    _add_common(size, add_unit)
    size.set_defaults(run=lambda options: _size(options, width(), load))

    advise = commands.add_parser(
        "advise",
        help="advise thresholds, term by term",
        description="Advise lock minimum and thresholds, term by term; with --flights, how sure they are.",
    )
    _add_common(advise, add_unit)
    advise.add_argument(
        "--flights", type=_count(1, 1_000_000), default=0, metavar="N", help="fly N random days as well"
    )
    advise.add_argument(
        "--seed", type=_count(0, 2**31), default=1, metavar="S", help="seed of the random days (default: 1)"
    )
    advise.add_argument("--jobs", type=_count(1, 256), default=None, metavar="J", help="processes (default: all cores)")
    advise.add_argument(
        "--cluster", default="", metavar="ADDRESS", help="fly on a Dask scheduler that is running there"
    )
    advise.set_defaults(run=lambda options: _advise(options, width(), load))


def _add_common(parser, add_unit):
    parser.add_argument("aircraft", metavar="AIRCRAFT", help="file, or name of a shipped aircraft")
    parser.add_argument("--report", metavar="FILE.html", help="write a page that prints on one or two sheets")
    parser.add_argument("--plot", metavar="FILE.png", help="write the picture")
    add_unit(parser)


def _count(low, high):
    def whole(text):
        if not (text.isascii() and text.isdigit()) or not low <= int(text) <= high:
            raise ArgumentTypeError(f"'{text[:40]}' is not a whole number from {low} to {high}")
        return int(text)

    return whole


def _check_targets(options):
    for kind in ("report", "plot"):
        path = getattr(options, kind)
        if path is not None and not Path(path).absolute().parent.is_dir():
            raise InputError(f"--{kind} {path}", "", f"the folder '{Path(path).parent}' does not exist")
        if path is not None and Path(path).is_dir():
            raise InputError(f"--{kind} {path}", "", "is a folder; name a file")


def _write(options, page, picture, *arguments):
    """Write what was asked for; `page` and `picture` are names in budget.pages, which takes a second to load."""
    for kind, writer in (("report", page), ("plot", picture)):
        path = getattr(options, kind)
        if path is None:
            continue
        from .budget import pages

        try:
            getattr(pages, writer)(path, *arguments)
        except OSError as error:
            raise InputError(f"--{kind} {path}", "", f"cannot be written: {error.strerror or error}") from None
        print(f"Written: {path}")


def _size(options, width, load):
    from .budget.size import size
    from .budget.size_words import size_lines
    from .wording import admitted_limits

    _check_targets(options)
    aircraft = load(options.aircraft)
    unit = options.unit or aircraft.unit
    sizing = size(aircraft.installed.shown_in(unit), aircraft.settings)
    print("\n".join([*size_lines(aircraft, sizing, unit, width), *admitted_limits(aircraft)]))
    _write(options, "write_size_page", "write_size_picture", aircraft, sizing, unit)
    return 0


def _advise(options, width, load):
    from .budget.advice import advise
    from .budget.advice_words import advice_lines
    from .wording import admitted_limits

    _check_targets(options)
    aircraft = load(options.aircraft)
    unit = options.unit or aircraft.unit
    advice = advise(aircraft.installed.shown_in(unit), aircraft.settings)
    print("\n".join([*advice_lines(aircraft, advice, unit, width), *admitted_limits(aircraft)]))
    chances = _fly(options, aircraft, advice, unit, width) if options.flights else None
    _write(options, "write_advice_page", "write_advice_picture", aircraft, advice, unit, chances)
    return 1 if advice.problems else 0


def _fly(options, aircraft, advice, unit, width):
    from .budget.chances import fly_days
    from .budget.chances_words import chances_lines
    from .budget.pool import bar

    if advice.problems:
        print("\nNo random days are flown: the thresholds cannot be met.")
        return None
    jobs = options.jobs or os.cpu_count() or 1
    with bar(options.flights) as progress:
        chances = fly_days(aircraft, advice, options.flights, options.seed, jobs, options.cluster, progress)
    print("\n" + "\n".join(chances_lines(chances, unit, width)))
    return chances
