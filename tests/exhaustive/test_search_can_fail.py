"""Each search finds deliberate breaks of the source it searches, with the shortest way there: run in a copy."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from .breaks import BREAKS

ROOT = Path(__file__).parents[2]


def copy_of_project(folder):
    """What a search needs, under `folder`."""
    for name in ("controller", "tests/exhaustive", "host_sim"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.png"))
    return folder


def search_in(folder, name):
    """(exit code, what was printed, the JSON) of one search of the project in `folder`."""
    command = [sys.executable, "-m", "tests.exhaustive", "--only", name, "--jobs", "1", "--first-failure"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=600)
    file = folder / "out/evidence/search.json"
    return done.returncode, done.stdout + done.stderr, json.loads(file.read_text()) if file.exists() else None


QUICK = ("both coils",)
CASES = [name if name in QUICK else pytest.param(name, marks=pytest.mark.deep) for name in BREAKS]


def test_every_break_hits_one_place_of_the_present_source():
    sources = {path.name: path.read_text() for path in (ROOT / "controller").glob("*.py")}
    assert [name for name, (file, old, *_) in BREAKS.items() if sources[file].count(old) != 1] == []


@pytest.mark.parametrize("name", CASES)
def test_break_is_found(name, tmp_path):
    file, old, new, search, words = BREAKS[name]
    path = copy_of_project(tmp_path) / "controller" / file
    source = path.read_text()
    path.write_text(source.replace(old, new))
    code, printed, told = search_in(tmp_path, search)
    assert code == 1, printed
    assert not told["holds"]
    broken = [line for result in told["searches"] for violation in result["broken"] for line in violation]
    assert any(words in line for line in broken), broken
    assert any("tick" in line for line in broken), "no trace"
