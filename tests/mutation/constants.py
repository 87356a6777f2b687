"""Integers outside functions: a fork of a process that has not imported the controller yet finds the changed file.

tests/unit/test_constants.py tries first, without pytest; every unit test where it notices nothing.
"""

import importlib
import importlib.abc
import importlib.util
import sys
from pathlib import Path

import pytest

from tests.mutation.pool import KILLED, SURVIVED, Pool
from tests.mutation.source import constant_mutants

ROOM = Path("controller").resolve()
CONSTANT_TESTS = "unit.test_constants"
PYTEST = ["-q", "-s", "-x", "-p", "no:cacheprovider", "-o", "addopts=", "--tb=native", "-m", "not deep", "tests/unit"]


class Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Finds one module with changed source."""

    def __init__(self, mutant):
        self.module = "controller." + mutant.file.removesuffix(".py")
        self.path = str(ROOM / mutant.file)
        self.source = mutant.source

    def find_spec(self, name, path, target=None):
        return importlib.util.spec_from_file_location(name, self.path, loader=self) if name == self.module else None

    def get_filename(self, name):
        return self.path

    def get_data(self, path):
        return self.source.encode()

    def path_stats(self, path):
        # No cached byte code: it would be that of the sound file.
        raise OSError


def cases(function):
    """The arguments of each case of a test function with at most one `parametrize`."""
    marks = [mark for mark in getattr(function, "pytestmark", ()) if mark.name == "parametrize"]
    if not marks:
        return [{}]
    (mark,) = marks
    names, values = mark.args
    names = [name.strip() for name in names.split(",")] if isinstance(names, str) else names
    return [dict(zip(names, value if len(names) > 1 else [value], strict=True)) for value in values]


def run_plainly(report):
    """test_constants.py without pytest, which takes a tenth of the time: KILLED where anything is raised."""
    sys.path.insert(0, "tests")
    name = "import"
    try:
        module = importlib.import_module(CONSTANT_TESTS)
        for name, function in list(vars(module).items()):
            if name.startswith("test_"):
                for case in cases(function):
                    function(**case)
    except Exception:
        report(f"{CONSTANT_TESTS}::{name}")
        return KILLED
    return SURVIVED


def run_all(report):
    """Every unit test."""
    failed = Failed()
    code = pytest.main(PYTEST, plugins=[failed])
    report(failed.name)
    return SURVIVED if code == 0 else KILLED


def try_constants(order):
    """(tests that fail without a change, results): test_constants.py first, every test where it notices nothing."""
    sound = Pool(1)
    sound.run(None, run_plainly)
    failed = [killer for _, how, killer in sound.finish() if how != "survived"]
    if failed:
        return failed, []

    def try_each(mutants, run):
        pool = Pool(order["jobs"])
        for mutant in mutants:

            def attempt(report, mutant=mutant):
                sys.meta_path.insert(0, Changed(mutant))
                return run(report)

            pool.run(mutant, attempt)
        return pool.finish()

    only = {tuple(key) for key in order["only"]}
    mutants = [m for file in order["files"] for m in constant_mutants(file, (ROOM / file).read_text())]
    first = try_each([m for m in mutants if not only or m.key in only], run_plainly)
    spared = {tuple(key) for key in order["spared"]}
    left = [mutant for mutant, how, _ in first if how == "survived" and mutant.key not in spared]
    kept = [row for row in first if row[0] not in left]
    return [], kept + try_each(left, run_all)


class Failed:
    """Remembers the first test that failed."""

    name = "import"

    def pytest_runtest_logreport(self, report):
        if report.failed and self.name == "import":
            self.name = report.nodeid
