"""The commands for a board on the desk: `downlock install` and `downlock journal`."""

import contextlib
import sys
import textwrap
from pathlib import Path

from .errors import InputError
from .install.kinds import KINDS, kind_of
from .quantities import PRESSURE_UNITS


def add_commands(commands, add_unit, width, load):
    """Add both to argparse's `commands`. `add_unit` adds --unit, `width` gives columns, `load` an Aircraft of a name."""
    install = commands.add_parser(
        "install",
        help="put the controller and an aircraft's settings on a board",
        description=(
            "Put the controller and an aircraft's settings on a board that runs MicroPython, over USB. The gear is held "
            "DOWN from the first moment until the board's next power-on."
        ),
    )
    install.add_argument("board", metavar="BOARD", help=" or ".join(KINDS))
    install.add_argument("--aircraft", required=True, metavar="FILE", help="file, or name of a shipped aircraft")
    _add_port(install)
    install.add_argument("--dry-run", metavar="FOLDER", help="write the files there and touch no board")
    install.add_argument("--erase", action="store_true", help="go on where other files on the board would be erased")
    add_unit(install)
    install.set_defaults(run=lambda options: _install(options, width(), load))

    journal = commands.add_parser(
        "journal", help="fetch a board's journal, and read it", description="Fetch a board's journal, and read it."
    )
    parts = journal.add_subparsers(metavar="pull|show", required=True)
    pull = parts.add_parser(
        "pull",
        help="fetch the journal from a board",
        description="Fetch the journal from a board. The gear is held DOWN until the board's next power-on.",
    )
    pull.add_argument("board", metavar="BOARD", nargs="?", default="", help="rp2040 or esp32 (default: what answers)")
    _add_port(pull)
    pull.add_argument("-o", "--output", required=True, metavar="FILE", help="write the dump there")
    pull.set_defaults(run=lambda options: _pull(options, width()))

    show = parts.add_parser("show", help="print what a fetched journal says", description="Print what a journal says.")
    show.add_argument("file", metavar="FILE", help="a dump from 'downlock journal pull'")
    show.add_argument("--unit", choices=PRESSURE_UNITS, default="bar", help="unit of pressures (default: bar)")
    show.add_argument("--csv", metavar="FILE.csv", help="write every record there")
    show.set_defaults(run=lambda options: _show(options, width()))


def _add_port(parser):
    parser.add_argument("--port", default="", metavar="PORT", help="serial port (default: the one that looks like it)")


def _install(options, width, load):
    from .install import copying, layout, ports, summary
    from .install.fileset import build_set
    from .install.link import Link
    from .install.refuse import refuse_shipped, refuse_voltages, refuse_wrong

    kind = kind_of(options.board)
    aircraft = load(options.aircraft)
    unit = options.unit or aircraft.unit
    refuse_wrong(aircraft, unit)
    refuse_voltages(aircraft, kind)
    if options.dry_run is None:
        refuse_shipped(aircraft)
    fileset = build_set(kind, aircraft.packed, aircraft.valve_kind, aircraft.servo_down_us, aircraft.servo_up_us)
    if options.dry_run is not None:
        return _dry_run(options.dry_run, kind, fileset, aircraft, unit, width)
    port = ports.choose(kind, options.port, ports.present())
    link, stopped = Link(port), ""
    try:
        # What can be refused without moving anything is refused before this.
        link.open()
        print(f"{kind.title} at {port.device}{f' ({port.words})' if port.words else ''}")
        print(textwrap.fill(summary.CAUTION_BEFORE, width), flush=True)
        stopped = summary.STOPPED_WHILE_ASKING
        link.enter()
        stopped = summary.STOPPED_IN_SERVICE
        firmware = layout.check_firmware(link, kind)
        copying.prepare(link, kind, fileset, options.erase)
        stopped = copying.AFTER_BREAK
        with _progress() as progress:
            done, written, removed = copying.copy(link, kind, fileset, progress)
        stopped = ""
    except copying.Unfinished as error:
        raise InputError(error.file, "", f"{error.what}. {copying.AFTER_BREAK}") from None
    except KeyboardInterrupt:
        _say_stopped(stopped)
        raise
    finally:
        link.close()
    print(f"Installed on the {kind.title} at {link.port.device}, MicroPython {firmware}:")
    for sentence in done:
        print(f"  {sentence}")
    print(f"  {'copied':<12}{summary.copied_line(fileset, written, removed)}")
    print("\n".join(summary.set_lines(fileset, aircraft, unit, width)))
    print("\n".join(summary.next_lines(kind, aircraft, width)))
    return 0


def _dry_run(folder, kind, fileset, aircraft, unit, width):
    from .install import summary
    from .install.fileset import MANIFEST
    from .install.layout import BOOT_SOURCE

    target = Path(folder)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise InputError(f"--dry-run {folder}", "", "exists already; name a folder that does not exist or is empty")
    files = fileset.files | {MANIFEST: fileset.manifest}
    if kind.split_flash:
        files["boot.py"] = BOOT_SOURCE.read_bytes()
    try:
        for path, data in files.items():
            (target / path).parent.mkdir(parents=True, exist_ok=True)
            (target / path).write_bytes(data)
    except OSError as error:
        raise InputError(f"--dry-run {folder}", "", f"cannot be written: {error.strerror or error}") from None
    print(f"Written to {target}, no board was touched; for an {kind.title}:")
    print("\n".join(summary.set_lines(fileset, aircraft, unit, width)))
    return 0


def _say_stopped(words):
    """What Ctrl-C leaves behind on the board."""
    if words:
        print(f"downlock: {words}", file=sys.stderr)


@contextlib.contextmanager
def _progress():
    """A function (bytes done, bytes in all) that draws a bar where somebody sees it."""
    if not sys.stderr.isatty():
        yield lambda done, total: None
        return
    from tqdm import tqdm

    with tqdm(unit="B", unit_scale=True, leave=False, desc="copying") as bar:

        def move(done, total):
            bar.total = total
            bar.update(done - bar.n)

        yield move


def _pull(options, width):
    from .install import ports, summary
    from .install.journal_pull import pull
    from .install.link import Link

    target = Path(options.output)
    if target.is_dir() or not target.absolute().parent.is_dir():
        raise InputError(f"-o {options.output}", "", "name a file in a folder that exists")
    wanted = [kind_of(options.board)] if options.board else list(KINDS.values())
    port = ports.choose_any(wanted, options.port, ports.present())
    link, stopped = Link(port), ""
    try:
        link.open()
        print(f"Board at {port.device}{f' ({port.words})' if port.words else ''}")
        print(textwrap.fill(summary.CAUTION_BEFORE, width), flush=True)
        stopped = summary.STOPPED_WHILE_ASKING
        link.enter()
        stopped = summary.STOPPED_IN_SERVICE
        with _progress() as progress:
            data, n_used, n_repeated = pull(link, wanted, progress)
    except KeyboardInterrupt:
        _say_stopped(stopped)
        raise
    finally:
        link.close()
    try:
        target.write_bytes(data)
    except OSError as error:
        raise InputError(f"-o {options.output}", "", f"cannot be written: {error.strerror or error}") from None
    again = f", {n_repeated} of them fetched again after a wrong checksum" if n_repeated else ""
    print(f"Written: {target}, {len(data) // 1024} kB, {n_used} blocks in use{again}")
    print(f"Read it with: downlock journal show {target}")
    print("The board stays in service, gear held DOWN. To fly, take its power off and put it on again.")
    return 0


def _show(options, width):
    from .install.journal_show import show_lines, write_csv
    from .journal_read import load_journal

    records = load_journal(options.file)
    if options.csv is not None:
        write_csv(options.csv, records, options.unit)
    print("\n".join(show_lines(options.file, records, options.unit, width)))
    if options.csv is not None:
        print(f"Written: {options.csv}")
    return 0
