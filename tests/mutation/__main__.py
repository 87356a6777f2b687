"""`python -m tests.mutation`: tries every change in a copy and compares with equivalent.yaml."""

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
LIST = Path(__file__).with_name("equivalent.yaml")
RESULT = ROOT / "out" / "evidence" / "mutation.json"
# Of a run over some files, or some changes.
PART = RESULT.with_name("mutation_part.json")
KINDS = ("functions", "constants")
CONFIG = '\n[tool.mutmut]\nsource_paths = ["controller"]\n'


def controller_files():
    """Names of the controller's files."""
    return [path.name for path in sorted((ROOT / "controller").glob("*.py"))]


def listed():
    """{key: reason} of equivalent.yaml. An entry may name several ordinals of one change. ValueError on a bad entry."""
    entries = {}
    for entry in yaml.safe_load(LIST.read_text()) or []:
        if len(entry.get("why", "")) < 20:
            raise ValueError(f"no reason given: {entry}")
        for ordinal in entry.get("ordinals", [1]):
            key = (entry["file"], entry.get("function", ""), entry["line"], entry["becomes"], ordinal)
            if key in entries:
                raise ValueError(f"listed twice: {key}")
            entries[key] = entry["why"]
    return entries


def copy_of_project(folder):
    """What the changes are tried on: controller, unit tests, this package, and a configuration for mutmut."""
    for name in ("controller", "tests/unit", "tests/mutation"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "pyproject.toml").write_text((ROOT / "pyproject.toml").read_text() + CONFIG)


def try_changes(order, kinds):
    """[row] of the worker for each kind; SystemExit when the sound program does not pass its own tests."""
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        folder = Path(name)
        copy_of_project(folder)
        rows = []
        for kind in kinds:
            results = folder / f"{kind}.json"
            (folder / "order.json").write_text(json.dumps({**order, "results": str(results)}))
            command = [sys.executable, "-m", "tests.mutation.worker", kind, str(folder / "order.json")]
            environment = {**os.environ, "PYTHONPATH": str(folder), "PYTHONHASHSEED": "0"}
            environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
            subprocess.run(command, cwd=folder, env=environment, check=True)
            found = json.loads(results.read_text())
            if found["failed"]:
                raise SystemExit("tests that fail without any change: " + ", ".join(found["failed"][:5]))
            rows += found["mutants"]
        return rows


def chosen_tests(which):
    """Paths below the project for --tests."""
    if which == "all":
        return ["tests/unit"]
    names = which.split(",")
    if which == "edges":
        names = sorted(path.name for path in (ROOT / "tests" / "unit").glob("test_*_edges.py"))
    return [f"tests/unit/{name}" for name in names]


def key_of(row):
    return row["file"], row["function"], row["line"], row["becomes"], row["ordinal"]


def describe(key):
    file, function, line, becomes, ordinal = key
    nth = f"  ({ordinal})" if ordinal > 1 else ""
    return f"{file} {function}: {line}  ->  {becomes}{nth}"


def verdict(rows, entries, files, whole):
    """(files table, survivors not listed, stale entries). `whole`: every change of `files` was tried."""
    table = {file: {"mutants": 0, "killed": 0, "listed": 0} for file in files}
    survived = set()
    for row in rows:
        count = table[row["file"]]
        count["mutants"] += 1
        if row["how"] != "survived":
            count["killed"] += 1
            continue
        survived.add(key_of(row))
        if key_of(row) in entries:
            count["listed"] += 1
    tried = {key_of(row) for row in rows}
    stale = {key for key in entries if key[0] in files and key not in survived and (whole or key in tried)}
    return table, sorted(survived - set(entries)), sorted(stale)


def requirements(table):
    """{id: {holds, what}} by the files column of the table in SAFETY.md."""
    found = {}
    for line in (ROOT / "controller" / "SAFETY.md").read_text().splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and re.fullmatch(r"SR-\d\d", cells[0]):
            names = list(table) if cells[3] == "all" else cells[3].split()
            counts = [table[name] for name in names if name in table]
            if len(counts) < len(names):
                continue
            mutants, killed, kept = (sum(count[key] for count in counts) for key in ("mutants", "killed", "listed"))
            found[cells[0]] = {
                "holds": mutants == killed + kept,
                "what": f"{killed} of {mutants} changes noticed, {kept} listed as equivalent",
            }
    return found


def parsed(arguments):
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutation", description="Does a unit test notice each change?"
    )
    parser.add_argument("--files", help="names under controller/, with commas; all without it")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--kind", choices=KINDS, help="only changes inside functions, or only integers outside them")
    parser.add_argument("--tests", default="edges", help="edges (default), all, or files in tests/unit/, with commas")
    parser.add_argument("--again", action="store_true", help="only what nothing noticed in the last run of a part")
    parser.add_argument("--thorough", action="store_true", help="all chosen tests for the listed changes too")
    chosen = parser.parse_args(arguments)
    chosen.files = chosen.files.split(",") if chosen.files else controller_files()
    unknown = sorted(set(chosen.files) - set(controller_files()))
    if unknown:
        parser.error("no such file in controller/: " + ", ".join(unknown))
    return chosen


def say(table, left, stale, totals, seconds):
    print(f"  {'file':18} mutants  killed  listed  left")
    for file, count in table.items():
        if count["mutants"]:
            rest = count["mutants"] - count["killed"] - count["listed"]
            print(f"  {file:18} {count['mutants']:7} {count['killed']:7} {count['listed']:7} {rest:5}")
    for key in left:
        print("not noticed: " + describe(key))
    for key in stale:
        print("listed, but noticed or gone: " + describe(key))
    print(
        f"{totals['mutants']} changes, {totals['killed']} noticed ({totals['stopped']} of them by running out of time),"
        f" {totals['listed']} listed as equivalent, {len(left)} not noticed, {len(stale)} stale, {seconds:.0f} s"
    )


def main(arguments=None):
    chosen = parsed(arguments)
    start = time.monotonic()
    entries = listed()
    only = json.loads(PART.read_text())["survivors"] if chosen.again else []
    if chosen.again and not only:
        print("the last run of a part left nothing to try again")
        return 0
    order = {
        "files": chosen.files,
        "jobs": chosen.jobs,
        "tests": chosen_tests(chosen.tests),
        "spared": [] if chosen.thorough else list(entries),
        "only": only,
    }
    rows = try_changes(order, [chosen.kind] if chosen.kind else KINDS)
    whole = not (chosen.again or chosen.kind) and chosen.tests in ("edges", "all")
    table, left, stale = verdict(rows, entries, chosen.files, whole)
    totals = Counter(stopped=sum(row["how"] == "stopped" for row in rows))
    for count in table.values():
        totals.update(count)
    seconds = time.monotonic() - start
    say(table, left, stale, totals, seconds)
    complete = whole and chosen.files == controller_files()
    holds = not left and not stale
    report = {
        "means": "mutation",
        "command": "python -m tests.mutation",
        "holds": holds and complete,
        "seconds": round(seconds, 1),
        "totals": dict(totals),
        "requirements": requirements(table),
        "files": table,
        "survivors": left,
        "stale": stale,
    }
    path = RESULT if complete else PART
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(report, indent=1))
    return 0 if holds else 1


if __name__ == "__main__":
    sys.exit(main())
