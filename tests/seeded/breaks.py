"""The deliberate breaks, as data: breaks/*.toml.

An entry has an id, the requirements that it breaks, one sentence in plain words, the file of controller/ and two texts
of whole lines: `old`, which must stand there exactly once, and `new`. Under `blind` stands, for a means that claims one
of these requirements and still cannot see this break, one sentence that says why. A means without such a sentence has
to reject the break, and one with a sentence has to miss it, or the sentence is out of date. `short` names the means
that the short form tries the break on, where that is not the unit tests.
"""

import tomllib
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).parent / "breaks"
REQUIREMENTS = tuple(f"SR-{number:02d}" for number in (*range(1, 26), *range(30, 37)))


class BreakError(ValueError):
    """A break that does not apply to the present source, or an entry that is not one."""


@dataclass(frozen=True)
class Break:
    """One deliberate break of one file of controller/."""

    id: str
    requirements: tuple
    sentence: str
    file: str
    old: str
    new: str
    short: str = ""
    blind: dict = field(default_factory=dict)

    def applied(self, source):
        """`source` with the break in it. Raises BreakError unless `old` stands there exactly once."""
        count = source.count(self.old)
        if count != 1:
            raise BreakError(f"{self.id}: the text to break stands {count} times in {self.file}, not once")
        broken = source.replace(self.old, self.new)
        if broken == source:
            raise BreakError(f"{self.id}: breaks nothing")
        return broken


def load_breaks():
    """All breaks, in the order of their files and of the entries. Raises BreakError for a wrong entry."""
    found = []
    for path in sorted(FOLDER.glob("*.toml")):
        for entry in tomllib.loads(path.read_text())["break"]:
            try:
                found.append(Break(**{**entry, "requirements": tuple(entry["requirements"])}))
            except (KeyError, TypeError) as error:
                raise BreakError(f"{path.name}: {entry.get('id', 'entry without an id')}: {error}") from None
    return found
