"""Which tests carry the mark of which requirement, read from their source."""

import ast
from pathlib import Path

import yaml

TESTS = Path(__file__).resolve().parents[1]
SCENARIOS = TESTS.parent / "host_sim" / "scenarios"


def _decorators(function):
    return [node for node in function.decorator_list if isinstance(node, ast.Call)]


def _is_deep(function):
    return any(ast.unparse(node).startswith("pytest.mark.deep") for node in function.decorator_list)


def marked_tests(room, skip=()):
    """{requirement: [node ids]} of the quick tests in tests/`room`; files named in `skip` are left out."""
    found = {}
    for path in sorted((TESTS / room).glob("test_*.py")):
        if path.name in skip:
            continue
        for function in ast.walk(ast.parse(path.read_text())):
            if not isinstance(function, ast.FunctionDef) or _is_deep(function):
                continue
            for call in _decorators(function):
                if ast.unparse(call.func) == "pytest.mark.sr":
                    tests = found.setdefault(call.args[0].value, [])
                    name = f"tests/{room}/{path.name}::{function.name}"
                    if name not in tests:
                        tests.append(name)
    return found


def covering_scenarios():
    """{requirement: [names]} of the shipped scenarios, from their `covers`."""
    found = {}
    for path in sorted(SCENARIOS.glob("*.yaml")):
        for entry in yaml.safe_load(path.read_text()).get("covers", ()):
            names = found.setdefault(entry.split()[0], [])
            if path.stem not in names:
                names.append(path.stem)
    return found
