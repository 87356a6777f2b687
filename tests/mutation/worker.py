"""Tries the changes: `python -m tests.mutation.worker functions|constants ORDER.json`, in a copy of the project."""

import json
import sys
from pathlib import Path

import pytest

from tests.mutation.constants import try_constants
from tests.mutation.functions import FunctionLoop

PYTEST = ["-q", "-s", "-p", "no:cacheprovider", "-o", "addopts=", "--tb=native", "-m", "not deep"]


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
