"""What is changed: mutmut's mutants of the functions of one file, and the integers outside functions."""

import ast
import difflib
from dataclasses import dataclass

from mutmut.mutation.file_mutation import create_mutations, deep_replace


@dataclass(frozen=True)
class Mutant:
    """One change. `file` like "gear.py"; `function` like "Gear.step", "" outside functions; `line` becomes `becomes`.

    `ordinal` counts the changes of a function that read the same, from 1. `source` is the changed function's source, or
    the whole changed file outside functions.
    """

    file: str
    function: str
    line: str
    becomes: str
    ordinal: int
    source: str

    @property
    def key(self):
        return self.file, self.function, self.line, self.becomes, self.ordinal

    def __str__(self):
        nth = f"  ({self.ordinal})" if self.ordinal > 1 else ""
        return f"{self.file} {self.function}: {self.line}  ->  {self.becomes}{nth}"


def changed_lines(before, after):
    """(old, new): the lines that differ, stripped, joined by a blank."""
    diff = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return tuple(" ".join(line[2:].strip() for line in diff if line.startswith(side)) for side in ("- ", "+ "))


class _Numbered:
    """Gives equal changes of one function their ordinal."""

    def __init__(self):
        self._seen = {}

    def make(self, file, function, before, after, source):
        key = (file, function, *changed_lines(before, after))
        self._seen[key] = self._seen.get(key, 0) + 1
        return Mutant(*key, self._seen[key], source)


def function_mutants(file, text):
    """[Mutant] of `text`, the source of `file`. Needs mutmut's configuration in the working directory."""
    module, mutations, _, _ = create_mutations(file, text)
    owners = {}
    for statement in module.body:
        for child in getattr(getattr(statement, "body", None), "body", ()):
            owners[id(child)] = f"{statement.name.value}." if hasattr(statement, "name") else ""
    numbered = _Numbered()
    found = []
    for mutation in mutations:
        function = mutation.contained_by_top_level_function
        # In the body of a class but not in a method there are only __slots__.
        if not hasattr(function, "params"):
            continue
        name = owners.get(id(function), "") + function.name.value
        before = module.code_for_node(function)
        after = module.code_for_node(deep_replace(function, mutation.original_node, mutation.mutated_node))
        found.append(numbered.make(file, name, before, after, after.strip("\n") + "\n"))
    return found


def constant_mutants(file, text):
    """[Mutant]: every integer outside functions one more and one less."""
    lines = text.splitlines(keepends=True)
    numbered = _Numbered()
    found = []
    for statement in ast.parse(text).body:
        if not isinstance(statement, ast.Assign):
            continue
        for node in ast.walk(statement.value):
            if isinstance(node, ast.Constant) and type(node.value) is int:
                for value in (node.value + 1, node.value - 1):
                    found.append(_with_number(file, lines, node, value, numbered))
    return found


def _with_number(file, lines, node, value, numbered):
    row = node.lineno - 1
    changed = lines[row][: node.col_offset] + f"({value})" + lines[row][node.end_col_offset :]
    source = "".join([*lines[:row], changed, *lines[row + 1 :]])
    before = " ".join(lines[row].split())
    return numbered.make(file, "", before, " ".join(changed.split()), source)
