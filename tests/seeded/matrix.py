"""Every break against every means that claims one of its requirements, and the controls the other way round."""

import time
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue

from .copies import ROOT, Copy
from .means import Found, MeansError, look, run

REJECTED, NOT_CLAIMED = "rejected", "not claimed"
MISSED = "missed: "
POISON = "what is read is the copy"


class Copies:
    """As many copies as there are jobs; each is one worker's at a time."""

    def __init__(self, jobs):
        self._free = SimpleQueue()
        self._all = [Copy() for _ in range(jobs)]
        for copy in self._all:
            self._free.put(copy)
        self.root = self._all[0].root

    def __enter__(self):
        return self

    def __exit__(self, *_):
        for copy in self._all:
            copy.__exit__()

    def lend(self, work, *arguments):
        """work(copy, *arguments) with a copy that nobody else has."""
        copy = self._free.get()
        try:
            return work(copy, *arguments)
        finally:
            self._free.put(copy)


def control(copy, means):
    """ "" when the means passes the unbroken copy and reads nothing but the copy, else one line."""
    try:
        found = look(copy, means.stages(()))
        claims = means.claims(copy.root)
    except MeansError as error:
        return str(error), set()
    if found.rejects:
        return f"rejects the unbroken copy: {found.by}", claims
    source = copy.source("codes.py")
    copy.put("codes.py", f'{source}\n\nraise ImportError("{POISON}")\n')
    try:
        status, output = run(copy, means.stages(())[-1])
    finally:
        copy.put("codes.py", source)
    if status == 0 or POISON not in output:
        return "does not read the controller of the copy", claims
    return "", claims


def run_controls(copies, means, jobs, tell):
    """({means: requirements it claims}, [problems]) from the unbroken copy."""
    claims, problems = {}, []
    with ThreadPoolExecutor(jobs) as pool:
        waiting = [(one, pool.submit(copies.lend, control, one)) for one in means]
        for one, done in waiting:
            problem, claims[one.name] = done.result()
            if problem:
                problems.append(f"{one.name}: {problem}")
            tell(f"control {one.name}: {problem or 'passes the unbroken copy, and reads it'}")
    return claims, problems


def try_break(copy, a_break, means, claims, blind=True):
    """{means: Found, None where it does not claim the break, or MeansError} of one break.

    Without `blind` a means that says why it cannot see the break is taken at its word.
    """
    found = {}
    with copy.broken(a_break):
        status, output = run(copy, ["-m", "tests.seeded.ticks"])
        if status != 0:
            raise MeansError(f"{a_break.id} crashes the controller: {output.splitlines()[-1]}")
        for one in means:
            started = time.monotonic()
            found[one.name] = None
            if claims[one.name] & set(a_break.requirements):
                is_told = one.name in a_break.blind and not blind
                found[one.name] = Found(False, "not tried again") if is_told else _look_at(copy, one, a_break)
            found[one.name, "s"] = time.monotonic() - started
    return found


def _look_at(copy, means, a_break):
    try:
        return look(copy, means.stages(a_break.requirements, a_break.file))
    except MeansError as error:
        return error


def verdict(a_break, means_name, found):
    """(cell, problem) of a break and a means; the problem is "" where the cell is as it has to be."""
    reason = a_break.blind.get(means_name)
    if found is None:
        return NOT_CLAIMED, f"{means_name} does not claim it, and has a sentence" if reason else ""
    if not isinstance(found, Found) and not reason:
        return f"not tried: {found}", str(found)
    if getattr(found, "rejects", False):
        return REJECTED, f"{means_name} rejects it, and has a sentence why it cannot" if reason else ""
    if reason:
        return MISSED + reason, ""
    return MISSED + "no reason is given", f"{means_name} misses it and nothing says why"


def run_matrix(copies, breaks, means, claims, jobs, tell, is_part=False, blind=True):
    """{break id: {means: cell}}, {break id: {means: by}}, [problems], {means: seconds}."""
    cells, by, problems, seconds = {}, {}, [], dict.fromkeys((one.name for one in means), 0.0)
    with ThreadPoolExecutor(jobs) as pool:
        waiting = [(one, pool.submit(copies.lend, try_break, one, means, claims, blind)) for one in breaks]
        for a_break, done in waiting:
            found = done.result()
            cells[a_break.id], by[a_break.id] = {}, {}
            for one in means:
                cell, problem = verdict(a_break, one.name, found[one.name])
                cells[a_break.id][one.name] = cell
                by[a_break.id][one.name] = getattr(found[one.name], "by", "")
                seconds[one.name] += found[one.name, "s"]
                if problem:
                    problems.append(f"{a_break.id}: {problem}")
            if REJECTED not in cells[a_break.id].values() and not is_part:
                problems.append(f"{a_break.id}: nothing rejects it")
            tell(_told(a_break, cells[a_break.id]))
    return cells, by, problems, seconds


def _told(a_break, cells):
    rejecting = [name for name, cell in cells.items() if cell == REJECTED]
    missing = [name for name, cell in cells.items() if cell not in (REJECTED, NOT_CLAIMED)]
    line = f"{a_break.id}: rejected by {', '.join(rejecting) or 'nothing'}"
    return line + (f"; missed by {', '.join(missing)}" if missing else "")


def known_claims(means):
    """Claims without a control run: from the project's own out/evidence."""
    return {one.name: one.claims(ROOT) for one in means}
