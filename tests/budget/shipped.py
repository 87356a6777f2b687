"""The shipped aircraft as files without what their owners measured, so that a test says itself what is measured."""

import atexit
import re
import shutil
import tempfile
from pathlib import Path

from host_sim.aircraft import AIRCRAFT_DIR as SHIPPED_DIR

_SECTION = re.compile(r"^measured:.*\n(?:[ #].*\n|\n)*", re.MULTILINE)
AIRCRAFT_DIR = Path(tempfile.mkdtemp(prefix="downlock-tests-"))
atexit.register(shutil.rmtree, AIRCRAFT_DIR, ignore_errors=True)
for _path in SHIPPED_DIR.glob("*.yaml"):
    (AIRCRAFT_DIR / _path.name).write_text(_SECTION.sub("", _path.read_text(encoding="utf-8")), encoding="utf-8")
