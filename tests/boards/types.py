"""Do the boards' files fit the types of MicroPython's modules? mypy against the stubs of both families.

    python -m tests.boards.types

Each family's stubs go into a folder of their own (out/typings), since both bring a `machine`; they are fetched once. What
boards/common calls has to be in both. A control that calls a method of Pin that does not exist must be rejected.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
STUBS = ROOT / "out" / "typings"
# Exactly these: another version may know other names.
FAMILIES = {
    "rp2040": "micropython-rp2-stubs==1.29.0.post1",
    "esp32": "micropython-esp32-stubs==1.29.0.post1",
}
# Sent to a board of either family, with what only one of them has behind a test.
BOTH_ONLY = {"esp32": ("boards/common/service.py",)}
CONTROL = "from machine import Pin\n\nPin(1).valeu()\n"
CONFIG = """[mypy]
mypy_path = {stubs}
custom_typeshed_dir = {stubs}
follow_imports = silent
follow_imports_for_stubs = True
no_site_packages = True
check_untyped_defs = True
python_version = 3.11
"""


def fetch(board):
    """The folder of a family's stubs. Raises CalledProcessError where they cannot be had."""
    folder = STUBS / FAMILIES[board].replace("==", "-")
    if not (folder / "machine.pyi").exists() and not (folder / "machine").exists():
        command = [sys.executable, "-m", "pip", "install", "-q", "--target", str(folder), FAMILIES[board]]
        subprocess.run(command, check=True)
    return folder


def check(board, paths):
    """(exit status, output) of mypy over `paths`, as code of that board."""
    with tempfile.TemporaryDirectory() as folder:
        config = Path(folder) / "mypy.ini"
        config.write_text(CONFIG.format(stubs=fetch(board)))
        command = [sys.executable, "-m", "mypy", "--config-file", str(config), *map(str, paths)]
        done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    return done.returncode, (done.stdout + done.stderr).strip()


def files_of(board):
    """What is checked for a board."""
    found = [*(ROOT / "boards" / "common").glob("*.py"), *(ROOT / "boards" / board).glob("*.py")]
    return sorted(path for path in found if str(path.relative_to(ROOT)) not in BOTH_ONLY.get(board, ()))


def main():
    """Exit status 0 when all fit and the control does not."""
    wrong = 0
    for board in FAMILIES:
        status, said = check(board, files_of(board))
        print(f"{board} ({FAMILIES[board]}): {len(files_of(board))} files")
        if status:
            print(said)
            wrong += 1
        with tempfile.TemporaryDirectory() as folder:
            control = Path(folder) / "control.py"
            control.write_text(CONTROL)
            status, said = check(board, [control])
        if status != 1 or "valeu" not in said:
            print(f"{board}: the control was not rejected: {said}")
            wrong += 1
    print("types: FAILED" if wrong else "types: all fit, and the controls were rejected")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
