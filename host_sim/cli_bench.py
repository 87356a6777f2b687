"""The command `downlock bench`: guided commissioning, its record, and whether an installation is ready."""

from datetime import datetime
from pathlib import Path

from .errors import InputError

STAMP = "%Y-%m-%d-%H%M%S"


def add_command(commands, add_unit, width, load):
    """Add it to argparse's `commands`. `add_unit` adds --unit, `width` gives columns, `load` an Aircraft of a name."""
    bench = commands.add_parser(
        "bench",
        help="prove an installation on the bench, step by step",
        description=(
            "Guided commissioning of a board in a model: a step at a time, with what to do, what is expected and what was "
            "seen. Results go into a dated record and into the section 'measured' of the aircraft file. With --simulated "
            "an invented model and an invented person stand in, to try it out."
        ),
    )
    bench.add_argument("aircraft", metavar="AIRCRAFT", help="file, or name of a shipped aircraft")
    bench.add_argument("--port", default="", metavar="PORT", help="serial port of the board (default: the only one)")
    bench.add_argument("--only", default="", metavar="STEP", help="one step")
    bench.add_argument("--from", default="", metavar="STEP", dest="first", help="this step and all after it")
    bench.add_argument(
        "--list", action="store_true", help="list the steps of this aircraft, and the defects to simulate"
    )
    bench.add_argument(
        "--status", action="store_true", help="what the records prove: ready, or which steps are missing"
    )
    bench.add_argument(
        "--record", default="", metavar="FOLDER", help="where records are (default: beside the aircraft file)"
    )
    bench.add_argument("--simulated", action="store_true", help="an invented model in place of a board")
    bench.add_argument("--defect", default="", metavar="NAME", help="what is wrong with the invented model; see --list")
    add_unit(bench)
    bench.set_defaults(run=lambda options: _bench(options, width(), load))


def _bench(options, width, load):
    aircraft = load(options.aircraft)
    unit = options.unit or aircraft.unit
    if options.list:
        print("\n".join(_list_lines(aircraft)))
        return 0
    folder = _folder(options, aircraft)
    if options.status:
        return _status(options, aircraft, folder)
    if options.defect and not options.simulated:
        raise InputError(f"--defect {options.defect}", "", "goes with --simulated only")
    if options.port and options.simulated:
        raise InputError(f"--port {options.port}", "", "does not go with --simulated")
    return _run(options, aircraft, unit, folder, width)


def _list_lines(aircraft):
    from .commission.defects import defect_lines
    from .commission.plan import steps_for

    steps = steps_for(aircraft)
    width = max(len(step.name) for step in steps)
    lines = [f"{aircraft.name}: steps on the bench", *(f"  {step.name:<{width}}  {step.title}" for step in steps)]
    return [
        *lines,
        "Defects for --simulated --defect NAME, the step that finds each, and what is wrong:",
        *defect_lines(),
    ]


def _folder(options, aircraft):
    """Where records are: as named, beside the file, or None for a simulated session that keeps nothing."""
    from .aircraft import AIRCRAFT_DIR

    if options.record:
        if not Path(options.record).is_dir():
            raise InputError(f"--record {options.record}", "", "is no folder that exists")
        return Path(options.record)
    if options.simulated:
        if options.status:
            raise InputError("--simulated", "", "name the folder of the simulated records with --record")
        return None
    folder = Path(aircraft.file).absolute().parent
    if folder == AIRCRAFT_DIR.absolute():
        raise InputError(
            aircraft.file, "", "is a shipped example: copy it to your own files and name the copy, or try --simulated"
        )
    return folder


def _status(options, aircraft, folder):
    from .commission.record import records_of
    from .commission.status import status_lines
    from .wording import admitted_limits

    lines, ready = status_lines(aircraft, records_of(folder, aircraft), options.simulated, options.aircraft)
    print("\n".join([*lines, *admitted_limits(aircraft)]))
    return 0 if ready else 1


def _run(options, aircraft, unit, folder, width):
    from .commission.board import BenchBoard
    from .commission.lines import LinkError
    from .commission.plan import chosen
    from .commission.record import new_record, record_path
    from .commission.session import Session, summary_lines
    from .commission.step import NOT_PASSED, Setting

    steps = chosen(aircraft, options.only, options.first)
    now = datetime.now()
    print(f"{aircraft.name}: bench. Any question takes: skip, stop." + _simulated_words(options))
    try:
        link, person = _simulated(aircraft, options) if options.simulated else _real(options)
    except LinkError as error:
        raise InputError("bench", "", str(error)) from None
    record = new_record(aircraft, link.identify(), person.name, options.simulated, now)
    path = record_path(folder, aircraft, now) if folder else None

    def keep(result):
        record.add(result)
        if path:
            record.save(path)

    session = Session(Setting(aircraft, BenchBoard(link), person, unit), steps, keep, print, width=min(width, 100))
    try:
        results = session.run()
    finally:
        link.close()
    print("\n" + "\n".join(summary_lines(results)))
    _results(aircraft, results, person, unit, folder, now, options.simulated)
    if path and results:
        print(f"Record: {path}")
    if not options.simulated:
        print(f"What counts by now: downlock bench {options.aircraft} --status")
    bad = session.stopped or session.lost or any(one.verdict == NOT_PASSED for one in results)
    return 1 if bad else 0


def _simulated_words(options):
    if not options.simulated:
        return ""
    wrong = f" with a defect: {options.defect}" if options.defect else ""
    return f"\nSIMULATED: an invented model{wrong}. It says nothing about yours."


def _simulated(aircraft, options):
    """(link, person) of an invented model."""
    from .commission.simulated import simulated_bench

    return simulated_bench(aircraft, print, options.defect)


def _real(options):
    """(link, person) of a board on a port and whoever sits at the terminal."""
    import sys

    from .commission.person import Operator
    from .commission.serial_link import SerialLink, way_to

    if not sys.stdin.isatty():
        raise InputError("bench", "", "needs a terminal: its answers come from a person; --simulated needs none")
    way = way_to(options.port)
    try:
        name = input("  ? Your name, for the record: ").strip()[:60]
    except EOFError:
        name = ""
    return SerialLink(way), Operator(name)


def _results(aircraft, results, person, unit, folder, now, simulated):
    """Measurements and an acceptance into the aircraft file, or beside it for an invented model; proposals are said."""
    from .commission.keep import keep_results

    for line in keep_results(aircraft, results, person, unit, folder, now.strftime(STAMP), simulated):
        print(line)
