"""The command `downlock`.

Exit status: 0 all is well, 1 a claim failed or a check found something to mend, 2 the input cannot be used, 130 stopped
by Ctrl-C. Whatever is wrong with the input is said in one line on stderr.

What takes long to import is imported inside `main`, where Ctrl-C is caught.
"""

import argparse
import os
import sys

from .errors import InputError

OK, FAILED, BAD_INPUT, STOPPED = 0, 1, 2, 130
DEMO = "slow_leak_gear_up"
NARROW, WIDE = 60, 110


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage above it."""

    def error(self, message):
        raise InputError(self.prog, "", f"{message}; see '{self.prog} --help'")


def main(arguments=None):
    """Run the command; returns the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        return _run(arguments)
    except InputError as error:
        text = str(error)
        print(text if text.startswith("downlock") else f"downlock: {text}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("downlock: stopped", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        # The reader of a pipe has seen enough; Python would complain once more while closing.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK


def _run(arguments):
    from .engines import EngineError

    try:
        options = _parser().parse_args(arguments)
        status = options.run(options)
    except EngineError as error:
        raise InputError("downlock", "", str(error)) from None
    sys.stdout.flush()
    return status


def _parser():
    from . import cli_bench, cli_budget, cli_install
    from .engines import ENGINES

    parser = _Parser(prog="downlock", description="Safety controller for pneumatic retracts: simulation and settings.")
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version")
    commands = parser.add_subparsers(metavar="COMMAND", required=True, parser_class=_Parser)

    fly = commands.add_parser(
        "fly",
        help="fly scenarios and judge their claims",
        description=(
            "Fly scenarios: files, folders, shipped scenarios by name, or all of these as 'shipped'. One is told in "
            "full; several in a line each. With several, --trace, --report and --plot name folders, which are made."
        ),
    )
    fly.add_argument(
        "scenario", nargs="+", metavar="SCENARIO", help="file, folder, name of a shipped scenario, or 'shipped'"
    )
    fly.add_argument(
        "--engine", choices=ENGINES, default=ENGINES[0], help="what runs the controller (default: cpython)"
    )
    fly.add_argument("--trace", metavar="FILE.csv", help="write one row a tick")
    fly.add_argument("--report", metavar="FILE.html", help="write a page that works offline")
    fly.add_argument("--plot", metavar="FILE.png", help="write the picture")
    fly.add_argument("-q", "--quiet", action="store_true", help="print only what failed and the verdict")
    _add_unit(fly)
    fly.set_defaults(run=_fly)

    demo = commands.add_parser("demo", help="fly a slow leak, write its page and picture into ./out")
    demo.set_defaults(run=_demo)

    settings = commands.add_parser(
        "settings", help="print an aircraft's settings, and write them as the board loads them"
    )
    settings.add_argument("aircraft", metavar="AIRCRAFT", help="file, or name of a shipped aircraft")
    settings.add_argument("-o", "--output", metavar="FILE", help="write the packed settings there")
    _add_unit(settings)
    settings.set_defaults(run=_settings)

    check = commands.add_parser("check", help="check an aircraft file")
    check.add_argument("aircraft", metavar="AIRCRAFT", help="file, or name of a shipped aircraft")
    _add_unit(check)
    check.set_defaults(run=_check)

    cli_budget.add_commands(commands, _add_unit, _width, _aircraft)
    cli_install.add_commands(commands, _add_unit, _width, _aircraft)
    cli_bench.add_command(commands, _add_unit, _width, _aircraft)
    commands.add_parser("faults", help="list what a scenario can break").set_defaults(run=_faults)
    commands.add_parser("scenarios", help="list the shipped scenarios").set_defaults(run=_scenarios)
    return parser


def _add_unit(parser):
    from .quantities import PRESSURE_UNITS

    parser.add_argument(
        "--unit", choices=PRESSURE_UNITS, default="", help="unit of pressures (default: the aircraft's own)"
    )


class _Version(argparse.Action):
    def __call__(self, parser, *_):
        from .version import version

        print(f"downlock {version()}")
        parser.exit()


def _width():
    """Columns to print in: the terminal's, or a fixed number where the output goes into a file."""
    import shutil

    if not sys.stdout.isatty():
        return 100
    return min(max(shutil.get_terminal_size().columns, NARROW), WIDE)


def _fly(options):
    from . import flights
    from .outputs import Targets

    paths, many = flights.find_scenarios(options.scenario)
    targets = Targets(options.trace, options.report, options.plot, many)
    targets.check()
    scenarios = flights.load_all(paths)
    if many:
        n_failed = flights.fly_many(scenarios, options.engine, options.unit, targets, options.quiet, _width())
        return FAILED if n_failed else OK
    flown = flights.fly_one(scenarios[0], options.engine, options.unit)
    flights.tell_one(flown, options.quiet, _width())
    for path in targets.write(flown):
        print(f"Written: {path}")
    return FAILED if flown.failed else OK


def _demo(_):
    from . import flights
    from .engines import ENGINES
    from .outputs import Targets

    paths, _ = flights.find_scenarios([DEMO])
    flown = flights.fly_one(flights.load_all(paths)[0], ENGINES[0], "")
    flights.tell_one(flown, False, _width())
    folder = _writable_folder()
    page, picture = Targets(None, str(folder), str(folder), False).write(flown)
    print(f"The page:    {page}")
    print(f"The picture: {picture}")
    return FAILED if flown.failed else OK


def _writable_folder():
    """./out, or a new temporary folder where that cannot be made or written."""
    import tempfile
    from pathlib import Path

    folder = Path("out")
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return folder.resolve()
    except OSError:
        return Path(tempfile.mkdtemp(prefix="downlock-"))


def _settings(options):
    import textwrap

    from .aircraft_print import packed_line, settings_table
    from .budget.advice import advise
    from .budget.findings import standing_lines, unexplained
    from .wording import admitted_limits

    aircraft = _aircraft(options.aircraft)
    unit = options.unit or aircraft.unit
    advice = advise(aircraft.installed.shown_in(unit), aircraft.settings, with_helps=False)
    missing = unexplained(aircraft, advice, unit)
    if options.output is not None:
        if missing:
            raise InputError(aircraft.file, "", missing[0])
        _write_packed(aircraft, options.output)
    print(f"{aircraft.name}: settings of the controller")
    print("\n".join(settings_table(aircraft, unit, max(_width(), 130))))
    for line in [*standing_lines(aircraft, advice, unit), *admitted_limits(aircraft)]:
        print(textwrap.fill(line, _width()))
    if options.output is None:
        print(f"Not written: name a file with -o to get the packed settings ({packed_line(aircraft)}).")
        return FAILED if missing else OK
    print(f"Written: {options.output} ({packed_line(aircraft)})")
    return OK


def _write_packed(aircraft, path):
    from pathlib import Path

    try:
        Path(path).write_bytes(aircraft.packed)
    except OSError as error:
        raise InputError(f"-o {path}", "", f"cannot be written: {error.strerror or error}") from None


def _check(options):
    from .aircraft_print import check_lines

    aircraft = _aircraft(options.aircraft)
    lines, good = check_lines(aircraft, options.unit or aircraft.unit, _width())
    print("\n".join(lines))
    return OK if good else FAILED


def _aircraft(name):
    from pathlib import Path

    from .aircraft import AIRCRAFT_DIR, load_aircraft

    if not name.strip():
        raise InputError("downlock", "", "the aircraft's name is empty: name a file or a shipped aircraft")
    shipped = AIRCRAFT_DIR / f"{name.removesuffix('.yaml')}.yaml"
    path = Path(name)
    if not path.exists() and path.name == name and shipped.is_file():
        path = shipped
    elif not path.exists() and path.name == name and not path.suffix:
        names = ", ".join(sorted(file.stem for file in AIRCRAFT_DIR.glob("*.yaml")))
        raise InputError(name, "", f"is neither a file nor a shipped aircraft; shipped: {names}")
    return load_aircraft(path)


def _faults(_):
    from .faults import CATALOGUE
    from .listings import fault_lines

    print("\n".join(fault_lines(CATALOGUE.values(), _width())))
    return OK


def _scenarios(_):
    from .listings import scenario_lines
    from .scenario import shipped_scenarios

    print("\n".join(scenario_lines(shipped_scenarios(), _width())))
    return OK


if __name__ == "__main__":
    sys.exit(main())
