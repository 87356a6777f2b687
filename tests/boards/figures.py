"""The figures of the boards: what the emulated RP2040 shows, what holds, and what nobody has measured yet.

    python -m tests.boards.figures               run all of it and say what holds; exit status 1 when anything does not
    python -m tests.boards.figures --write       and write boards/FIGURES.md
    python -m tests.boards.figures ITEM ...      only these; --list names them

About twenty minutes of processor time; two run at once. Virtual time: the same files and the same firmware give the same
figures. What each item wrote stays in out/boards, and the page is made of all of them.
"""

import argparse
import json
import sys
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path

from tests.boards.figures_items import ITEMS
from tests.boards.figures_page import PAGE, page
from tests.boards.firmware import NoFirmware, find_firmware, load_image

OUT = Path(__file__).parents[2] / "out" / "boards"
# What the page was made of.
KEPT = Path(__file__).with_name("figures.json")


def run_item(name, firmware):
    """{"figures": ..., "wrong": [sentence, ...]} of an item, also written to out/boards."""
    run, arguments = ITEMS[name]
    figures, wrong = run(load_image(firmware), *arguments)
    found = {"figures": figures, "wrong": wrong}
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / f"{name.replace(' ', '_')}.json").write_text(json.dumps(found, indent=1) + "\n")
    return found


def stored():
    """{item: what it wrote} of all items. Raises FileNotFoundError for one that has not run."""
    return {name: json.loads((OUT / f"{name.replace(' ', '_')}.json").read_text()) for name in ITEMS}


def main(arguments=None):
    """Exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.boards.figures", description=__doc__.splitlines()[0])
    parser.add_argument("items", nargs="*", metavar="ITEM", help="items to run (default: all)")
    parser.add_argument("--list", action="store_true", help="name the items")
    parser.add_argument("--write", action="store_true", help=f"write {PAGE.name}, of all items' latest runs")
    parser.add_argument("--jobs", type=int, default=2, help="items at once (default: 2)")
    options = parser.parse_args(arguments)
    if options.list:
        print("\n".join(ITEMS))
        return 0
    for name in options.items:
        if name not in ITEMS:
            parser.error(f"'{name}' is no item; --list names them")
    try:
        firmware = find_firmware()
    except NoFirmware as error:
        print(f"figures: {error}", file=sys.stderr)
        return 1
    n_wrong = 0
    with ProcessPoolExecutor(options.jobs) as pool:
        waiting = {pool.submit(run_item, name, firmware): name for name in options.items or ITEMS}
        for done in as_completed(waiting):
            found = done.result()
            print(f"{waiting[done]}: {'holds' if not found['wrong'] else 'FAILED'} {found['figures']}", flush=True)
            for sentence in found["wrong"]:
                print(f"  {sentence}")
            n_wrong += len(found["wrong"])
    if options.write:
        try:
            found = stored()
        except FileNotFoundError as error:
            print(f"figures: not written: {Path(error.filename).stem} has not run yet", file=sys.stderr)
            return 1
        KEPT.write_text(json.dumps(found, indent=1) + "\n")
        PAGE.write_text(page(found))
        print(f"Written: {PAGE}")
    print(f"The emulated RP2040 ran {len(waiting)} items; {n_wrong} things do not hold.")
    return 1 if n_wrong else 0


if __name__ == "__main__":
    sys.exit(main())
