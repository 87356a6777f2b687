"""The short form: at least one break of every requirement, each tried on one means that claims it.

The means is the unit tests that carry the requirement's mark, or the one that a break names under `short`.
"""

from concurrent.futures import ThreadPoolExecutor

from .breaks import REQUIREMENTS
from .matrix import MISSED, REJECTED, Copies
from .means import MeansError, all_means, look
from .page import summary

UNIT = "unit"


def chosen(breaks):
    """One break for each requirement; a break of two requirements serves both. Those that name a means come first."""
    named = [one for one in breaks if one.short]
    left = [one for one in breaks if not one.short and UNIT not in one.blind]
    served = {requirement for one in named for requirement in one.requirements}
    for requirement in REQUIREMENTS:
        if requirement in served:
            continue
        one = next((one for one in left if requirement in one.requirements), None)
        if one is not None:
            named.append(one)
            served |= set(one.requirements)
    return named


def stages_of(a_break, means):
    """What to run: the first stage only, which for tests is the marked ones."""
    return means[a_break.short or UNIT].stages(a_break.requirements, a_break.file)[:1]


def _try(copy, a_break, means):
    with copy.broken(a_break):
        try:
            return look(copy, stages_of(a_break, means))
        except MeansError as error:
            return error


def _control(copy, breaks, means):
    """The unbroken copy passes the unit tests that the breaks are tried on. "" or one line.

    Other means run on the unbroken source by their own commands.
    """
    stages = [stages_of(a_break, means)[0] for a_break in breaks if not a_break.short]
    tests = dict.fromkeys(part for stage in stages for part in stage if part.startswith("tests/unit/"))
    options = [part for part in stages[0] if not part.startswith("tests/unit/")]
    try:
        found = look(copy, [[*options, *tests]])
    except MeansError as error:
        return str(error)
    return f"the unbroken copy is rejected by {found.by}" if found.rejects else ""


def run_short(jobs, breaks, tell):
    """The evidence of the short form (page.summary)."""
    means = {one.name: one for one in all_means()}
    breaks = chosen(breaks)
    cells, by, problems = {}, {}, []
    with Copies(jobs) as copies, ThreadPoolExecutor(jobs) as pool:
        control = pool.submit(copies.lend, _control, breaks, means)
        waiting = [(one, pool.submit(copies.lend, _try, one, means)) for one in breaks]
        for a_break, done in waiting:
            found, name = done.result(), a_break.short or UNIT
            rejected = getattr(found, "rejects", False)
            cells[a_break.id] = {name: REJECTED if rejected else MISSED + str(found)}
            by[a_break.id] = {name: getattr(found, "by", "")}
            if not rejected:
                problems.append(f"{a_break.id}: {name} does not reject it: {found}")
            tell(f"{a_break.id} ({', '.join(a_break.requirements)}): {cells[a_break.id][name]} by {name}")
        problem = control.result()
    if problem:
        problems.append(problem)
    tell(f"control: {problem or 'the unbroken copy passes all of it'}")
    return summary(breaks, cells, by, problems, "python -m tests.seeded --short")
