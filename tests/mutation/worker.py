"""Tries the changes: `python -m tests.mutation.worker functions|constants ORDER.json`, in a copy of the project.

Functions: pytest collects the chosen tests once; each mutant is a fork in which the changed function's code takes the
place of the real one, and the tests that call this function run until one fails: first those that noticed a change of
this function before, then those of the file of the same name, then the quickest.
Constants: a fork of a process that has not imported the controller yet, which then finds the changed file.
"""

import gc
import importlib.abc
import importlib.util
import json
import os
import resource
import sys
import time
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol

from tests.mutation.source import constant_mutants, function_mutants

ROOM = Path("controller").resolve()
TESTS = "tests/unit"
CONSTANT_TESTS = "unit.test_constants"
PYTEST = ["-q", "-s", "-p", "no:xdist", "-p", "no:cacheprovider", "-o", "addopts=", "--tb=native", "-m", "not deep"]
CPU_SECONDS = 120
BUDGET_SECONDS = 1.5
SURVIVED, KILLED = 0, 1


class Pool:
    """Up to `jobs` forks at once. A fork that ends by a signal has run out of its processor time, or crashed: killed."""

    def __init__(self, jobs):
        self.jobs = jobs
        self.running = {}
        self.results = []

    def run(self, mutant, attempt, on_end=None):
        """Forks; in the child `attempt(report)` returns SURVIVED or KILLED, `report` takes the name of the killer."""
        while len(self.running) >= self.jobs:
            self.reap()
        sys.stdout.flush()
        reader, writer = os.pipe()
        pid = os.fork()
        if pid == 0:
            self._child(attempt, writer)
        os.close(writer)
        self.running[pid] = (mutant, reader, on_end)

    def _child(self, attempt, writer):
        code = KILLED
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS + 1))
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            code = attempt(lambda name: os.write(writer, name.encode()[:4000]))
        finally:
            os._exit(code)

    def reap(self):
        pid, status = os.wait()
        mutant, reader, on_end = self.running.pop(pid)
        with os.fdopen(reader, "rb") as pipe:
            killer = pipe.read().decode()
        how = "killed"
        if os.WIFSIGNALED(status):
            how, killer = "stopped", f"signal {os.WTERMSIG(status)}"
        elif os.WEXITSTATUS(status) == SURVIVED:
            how = "survived"
        self.results.append((mutant, how, killer))
        if on_end:
            on_end(how, killer)

    def finish(self):
        while self.running:
            self.reap()
        return self.results


class FunctionLoop:
    """A pytest plugin in place of pytest's own loop over the tests.

    `spared` are the keys of changes that get only the tests of the first BUDGET_SECONDS: those listed as equivalent, for
    which every test would have to run every time.
    """

    def __init__(self, order):
        self.order = order
        self.spared = {tuple(key) for key in order["spared"]}
        self.only = {tuple(key) for key in order["only"]}
        self.pool = Pool(order["jobs"])
        self.failed = []
        self.calls = {}
        self.seconds = {}
        self.kills = {}
        self.items = {}

    def pytest_runtestloop(self, session):
        for item in session.items:
            self._learn(item)
        if self.failed:
            return True
        gc.collect()
        gc.freeze()
        for file in self.order["files"]:
            start, done = time.monotonic(), len(self.pool.results)
            for mutant in function_mutants(file, (ROOM / file).read_text()):
                if not self.only or mutant.key in self.only:
                    self._try(mutant)
            self.pool.finish()
            left = sum(how == "survived" for _, how, _ in self.pool.results[done:])
            count = len(self.pool.results) - done
            print(f"  {file:18} {count:4} mutants, {left:3} not noticed, {time.monotonic() - start:4.0f} s", flush=True)
        return True

    def _learn(self, item):
        """One run of the sound program: does the test hold, how long does it take, which functions does it call?"""
        called = set()

        def note(frame, event, _):
            if event == "call":
                called.add(frame.f_code)

        start = time.process_time()
        sys.setprofile(note)
        reports = runtestprotocol(item, log=False, nextitem=None)
        sys.setprofile(None)
        if any(hasattr(report, "wasxfail") for report in reports):
            return
        if any(report.failed for report in reports):
            self.failed.append(item.nodeid)
            return
        self.items[item.nodeid] = item
        self.seconds[item.nodeid] = time.process_time() - start
        for code in called:
            if code.co_filename.startswith(str(ROOM)):
                self.calls.setdefault((Path(code.co_filename).name, code.co_qualname), []).append(item.nodeid)

    def _names(self, mutant):
        """The tests for `mutant`, in order."""
        place = (mutant.file, mutant.function)
        kills = self.kills.setdefault(place, {})
        stem = "test_" + mutant.file.removesuffix(".py")

        def rank(name):
            return -kills.get(name, 0), f"{stem}_edges" not in name, stem not in name, self.seconds[name]

        names, seconds = [], 0.0
        for name in sorted(self.calls.get(place, ()), key=rank):
            seconds += self.seconds[name]
            if seconds > BUDGET_SECONDS and mutant.key in self.spared:
                break
            names.append(name)
        return names

    def _try(self, mutant):
        names = self._names(mutant)

        def attempt(report):
            put_in_place(mutant)
            for name in names:
                if any(r.failed for r in runtestprotocol(self.items[name], log=False, nextitem=None)):
                    report(name)
                    return KILLED
            return SURVIVED

        def on_end(how, killer):
            if how == "killed":
                kills = self.kills[mutant.file, mutant.function]
                kills[killer] = kills.get(killer, 0) + 1

        self.pool.run(mutant, attempt, on_end)


def put_in_place(mutant):
    """The code of the changed function takes the place of the real one, in the module as it is loaded."""
    module = sys.modules["controller." + mutant.file.removesuffix(".py")]
    target = module
    for part in mutant.function.split("."):
        target = getattr(target, part)
    space = {}
    exec(compile(mutant.source, module.__file__, "exec"), dict(vars(module)), space)
    target.__code__ = next(iter(space.values())).__code__


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
    code = pytest.main([*PYTEST, "-x", TESTS], plugins=[failed])
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


def main(kind, path):
    """`path`: JSON with files, jobs, tests, spared, only, results (where to write to)."""
    assert "controller" not in sys.modules
    order = json.loads(Path(path).read_text())
    failed = []
    if kind == "functions":
        loop = FunctionLoop(order)
        code = pytest.main([*PYTEST, *order["tests"]], plugins=[loop])
        failed, results = loop.failed, loop.pool.results
        if code != 0 and not failed:
            failed = [f"pytest ended with {code}"]
    else:
        failed, results = try_constants(order)
    rows = [{**vars(mutant), "source": "", "how": how, "killer": killer} for mutant, how, killer in results]
    Path(order["results"]).write_text(json.dumps({"failed": failed, "mutants": rows}))


if __name__ == "__main__":
    main(*sys.argv[1:])
