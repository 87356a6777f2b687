"""Stand-ins of boards for tests: standin.py on the real MicroPython interpreter, reached over a pseudo-terminal.

    with StandIn(image_path) as board:
        link = board.link()

Sets for it are made of the real controller and the real boards/common/store.py, with tests/install/standin_board in place of
a chip's own folder.
"""

import contextlib
import functools
import os
import re
import select
import shutil
import subprocess
import tempfile
import time
import tty
from dataclasses import replace
from pathlib import Path

from host_sim.install import copying
from host_sim.install.fileset import MAIN, build_set, compiled
from host_sim.install.kinds import PROJECT, Kind
from host_sim.install.link import Link, open_serial
from host_sim.install.ports import Port

from .images import BLOCK_BYTES, N_BLOCKS

HERE = Path(__file__).parent
PROMPT = ">>> "


def interpreter():
    """Path of the MicroPython interpreter."""
    return shutil.which("micropython") or str(PROJECT / ".venv" / "bin" / "micropython")


@functools.cache
def standin_kind():
    """The Kind of the stand-in: an RP2040 by its flash, whatever this interpreter says of itself otherwise."""
    code = "import sys;print(sys.platform, sys.implementation._machine, sep='|')"
    said = subprocess.run([interpreter(), "-c", code], capture_output=True, text=True, check=True).stdout.strip()
    platform, _, machine = said.partition("|")
    return Kind(
        name="standin",
        title="stand-in board",
        platform=platform,
        chip=machine.rpartition(" with ")[2],
        usb_ids=(),
        split_flash=True,
        ring="rp2.Flash(start=100 * 4096, len=252 * 4096)",
        packages=_folders(),
    )


def undivided_kind():
    """The Kind of a stand-in whose flash is as stock firmware leaves it, as on an ESP32."""
    return replace(standin_kind(), title="undivided stand-in", split_flash=False, ring="None")


def _folders():
    common = PROJECT / "boards" / "common"
    own = HERE / "standin_board"
    return (
        ("controller", PROJECT / "controller"),
        ("boards", PROJECT / "boards"),
        ("boards/common", common),
        ("boards/standin", own),
    )


# Of several sizes: one block of flash, two, inside the directory.
SOME = ("checks", "codes", "persist", "tick", "valve")
PACKAGES = ("controller", "boards", "boards.common", "boards.standin")
_IMPORT = re.compile(r"^\s*(?:from\s+(\.?[\w.]*)\s+import\s+([\w, ]+|\()|import\s+([\w.]+))", re.M)


@functools.cache
def _needed():
    """Paths of the modules that the stand-in's main needs, found by their import lines, and some of the controller."""
    folders = {name: folder for name, (_, folder) in zip(PACKAGES, _folders(), strict=True)}
    found, to_read = set(), [("boards.standin", "main")]
    while to_read:
        package, module = to_read.pop()
        source = folders[package] / f"{module}.py"
        if (package, module) in found or not source.is_file():
            continue
        found.add((package, module))
        for name, names, plain in _IMPORT.findall(source.read_text(encoding="utf-8")):
            name = f"{package}{name if name != '.' else ''}" if name.startswith(".") else name or plain
            head, _, tail = name.rpartition(".")
            to_read += [(head, tail)] if head in folders else []
            to_read += [(name, one.strip()) for one in names.split(",")] if name in folders else []
    inits = {f"{package.replace('.', '/')}/__init__.mpy" for package in PACKAGES}
    inits |= {f"controller/{module}.mpy" for module in SOME}
    return inits | {f"{package.replace('.', '/')}/{module}.mpy" for package, module in found}


@functools.cache
def sample_set(packed, valve_kind=1):
    """A FileSet for the stand-in with packed settings; small, so that many installations can be cut."""
    whole = build_set(standin_kind(), packed, valve_kind, 1100, 1900)
    needed = _needed()
    files = {path: data for path, data in whole.files.items() if not path.endswith(".mpy") or path in needed}
    return replace(whole, files=files)


@functools.cache
def later_set(packed, valve_kind=1):
    """The next version of `sample_set`: a module less, one more, two others, and a name that main.py takes from part.py."""
    early = sample_set(packed, valve_kind)
    files = dict(early.files)
    files["controller/more.mpy"] = files.pop("controller/persist.mpy")
    files["controller/valve.mpy"] = files["controller/checks.mpy"]
    own = HERE / "standin_board"
    for name in ("part", "main"):
        text = (own / f"{name}.py").read_text(encoding="utf-8").replace("PART", "OTHER_PART").replace("one", "two")
        files[f"boards/standin/{name}.mpy"] = compiled_text(name, text)
    main = files.pop(MAIN)
    return replace(early, version="0.2.0", files=files | {MAIN: main})


def compiled_text(name, text):
    """The .mpy of a module's text."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / f"{name}.py"
        source.write_text(text, encoding="utf-8")
        return compiled(source)


def quick_open(device):
    """open_serial, without its patience."""
    transport = open_serial(device)
    transport.serial.timeout = 0.7
    return transport


class QuickLink(Link):
    """A Link to a board that boots in no time."""

    prompt_within_s = 0.5
    back_within_s = 0.5


class StandIn:
    """One power-on of a board whose flash is kept in `image`. `cut_at` flash operations later the power goes."""

    def __init__(self, image, cut_at=-1, torn=0):
        image = Path(image)
        if not image.exists():
            image.write_bytes(b"\xff" * BLOCK_BYTES * N_BLOCKS)
        self.image = image
        ours, theirs = os.openpty()
        tty.setraw(theirs)
        self.device = os.ttyname(theirs)
        self._process = subprocess.Popen(
            [interpreter(), "-X", "heapsize=16m", str(HERE / "standin.py"), str(image), str(cut_at), str(torn)],
            stdin=ours,
            stdout=ours,
            stderr=subprocess.DEVNULL,
        )
        os.close(ours)
        self._console = theirs

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.off()

    def link(self, opener=quick_open):
        """A Link to it, not entered yet; a board that has lost its power does not come back."""
        return QuickLink(Port(self.device, "", (None, None), ""), opener, lambda port: port if self.is_on else None)

    @property
    def is_on(self):
        """Whether the power is still there."""
        return self._process.poll() is None

    def off(self):
        """Take the power off; what is in flash stays."""
        if self._console is not None:
            os.close(self._console)
            self._console = None
        self._process.kill()
        self._process.wait()

    @property
    def n_ops(self):
        """Operations on the flash since power-on; known once the power is off."""
        return int(Path(f"{self.image}.ops").read_text() or 0)

    def listen(self, *wanted, within_s=10.0):
        """What it says until one of `wanted` has been said, or it has ended. AssertionError after `within_s`."""
        said, end = b"", time.monotonic() + within_s
        while not any(text.encode() in said for text in wanted):
            assert time.monotonic() < end, f"{wanted} did not come; the board said {said[-300:]!r}"
            ready, _, _ = select.select([self._console], [], [], 0.2)
            if not ready:
                if not self.is_on:
                    break
                continue
            with contextlib.suppress(OSError):
                said += os.read(self._console, 4096)
                continue
            break
        return said.decode("utf-8", "replace")

    def type(self, keys):
        """Keys to its console."""
        os.write(self._console, keys)


def install(link, new, may_erase=False, kind=None):
    """The whole installation of `new`, as the command does it."""
    kind = kind or standin_kind()
    try:
        link.enter()
        copying.prepare(link, kind, new, may_erase)
        return copying.copy(link, kind, new)
    finally:
        link.close()
