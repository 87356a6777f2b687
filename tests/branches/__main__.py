"""`python -m tests.branches`: coverage.py over the unit tests, 100 % of lines and branches or exit code 1."""

import argparse
import ast
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOM = ROOT / "controller"
RESULT = ROOT / "out" / "evidence" / "branches.json"
CONFIG = "[run]\nbranch = True\nsource = controller\n[report]\nexclude_lines =\npartial_branches =\n"
PYTEST = ["-q", "-p", "no:xdist", "-p", "no:cacheprovider", "-o", "addopts=", "-m", "not deep", "--no-header"]


def measure(root, tests):
    """coverage.py's JSON report of `tests` over `root`/controller. SystemExit when a test fails."""
    with tempfile.TemporaryDirectory(prefix="branches-") as name:
        folder = Path(name)
        (folder / "coveragerc").write_text(CONFIG)
        environment = {**os.environ, "COVERAGE_FILE": str(folder / "data"), "PYTHONPATH": str(root)}
        # No plugin is needed, and loading them takes longer than some of the tests.
        environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        common = [sys.executable, "-m", "coverage"]
        rc = f"--rcfile={folder / 'coveragerc'}"
        run = [*common, "run", rc, "-m", "pytest", *PYTEST, *map(str, tests)]
        done = subprocess.run(run, cwd=root, env=environment, capture_output=True, text=True)
        if done.returncode != 0:
            raise SystemExit(f"the tests do not pass:\n{done.stdout[-3000:]}{done.stderr[-1000:]}")
        report = [*common, "json", rc, "-q", "-o", str(folder / "report.json")]
        subprocess.run(report, cwd=root, env=environment, check=True)
        return json.loads((folder / "report.json").read_text())


def missed(report, root):
    """["gear.py:12: ..."]: lines, branches and loop ends that no test reached, files that were not looked at."""
    found = []
    files = {Path(path).name: data for path, data in report["files"].items()}
    for path in sorted((root / "controller").glob("*.py")):
        data = files.get(path.name)
        if data is None:
            found.append(f"{path.name}: not looked at")
            continue
        found += [f"{path.name}:{line}: not run" for line in data["missing_lines"]]
        for start, end in data["missing_branches"]:
            where = "the end of the function" if end < 0 else f"line {end}"
            found.append(f"{path.name}:{start}: never goes on to {where}")
        found += [f"{path.name}:{line}: left out of the measurement" for line in data["excluded_lines"]]
        taken = {}
        for start, end in data["executed_branches"]:
            taken.setdefault(start, set()).add(end)
        for node in ast.walk(ast.parse(path.read_text())):
            # A comprehension in boot code has no branch of its own.
            if isinstance(node, ast.For) and len(taken.get(node.lineno, ())) < 2:
                found.append(f"{path.name}:{node.lineno}: loop that does not both run and end")
        for number, line in enumerate(path.read_text().splitlines(), 1):
            if re.search(r"pragma: *no", line):
                found.append(f"{path.name}:{number}: asks to be left out of a measurement")
    return found


def requirements(report):
    """{id: {holds, what}} by the files column of the table in SAFETY.md."""
    files = {Path(path).name: data["summary"] for path, data in report["files"].items()}
    found = {}
    for line in (ROOM / "SAFETY.md").read_text().splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and re.fullmatch(r"SR-\d\d", cells[0]):
            names = list(files) if cells[3] == "all" else cells[3].split()
            total = sum(files[name]["num_branches"] for name in names)
            covered = sum(files[name]["covered_branches"] for name in names)
            holds = covered == total and all(files[name]["missing_lines"] == 0 for name in names)
            found[cells[0]] = {"holds": holds, "what": f"{covered} of {total} branches taken"}
    return found


def check(root, everything=False):
    """(report, faults) of coverage over the tests at the edges, or over every unit test, of the project at `root`."""
    folder = root / "tests" / "unit"
    # The walk over all state takes long and reaches nothing that the others do not.
    edges = [path for path in sorted(folder.glob("test_*_edges.py")) if path.name != "test_state_edges.py"]
    report = measure(root, [folder] if everything else edges)
    return report, missed(report, root)


def main(arguments=None):
    parser = argparse.ArgumentParser(
        prog="python -m tests.branches", description="Is every branch taken by a unit test?"
    )
    parser.add_argument("--all", action="store_true", help="every unit test, not only those at the edges")
    chosen = parser.parse_args(arguments)
    start = time.monotonic()
    report, faults = check(ROOT, chosen.all)
    seconds = time.monotonic() - start
    for fault in faults:
        print(fault)
    files = {
        Path(path).name: {
            "lines": data["summary"]["num_statements"],
            "branches": data["summary"]["num_branches"],
            "branches_taken": data["summary"]["covered_branches"],
        }
        for path, data in sorted(report["files"].items())
    }
    totals = {key: sum(entry[key] for entry in files.values()) for key in ("lines", "branches", "branches_taken")}
    print(
        f"{totals['branches_taken']} of {totals['branches']} branches, {totals['lines']} lines of {len(files)} files,"
        f" {len(faults)} missed, {seconds:.1f} s"
    )
    RESULT.parent.mkdir(parents=True, exist_ok=True)
    result = {
        "means": "branches",
        "command": "python -m tests.branches",
        "holds": not faults,
        "seconds": round(seconds, 1),
        "totals": totals,
        "requirements": requirements(report),
        "files": files,
        "missed": faults,
    }
    RESULT.write_text(json.dumps(result, indent=1))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
