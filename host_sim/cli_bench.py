"""The command `downlock bench`: guided commissioning, its record, and whether an installation is ready."""

import shlex
import sys
import textwrap
from datetime import datetime
from pathlib import Path

from .errors import InputError

STAMP = "%Y-%m-%d-%H%M%S"
CAUTION = (
    "Caution: the controller is stopped now, and a gear that is up goes DOWN. Hands, tools and people clear of legs and doors; "
    "turbine not running, fuel off."
)


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
    bench.add_argument("--watch", action="store_true", help="only show what the board reads, live; drives nothing")
    bench.add_argument("--simulated", action="store_true", help="an invented model in place of a board")
    bench.add_argument("--defect", default="", metavar="NAME", help="what is wrong with the invented model; see --list")
    add_unit(bench)
    bench.set_defaults(run=lambda options: _bench(options, width(), load))


def _bench(options, width, load):
    aircraft = load(options.aircraft)
    unit = options.unit or aircraft.unit
    _refuse_together(options)
    if options.list:
        print("\n".join(_list_lines(aircraft)))
        return 0
    if options.watch:
        return _watch(options, aircraft, unit)
    folder = _folder(options, aircraft)
    if options.status:
        return _status(options, aircraft, folder)
    return _run(options, aircraft, unit, folder, width)


def _refuse_together(options):
    """Raises InputError for options of which one would be passed over."""
    if options.defect and not options.simulated:
        raise InputError(f"--defect {options.defect}", "", "goes with --simulated only")
    if options.port and options.simulated:
        raise InputError(f"--port {options.port}", "", "does not go with --simulated")
    if options.only and options.first:
        raise InputError(f"--only {options.only}", "", "does not go with --from; name one of them")
    given = ("only", "first", "record", "status", "list")
    if options.watch and any(getattr(options, name) for name in given):
        raise InputError("--watch", "", "does not go with --only, --from, --record, --status or --list")


def _list_lines(aircraft):
    from .commission.defects import defect_lines
    from .commission.plan import steps_for

    steps = steps_for(aircraft)
    width = max(len(step.name) for step in steps)
    lines = [f"{aircraft.name}: steps on the bench", *(f"  {step.name:<{width}}  {step.title}" for step in steps)]
    return [
        *lines,
        "Defects for --simulated --defect NAME, the step that finds each, and what is wrong:",
        *defect_lines(aircraft),
    ]


def _folder(options, aircraft):
    """Where records are: as named, beside the file, or None for a simulated session that keeps nothing."""
    from .install.refuse import is_shipped

    if options.record and not Path(options.record).is_dir():
        raise InputError(f"--record {options.record}", "", "is no folder that exists")
    if options.simulated and not options.record:
        if options.status:
            raise InputError("--simulated", "", "name the folder of the simulated records with --record")
        return None
    if not options.simulated and is_shipped(aircraft) and not (options.status and options.record):
        raise InputError(
            aircraft.file, "", "is a shipped example: copy it to your own files and name the copy, or try --simulated"
        )
    return Path(options.record) if options.record else Path(aircraft.file).absolute().parent


def _typed(options, *more):
    """The command as it was typed, as far as it says which aircraft and which records."""
    words = ["downlock", "bench", options.aircraft]
    words += ["--record", options.record] if options.record else []
    words += ["--simulated"] if options.simulated else []
    return shlex.join([*words, *more])


def _status(options, aircraft, folder):
    from .commission.record import records_of
    from .commission.status import status_lines
    from .install.refuse import is_shipped
    from .wording import admitted_limits

    on = "" if is_shipped(aircraft) and not options.simulated else _typed(options)
    lines, ready = status_lines(aircraft, records_of(folder, aircraft), options.simulated, on)
    print("\n".join([*lines, *admitted_limits(aircraft)]))
    return 0 if ready else 1


def _run(options, aircraft, unit, folder, width):
    from .commission.board import BenchBoard
    from .commission.plan import chosen
    from .commission.record import Keeping, check_folder, new_record, record_path
    from .commission.session import Session, summary_lines
    from .commission.step import NOT_PASSED, Setting

    steps = chosen(aircraft, options.only, options.first)
    now = datetime.now()
    if folder is not None:
        check_folder(folder)
    said = f"{aircraft.name}: bench. Any question takes: skip, stop."
    link, person = _begun(options, aircraft, said)
    record = new_record(aircraft, link.identify(), person.name, options.simulated, now)
    keeping = Keeping(record, record_path(folder, aircraft, now) if folder else None)
    setting = Setting(aircraft, BenchBoard(link), person, unit)
    session = Session(setting, steps, keeping.add, print, width=min(width, 100), is_kept=lambda: keeping.whole)
    try:
        results = session.run()
    finally:
        link.close()
    print("\n" + "\n".join(summary_lines(results)))
    _results(aircraft, results, person, unit, folder, now, options.simulated)
    for line in keeping.lines():
        print(line)
    if not options.simulated:
        print(f"What counts by now: {_typed(options, '--status')}")
    bad = session.stopped or session.lost or any(one.verdict == NOT_PASSED for one in results)
    return 1 if bad else 0


def _watch(options, aircraft, unit):
    from .commission.board import BenchBoard
    from .commission.lines import LinkError
    from .commission.step import Setting
    from .commission.watch import demonstrated, watch

    link, person = _begun(
        options, aircraft, f"{aircraft.name}: what the board reads. Nothing is driven. Ctrl-C ends it.", False
    )
    try:
        on = Setting(aircraft, BenchBoard(link), person, unit)
        watch(on, print, *([demonstrated(person)] if options.simulated else []))
    except KeyboardInterrupt:
        print("")
    except LinkError as error:
        raise InputError("bench", "", str(error)) from None
    finally:
        link.close()
    print("Ended: the board starts its controller again. A gear whose switch is at UP stays down until it was at DOWN.")
    return 0


def _begun(options, aircraft, said, asks=True):
    """(link, person): all that can be refused is refused before `said` is printed, with whom or what it is about."""
    from .commission.lines import LinkError

    try:
        if options.simulated:
            found = _simulated(aircraft, options)
            print(said + _simulated_words(options))
            return found
        return _real(options, said, asks)
    except LinkError as error:
        raise InputError("bench", "", str(error)) from None


def _simulated_words(options):
    if not options.simulated:
        return ""
    wrong = f" with a defect: {options.defect}" if options.defect else ""
    return f"\nSIMULATED: an invented model{wrong}. It says nothing about yours."


def _simulated(aircraft, options):
    """(link, person) of an invented model."""
    from .commission.simulated import simulated_bench

    return simulated_bench(aircraft, print, options.defect)


def _real(options, said, asks):
    """(link, person) of a board on a port and whoever sits at the terminal; nobody is asked where nothing answers."""
    from .commission.person import Operator
    from .commission.serial_link import SerialLink, way_to

    if asks and not sys.stdin.isatty():
        raise InputError("bench", "", "needs a terminal: its answers come from a person; --simulated needs none")
    way = way_to(options.port)
    way.open()
    try:
        print(said + "\n" + textwrap.fill(CAUTION, 100), flush=True)
        link = SerialLink(way)
    except BaseException:
        way.close()
        raise
    try:
        return link, Operator(_name() if asks else "")
    except BaseException:
        link.close()
        raise


def _name():
    try:
        return input("  ? Your name, for the record: ").strip()[:60]
    except EOFError:
        return ""


def _results(aircraft, results, person, unit, folder, now, simulated):
    """Measurements and an acceptance into the aircraft file, or beside it for an invented model; proposals are said."""
    from .commission.keep import keep_results

    for line in keep_results(aircraft, results, person, unit, folder, now.strftime(STAMP), simulated):
        print(line)
