"""Runs proofs until a goal is not proved: `python -m tests.seeded.prove FILE.py`.

Only those (tests/proof, without the longest) whose own source imports the file of controller/, or whose files do; the
first of these come first. Exit status 1 at the first goal that is not proved, 0 when all are, 3 when a proof could not
be run.
"""

import ast
import sys
from functools import cache
from pathlib import Path

from tests.proof import registry
from tests.proof.worker import prove

# What tests.proof.worker calls a proof that raised.
CANNOT_RUN = "the proof can be run"
ROOT = Path(__file__).resolve().parents[2]


@cache
def imported(path):
    """Files that a file of tests/proof or of controller/ imports from these two."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom):
            room = path.parent if node.level else ROOT / "controller"
            if node.level or (node.module or "").split(".")[0] == "controller":
                stem = (node.module or "").removeprefix("controller").strip(".")
                names = [stem] if stem else [alias.name for alias in node.names]
                found |= {room / f"{name}.py" for name in names}
    return {one for one in found if one.is_file()}


def home(make_proof):
    """The file that a proof is written in; a lambda of the registry only names it."""
    module = make_proof.__module__
    if module == registry.__name__:
        module = getattr(registry, make_proof.__code__.co_names[0]).__module__
    return Path(sys.modules[module].__file__)


def distance(path, name):
    """0 where the proof's own files import controller/`name`, 1 where the files of controller/ do, None if none does."""
    own, left = set(), [path]
    while left:
        one = left.pop()
        if one.parent != ROOT / "controller" and one not in own:
            own.add(one)
            left += imported(one)
    near = {one for path in own for one in imported(path) if one.parent == ROOT / "controller"}
    if ROOT / "controller" / name in near:
        return 0
    far = {one for path in near for one in imported(path)}
    return 1 if ROOT / "controller" / name in far else None


def proofs_of(name):
    """Names of the proofs that a break of controller/`name` can fail, the nearest first."""
    found = []
    for proof, make_proof in registry.PROOFS.items():
        away = None if proof in registry.FULL_ONLY else distance(home(make_proof), name)
        if away is not None:
            found.append((away, len(found), proof))
    return [proof for _, _, proof in sorted(found)]


def main(name):
    proofs = proofs_of(name)
    for proof in proofs:
        outcome = prove(proof)
        if outcome.failures:
            goal, model = outcome.failures[0]
            print(f"FAILED {proof}: {goal}\n{model}")
            return 3 if goal == CANNOT_RUN else 1
    print(f"{len(proofs)} proofs, all proved")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
