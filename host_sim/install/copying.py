"""The order in which the files of a board are changed.

First the manifest goes, so that the board holds DOWN and says so; then a main.py that needs no other file says so too,
whatever the modules beside it are. The real main.py comes when all else has been read back, the manifest last, by a
rename. An interruption at any point leaves the old complete set, the new one, or a board that holds DOWN
(python -m tests.install.cuts).
"""

import base64

from . import layout
from .fileset import MAIN, MAIN_NEW, MANIFEST, MANIFEST_NEW, SETTINGS, WIRING, digest, holding_main
from .link import BoardError

PIECE_BYTES = 3072
ROUNDS = 2
_CODE = (".py", ".mpy")
# What stock firmware leaves in its file system: comments, if anything (ESP32; from memory).
STOCK_BOOT = "boot.py"


AFTER_BREAK = "Install again: until that is complete the board holds DOWN and says so"


class Unfinished(BoardError):
    """An installation broke off after the board's manifest was gone."""


def strangers(there, fileset):
    """Code on the board that is neither of this set nor of one before it: an import could take it for ours."""
    top = {folder.split("/")[0] for folder in fileset.folders}
    found = []
    for path in there.files:
        if path.endswith(_CODE) and path != MAIN and path.split("/")[0] not in top:
            found.append(path)
    return sorted(found)


def is_stock_boot(link):
    """Whether boot.py on the board is comments and blank lines only."""
    code = "print(all([not l.strip() or l.strip().startswith('#') for l in open('/boot.py')]))"
    return link.run(code) == "True"


def prepare(link, kind, fileset, may_erase):
    """Look at what is on the board, change nothing. Raises BoardError where something would be lost or be in the way."""
    layout.check_flash(link, kind)
    lost = layout.lies_there(link, kind)
    if lost and not may_erase:
        raise BoardError(
            link.port.device,
            "",
            f"holds files that would be erased: {', '.join(lost[:8])}; save what you need, then add --erase",
        )
    if kind.split_flash:
        if lost or not layout.is_divided(link):
            return
        layout.mount(link)
    there = layout.listing(link)
    if not kind.split_flash and not there.mounted:
        raise BoardError(link.port.device, "", "has no file system that can be read; put its MicroPython on it again")
    found = strangers(there, fileset)
    if not kind.split_flash and STOCK_BOOT in found and is_stock_boot(link):
        found.remove(STOCK_BOOT)
    if found and not may_erase:
        raise BoardError(
            link.port.device,
            "",
            f"holds programs that do not belong to this set: {', '.join(found[:8])}; save what you need, then add --erase",
        )


def copy(link, kind, fileset, progress=lambda done, total: None):
    """Bring the board to this set. Returns (sentences on what was done, paths that were written, paths removed).

    `progress` is called with bytes done and bytes to do. Raises Unfinished; the board then holds DOWN.
    """
    try:
        return _copy(link, kind, fileset, progress)
    except BoardError as error:
        raise Unfinished(error.file, error.where, error.what) from None


def _copy(link, kind, fileset, progress):
    # Where the flash is not divided yet there is nothing of ours, and what is mounted goes anyway.
    if not kind.split_flash or layout.is_divided(link):
        link.call("remove", f"/{MANIFEST}")
    done = layout.divide(link) if kind.split_flash else []
    link.call("remove", f"/{MANIFEST}")
    link.call("remove", f"/{MANIFEST_NEW}")
    put_main(link, holding_main(kind.name))
    for folder in fileset.folders:
        link.call("folder", f"/{folder}")
    removed = _remove_old(link, fileset)
    written = _write_all(link, fileset, progress)
    put_main(link, fileset.files[MAIN])
    put(link, MANIFEST_NEW, fileset.manifest)
    wanted = {path: digest(data) for path, data in fileset.files.items()} | {MANIFEST_NEW: digest(fileset.manifest)}
    wrong = _differing(link, wanted)
    if wrong:
        raise BoardError(
            link.port.device, "", f"does not keep what is written to it: {wrong[0]}; is its flash worn out?"
        )
    link.call("rename", f"/{MANIFEST_NEW}", f"/{MANIFEST}")
    reason = check_on_board(link, kind)
    if reason:
        raise BoardError(link.port.device, "", f"the board does not accept its files: {reason}")
    return done, [*written, MAIN, MANIFEST], removed


def put(link, path, data):
    """Write one file, in pieces of a few kilobytes."""
    for at in range(0, max(len(data), 1), PIECE_BYTES):
        piece = base64.b64encode(data[at : at + PIECE_BYTES]).decode()
        link.call("put", f"/{path}", piece, 1 if at else 0)


def put_main(link, data):
    """main.py in one step: a cut never leaves an empty one, which would say nothing."""
    put(link, MAIN_NEW, data)
    link.call("rename", f"/{MAIN_NEW}", f"/{MAIN}")


def check_on_board(link, kind):
    """What the board's own check of its files says, "" for all is well; with the code that was just installed."""
    return link.run(
        "import sys, gc\n"
        "for name in list(sys.modules):\n"
        "    if name.split('.')[0] in ('boards', 'controller'):\n"
        "        del sys.modules[name]\n"
        "gc.collect()\n"
        "from boards.common.store import check_set\n"
        f"print(check_set('/', {kind.name!r}))\n"
    )


def _remove_old(link, fileset):
    """Remove code that is not of this set; returns the paths."""
    there = layout.listing(link)
    removed = [path for path in there.files if path.endswith(_CODE) and path not in fileset.files]
    for path in removed:
        link.call("remove", f"/{path}")
    return removed


def _write_all(link, fileset, progress):
    """Write all files but main.py whose content differs, read them back, and do so once more; returns their paths."""
    wanted = {path: digest(data) for path, data in fileset.files.items() if path != MAIN}
    # Settings and wiring record last: with old modules they would be judged by the wrong rules.
    order = [path for path in wanted if path not in (*SETTINGS, *WIRING)] + [*WIRING, *SETTINGS]
    written = []
    for _ in range(ROUNDS):
        wrong = set(_differing(link, wanted))
        if not wrong:
            return written
        total, at = sum(len(fileset.files[path]) for path in wrong), 0
        for path in order:
            if path in wrong:
                put(link, path, fileset.files[path])
                written.append(path)
                at += len(fileset.files[path])
                progress(at, total)
    wrong = _differing(link, wanted)
    if wrong:
        raise BoardError(
            link.port.device, "", f"does not keep what is written to it: {wrong[0]}; is its flash worn out?"
        )
    return written


def _differing(link, wanted):
    there = layout.listing(link).files
    return [path for path, sha256 in wanted.items() if there.get(path) != sha256]
