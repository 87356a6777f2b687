"""The controller's dialect, read from its source: integers, one condition per decision, nothing that allocates or raises.

Each rule names its reason. Boot code (`__init__` and the functions of BOOT) may allocate; nothing may use floats.
"""

import ast
from pathlib import Path

import pytest

ROOM = Path(__file__).parents[2] / "controller"
FILES = sorted(ROOM.glob("*.py"))
# Runs once, before the first tick.
BOOT = {
    "packing.py": {"pack", "unpack", "choose", "crc32_bytes"},
    "checks.py": {"_time_fault"},
    "settings.py": {"range_fault"},
}
TRY_ALLOWED = {"cycle.py"}
CALLS_THAT_HIDE_A_DECISION = {"min", "max", "any", "all", "abs", "sum", "sorted", "filter", "map", "zip"}
CALLS_THAT_ALLOCATE = {"list", "dict", "set", "tuple", "str", "bytes", "bytearray", "enumerate", "reversed", "print"}
NEVER = {
    ast.BoolOp: "two conditions in one decision: branch coverage would not be MC/DC",
    ast.IfExp: "a decision that branch coverage cannot see",
    ast.Lambda: "allocates",
    ast.JoinedStr: "allocates",
    ast.While: "a loop without a bound",
    ast.Raise: "the safety path raises nothing",
    ast.Assert: "goes away with -O",
    ast.With: "hides a try",
    ast.Yield: "allocates",
    ast.YieldFrom: "allocates",
    ast.Await: "one tick is one call",
    ast.Global: "state lives in objects made at boot",
    ast.Nonlocal: "state lives in objects made at boot",
    ast.Starred: "allocates",
    ast.NamedExpr: "a statement hidden in a condition",
    ast.Match: "not in MicroPython",
    ast.Delete: "objects live from boot to power-off",
}
ALLOCATE = (ast.List, ast.Dict, ast.Set, ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp, ast.Slice)


def faults(source, name):
    """Every breach of the dialect in `source`, as 'line: reason'."""
    tree = ast.parse(source)
    found = []
    methods = {
        f.name for c in ast.walk(tree) if isinstance(c, ast.ClassDef) for f in c.body if isinstance(f, ast.FunctionDef)
    }
    for node in ast.walk(tree):
        for kind, reason in NEVER.items():
            if isinstance(node, kind):
                found.append(f"{node.lineno}: {kind.__name__}: {reason}")
        found += _simple_faults(node, name)
    for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
        if function.name != "__init__" and function.name not in BOOT.get(name, ()):
            found += _tick_faults(function, methods)
        if function.end_lineno - function.lineno > 55 and function.name != "__init__":
            found.append(f"{function.lineno}: function of more than 55 lines")
    return found


def _simple_faults(node, name):
    found = []
    line = getattr(node, "lineno", 0)
    if isinstance(node, ast.Compare):
        if len(node.ops) > 1:
            found.append(f"{line}: chained comparison: two conditions in one decision")
        if any(isinstance(op, (ast.In, ast.NotIn)) for op in node.ops):
            found.append(f"{line}: membership test: a hidden loop")
    if isinstance(node, ast.Constant) and isinstance(node.value, (float, complex)):
        found.append(f"{line}: float: not exact, and allocates")
    if isinstance(node, ast.Constant) and type(node.value) is int and node.value >= 1 << 30:
        found.append(f"{line}: {node.value} does not fit a small integer of a 32-bit board")
    if isinstance(node, (ast.Div, ast.Pow)):
        found.append("division or power that leaves the integers")
    if isinstance(node, (ast.Import, ast.ImportFrom)) and not _allowed_import(node):
        found.append(f"{line}: imports something outside the controller")
    if isinstance(node, (ast.Try, ast.ExceptHandler)) and name not in TRY_ALLOWED:
        found.append(f"{line}: exceptions are handled in one place only, cycle.py")
    if isinstance(node, ast.FunctionDef) and (node.args.vararg or node.args.kwarg or node.args.posonlyargs):
        found.append(f"{line}: *args allocate, positional-only is not in MicroPython")
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS_THAT_HIDE_A_DECISION:
        found.append(f"{line}: {node.func.id}() hides a decision or a loop")
    return found


def _allowed_import(node):
    if isinstance(node, ast.ImportFrom):
        return node.level == 1 or (node.module == "micropython" and [a.name for a in node.names] == ["const"])
    return False


def _tick_faults(function, methods):
    found = []
    called = {id(n.func) for n in ast.walk(function) if isinstance(n, ast.Call)}
    for node in ast.walk(function):
        line = getattr(node, "lineno", 0)
        if isinstance(node, ALLOCATE):
            found.append(f"{line}: {type(node).__name__} allocates in a tick")
        if isinstance(node, ast.Tuple):
            found.append(f"{line}: tuple allocates in a tick")
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name) and node.func.id in CALLS_THAT_ALLOCATE:
                found.append(f"{line}: {node.func.id}() allocates in a tick")
            if node.keywords:
                found.append(f"{line}: keyword arguments allocate")
        if (
            isinstance(node, ast.Attribute)
            and isinstance(node.ctx, ast.Load)
            and node.attr in methods
            and id(node) not in called
        ):
            found.append(f"{line}: taking a bound method allocates")
        if isinstance(node, ast.For) and not _bounded(node.iter):
            found.append(f"{line}: for over something that is not a range or a fixed list")
    return found


def _bounded(iterated):
    if isinstance(iterated, ast.Call):
        return isinstance(iterated.func, ast.Name) and iterated.func.id == "range"
    # FIELDS and the sensor list are made at boot and never grow.
    return isinstance(iterated, (ast.Name, ast.Attribute))


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
@pytest.mark.sr("SR-34", "acts")
def test_file_keeps_the_dialect(path):
    assert faults(path.read_text(), path.name) == []


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_file_fits_on_a_desk(path):
    # codes.py is tables of words, settings.py one table.
    assert len(path.read_text().splitlines()) <= 270


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_state_is_declared(path):
    """A class that a tick writes to declares its attributes, so that a misspelt one fails on the PC."""
    built_from_table = {"Settings", "Limits", "Controller"}
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ClassDef) and node.name not in built_from_table:
            names = [t.id for s in node.body if isinstance(s, ast.Assign) for t in s.targets]
            assert "__slots__" in names, f"{path.name}: {node.name}"


def test_only_gear_changes_the_mode():
    """gear.py is the only file that assigns a mode, and only one line of it leads to UP."""
    for path in FILES:
        lines = [line.strip() for line in path.read_text().splitlines()]
        to_up = [line for line in lines if line.startswith("self.mode = MODE_UP")]
        assert len(to_up) == (1 if path.name == "gear.py" else 0), path.name
        if path.name not in ("gear.py", "frames.py"):
            assert not [line for line in lines if line.startswith("self.mode =")], path.name


BREACHES = {
    "and": "def f(a, b):\n    if a and b:\n        return 1\n",
    "ternary": "def f(a):\n    return 1 if a else 0\n",
    "chain": "def f(a):\n    if 0 < a < 3:\n        return 1\n",
    "min": "def f(a):\n    return min(a, 3)\n",
    "float": "X = 0.5\n",
    "division": "def f(a):\n    return a / 2\n",
    "big": "X = 1 << 2\nY = 1073741824\n",
    "import": "import time\n",
    "import of a package": "from host_sim import cli\n",
    "try": "def f():\n    try:\n        g()\n    except Exception:\n        g()\n",
    "tuple": "def f(a):\n    return a, a\n",
    "list": "def f(a):\n    return [a]\n",
    "slice": "def f(a):\n    return a[1:2]\n",
    "f-string": "def f(a):\n    return f'{a}'\n",
    "while": "def f(a):\n    while a:\n        a -= 1\n",
    "raise": "def f():\n    raise ValueError\n",
    "assert": "def f(a):\n    assert a\n",
    "bound method": "class C:\n    def m(self):\n        g(self.m)\n",
    "loop over a call": "def f(a):\n    for x in g(a):\n        h(x)\n",
    "keyword": "def f(a):\n    g(x=a)\n",
    "in": "def f(a):\n    if a in B:\n        g()\n",
}


@pytest.mark.parametrize("breach", BREACHES, ids=list(BREACHES))
def test_each_breach_is_seen(breach):
    assert faults(BREACHES[breach], "any.py") != []
