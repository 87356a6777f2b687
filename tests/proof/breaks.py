"""Deliberate breaks of the source, each of which a proof has to reject: a proof that cannot fail proves nothing."""

import inspect
import sys
import tomllib
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path

from .proving import Proof, replaced
from .registry import PROOFS

# {what it does: {file, proof, old, new, goal}}
BREAKS = tomllib.loads(Path(__file__).with_name("breaks.toml").read_text())


@contextmanager
def broken(module_name, old, new):
    """Everything that `module_name` defines, its source changed at one place, wherever it is used."""
    module = import_module(f"controller.{module_name}")
    source = inspect.getsource(module)
    if source.count(old) != 1:
        raise ValueError(f"the break has to hit exactly one place of {module_name}.py: {old!r}")
    before = dict(vars(module))
    own = [name for name, value in before.items() if getattr(value, "__module__", "") == module.__name__]
    users = [m for name, m in sys.modules.items() if name.startswith(("controller.", f"{__package__}."))]
    uses = [(user, name) for user in users for name in own if vars(user).get(name) is before[name]]
    try:
        exec(compile(source.replace(old, new), module.__file__, "exec"), vars(module))
        for user, name in uses:
            setattr(user, name, vars(module)[name])
        yield
    finally:
        vars(module).update(before)
        for user, name in uses:
            setattr(user, name, before[name])


def goals_that_fail(name):
    """Names of the goals that break `name` makes fail, up to the one that is expected."""
    one = BREAKS[name]
    with broken(one["file"], one["old"], one["new"]), replaced(Proof, "stop_at", one["goal"]):
        return [goal for goal, _ in PROOFS[one["proof"]]().failures]


def rejected_by(name):
    """The failing goal that was expected, or ""."""
    expected = BREAKS[name]["goal"]
    return next((goal for goal in goals_that_fail(name) if expected in goal), "")
