"""What is put on a board, against what the board reads; and the numbers that several files share."""

import ast
import re
import shutil

import pytest

from boards.common import early, service, store, version
from controller.codes import VALVE_SERVO, VALVE_SPRING, VALVE_TWO_COIL
from controller.packing import unpack
from controller.settings import Settings
from host_sim.errors import InputError
from host_sim.install import fileset, kinds, layout
from host_sim.install.fileset import MAIN, MANIFEST, build_set, fingerprint_of, wiring_record

LITTLEFS_INLINE_BYTES = 512
BLOCK = 4096


@pytest.fixture(scope="module", params=["rp2040", "esp32"])
def whole(request, curlew):
    """The whole set of a board."""
    return build_set(kinds.kind_of(request.param), curlew.packed, VALVE_SPRING, 0, 0)


@pytest.fixture
def folder(tmp_path, whole):
    """The set as files."""
    for path, data in (whole.files | {MANIFEST: whole.manifest}).items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(data)
    return tmp_path


def test_the_board_accepts_the_set(folder, whole, curlew):
    assert store.check_set(str(folder), whole.board) == ""
    inputs = type("Inputs", (), {})()
    store.load_settings(str(folder), inputs)
    assert inputs.settings_a == inputs.settings_b == curlew.packed
    assert unpack(inputs.settings_a, Settings()) == 0
    assert whole.manifest.decode().startswith(
        f"downlock {whole.version} {whole.board} {fingerprint_of(curlew.packed)}\n"
    )


def test_modules_have_the_format_that_boards_are_asked_for(whole):
    modules = [data for path, data in whole.files.items() if path.endswith(".mpy")]
    # Header of a .mpy file: "M", format, flags (no native code in them), bits of a small integer (MicroPython, mpyfiles).
    assert {(data[0], data[1], data[2], data[3]) for data in modules} == {(ord("M"), kinds.MPY_FORMAT, 0, 31)}


def test_everything_that_main_needs_is_in_it(whole):
    """Every import in the set's sources of a module of the project is a file of the set."""
    files = set(whole.files)
    for package, sources in kinds.kind_of(whole.board).packages:
        for source in sources.glob("*.py"):
            if f"{package}/{source.stem}.mpy" in files:
                for module in _imports(source, package):
                    assert f"{module}.mpy" in files or f"{module}/__init__.mpy" in files, (source, module)
    assert list(whole.files)[-1] == MAIN


def _imports(source, package):
    for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ImportFrom):
            continue
        base = package if node.level else ""
        name = "/".join(part for part in (base, (node.module or "").replace(".", "/")) if part)
        if node.module is None:
            yield from (f"{name}/{alias.name}" for alias in node.names)
        elif name.split("/")[0] in ("boards", "controller"):
            yield name


DAMAGE = {
    "no manifest": (lambda f: (f / "set.txt").unlink(), "no set.txt"),
    "a file is gone": (lambda f: (f / "controller/tick.mpy").unlink(), "controller/tick.mpy missing"),
    "a file is longer": (lambda f: _append(f / "controller/gear.mpy"), "controller/gear.mpy has"),
    "a bit of a file": (lambda f: _flip(f / "boards/common/loop.mpy"), "boards/common/loop.mpy damaged"),
    "main.py": (lambda f: _flip(f / "main.py"), "main.py damaged"),
    "manifest cut short": (lambda f: _cut(f / "set.txt"), "set.txt damaged"),
    "a line of the manifest gone": (lambda f: _drop_line(f / "set.txt"), "set.txt damaged"),
    "manifest is no text": (lambda f: (f / "set.txt").write_bytes(b"\xff\xfe\n\n\n"), "files cannot be read"),
    "another program beside it": (lambda f: (f / "hashlib.py").write_text(""), "hashlib.py not of the set"),
    "source beside a module": (
        lambda f: (f / "controller/gear.py").write_text(""),
        "controller/gear.py not of the set",
    ),
    "both settings copies": (lambda f: [_flip(f / n) for n in store.SETTINGS], "settings_a.dlk and its copy damaged"),
    "both wiring copies": (lambda f: [_flip(f / n) for n in store.WIRING], "wiring_a.dlw and its copy damaged"),
    "a wiring record of another valve": (
        lambda f: (f / "wiring_b.dlw").write_bytes(wiring_record(VALVE_TWO_COIL, 0, 0)),
        "wiring_b.dlw of another set",
    ),
}


def _flip(path):
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def _append(path):
    path.write_bytes(path.read_bytes() + b"\0")


def _cut(path):
    path.write_bytes(path.read_bytes()[:-1])


def _drop_line(path):
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join(lines[:5] + lines[6:]))


@pytest.mark.parametrize("case", DAMAGE)
@pytest.mark.sr("SR-30", "acts")
def test_the_board_refuses_what_is_not_the_set(folder, whole, case):
    damage, reason = DAMAGE[case]
    damage(folder)
    assert store.check_set(str(folder), whole.board).startswith(reason)


def test_a_set_for_another_board_is_refused(folder, whole):
    assert store.check_set(str(folder), "other") == f"set is for {whole.board}"


@pytest.mark.parametrize("name", [*store.SETTINGS, *store.WIRING])
@pytest.mark.sr("SR-30", "spares")
def test_one_damaged_copy_is_not_the_end(folder, whole, name):
    _flip(folder / name)
    assert store.check_set(str(folder), whole.board) == ""


@pytest.mark.parametrize("kind", [VALVE_SPRING, VALVE_TWO_COIL, VALVE_SERVO])
def test_the_board_reads_the_wiring_record(tmp_path, kind):
    for name in fileset.WIRING:
        (tmp_path / name).write_bytes(wiring_record(kind, 1150, 1875))
    wiring = early.Wiring()
    wiring.read(f"{tmp_path}/")
    assert (wiring.kind, wiring.down_us, wiring.up_us) == (kind, 1150, 1875)
    assert wiring.safe_us == (1150 if kind == VALVE_SERVO else 0)


def test_names_and_version_are_the_boards():
    assert (fileset.SETTINGS, fileset.WIRING, fileset.MANIFEST) == (store.SETTINGS, store.WIRING, store.MANIFEST)
    assert ".".join(str(number) for number in version.VERSION) == fileset.version()


def test_the_flash_of_an_rp2040_is_divided_the_same_everywhere(curlew):
    boot = layout.BOOT_SOURCE.read_text(encoding="utf-8")
    start, length = (int(n) for n in re.search(r"start=(\d+), len=(\d+)", boot).groups())
    assert (start, length) == (service.FILES_AT, service.FILES_BYTES) == (2 * BLOCK, layout.INNER_BLOCKS * BLOCK)
    ring = re.fullmatch(r"rp2\.Flash\(start=(\d+) \* 4096, len=(\d+) \* 4096\)", kinds.KINDS["rp2040"].ring)
    ring_at, ring_blocks = (int(n) for n in ring.groups())
    chip = (kinds.PROJECT / "boards" / "rp2040" / "chip.py").read_text(encoding="utf-8")
    assert f"_FLASH_START = {ring_at} * 4096" in chip and f"_FLASH_BYTES = {ring_blocks} * 4096" in chip
    assert start + length == ring_at * BLOCK and ring_at + ring_blocks == layout.STOCK_BLOCKS == service.STOCK_BLOCKS
    assert f"blocks {start // BLOCK} to {ring_at - 1}" in boot
    assert boot.encode().startswith(layout.BOOT_MARK)
    assert len(boot.encode()) <= LITTLEFS_INLINE_BYTES
    # Whole files of more than 512 bytes take whole blocks, a folder takes two; an update needs some to spare.
    files = build_set(kinds.KINDS["rp2040"], curlew.packed, 1, 0, 0)
    sizes = [len(data) for data in (*files.files.values(), files.manifest)]
    blocks = sum(-(-size // BLOCK) for size in sizes if size > LITTLEFS_INLINE_BYTES) + 2 * (len(files.folders) + 1)
    assert blocks <= layout.INNER_BLOCKS - 10


def test_a_source_that_does_not_compile_is_named(tmp_path, curlew):
    shutil.copy(kinds.PROJECT / "boards" / "__init__.py", tmp_path)
    (tmp_path / "wrong.py").write_text("if:\n")
    kind = kinds.Kind("rp2040", "", "", "", (), False, None, (("boards", tmp_path),))
    with pytest.raises(InputError, match=r"wrong\.py: does not compile: SyntaxError"):
        build_set(kind, curlew.packed, VALVE_SPRING, 0, 0)
    gone = kinds.Kind("rp2040", "", "", "", (), False, None, (("boards", tmp_path / "gone"),))
    with pytest.raises(InputError, match="a copy of the whole project"):
        build_set(gone, curlew.packed, VALVE_SPRING, 0, 0)
