"""Makes the drawings and the generated tables of boards/WIRING.md.

python -m tests.boards.wiring            write them
python -m tests.boards.wiring --check    say what is out of date; exit status 1 where anything is
"""

import argparse
from pathlib import Path

from .wiring_outputs import signals, valve_servo, valve_spring, valve_two_coil
from .wiring_sheets import analogue, connectors, power, pulses, switches, whole
from .wiring_symbols import clashes
from .wiring_tables import filled

ROOM = Path(__file__).parents[2] / "boards"
PAGE = ROOM / "WIRING.md"
SHEETS = (whole, power, pulses, analogue, valve_spring, valve_two_coil, valve_servo, signals, switches, connectors)


def made():
    """{path: text} of everything that is generated."""
    files = {ROOM / "drawings" / f"{sheet.name}.svg": sheet.svg() for sheet in (draw() for draw in SHEETS)}
    files[PAGE] = filled(PAGE.read_text(encoding="utf-8"))
    return files


def main(arguments=None):
    parser = argparse.ArgumentParser(prog="python -m tests.boards.wiring", description=__doc__.split("\n")[0])
    parser.add_argument("--check", action="store_true")
    check = parser.parse_args(arguments).check
    wrong = [line for draw in SHEETS for line in clashes(draw())]
    for path, text in made().items():
        if path.is_file() and path.read_text(encoding="utf-8") == text:
            continue
        if check:
            wrong.append(f"{path.relative_to(ROOM.parent)}: out of date; run python -m tests.boards.wiring")
        else:
            path.write_text(text, encoding="utf-8")
    print("\n".join(wrong) or "as it should be")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
