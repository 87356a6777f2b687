"""Deliberate breaks of the source, each of which a proof has to reject: a proof that cannot fail proves nothing."""

import inspect
import sys
from contextlib import contextmanager
from importlib import import_module

from .breaks_list import BREAKS
from .registry import PROOFS


@contextmanager
def broken(module_name, old, new):
    """Everything that `module_name` defines, its source changed at one place, wherever controller and proofs use it."""
    module = import_module(f"controller.{module_name}")
    source = inspect.getsource(module)
    if source.count(old) != 1:
        raise ValueError(f"the break has to hit exactly one place of {module_name}.py: {old!r}")
    space = {"__name__": module.__name__, "__package__": module.__package__}
    exec(compile(source.replace(old, new), module.__file__, "exec"), space)
    own = [name for name, value in vars(module).items() if getattr(value, "__module__", "") == module.__name__]
    swapped = []
    for user in [m for name, m in sys.modules.items() if name.startswith(("controller.", f"{__package__}."))]:
        for name in own:
            if vars(user).get(name) is vars(module)[name] and user is not module:
                swapped.append((user, name, vars(user)[name]))
    try:
        for user, name, _ in swapped:
            setattr(user, name, space[name])
        yield
    finally:
        for user, name, value in swapped:
            setattr(user, name, value)


def goals_that_fail(name):
    """Names of the goals that break `name` makes fail."""
    module_name, proof, old, new, _ = BREAKS[name]
    with broken(module_name, old, new):
        return [goal for goal, _ in PROOFS[proof]().failures]


def rejected_by(name):
    """The failing goal that was expected, or ""."""
    expected = BREAKS[name][4]
    return next((goal for goal in goals_that_fail(name) if expected in goal), "")
