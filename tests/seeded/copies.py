"""A copy of the project in a temporary folder, in which one file of controller/ at a time is broken.

Nothing is ever broken in the project itself. The copy's own controller is what its tests import: it comes first on the
path of every process that is started there (`environment`), and compiled files of the last break are removed.
"""

import os
import shutil
import tempfile
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


ROOMS = ("controller", "host_sim", "tests", "boards", ".ci")
TOP = ("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore")


def project_files():
    """Paths, relative to ROOT, of all files that belong to the project."""
    inside = [path for room in ROOMS for path in (ROOT / room).rglob("*") if "__pycache__" not in path.parts]
    return sorted(path.relative_to(ROOT) for path in (*inside, *(ROOT / name for name in TOP)) if path.is_file())


class Copy:
    """The project, copied. Use as a context manager."""

    def __init__(self):
        self._held = tempfile.TemporaryDirectory(prefix="seeded-")
        self.root = Path(self._held.name)
        for path in project_files():
            target = self.root / path
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / path, target)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._held.cleanup()

    def put(self, name, text):
        """Write controller/`name`, so that the next process reads it and nothing compiled from what stood there."""
        shutil.rmtree(self.root / "controller" / "__pycache__", ignore_errors=True)
        (self.root / "controller" / name).write_text(text)

    def source(self, name):
        """What stands in controller/`name` of the copy."""
        return (self.root / "controller" / name).read_text()

    @contextmanager
    def broken(self, a_break):
        """The break is in the copy inside the `with`, and gone after it. Raises BreakError."""
        whole = self.source(a_break.file)
        self.put(a_break.file, a_break.applied(whole))
        try:
            yield
        finally:
            self.put(a_break.file, whole)

    def environment(self):
        """Environment of a process that imports the copy and nothing of the project that it was copied from."""
        return {**os.environ, "PYTHONPATH": str(self.root), "PYTHONHASHSEED": "0", "COLUMNS": "200"}
