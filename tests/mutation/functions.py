"""Changes inside functions: pytest collects the tests once, and every mutant gets a fork of that process.

In the fork the changed function's code takes the place of the real one, and the tests that call this function run until
one fails: first those that noticed a change of this function before, then those of the file of the same name, then the
quickest.
"""

import gc
import sys
import time
from pathlib import Path

from _pytest.runner import runtestprotocol

from tests.mutation.pool import KILLED, SURVIVED, Pool
from tests.mutation.source import function_mutants

ROOM = Path("controller").resolve()
BUDGET_SECONDS = 1.5


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
