"""One search from its plan to what is told of it: lines for people, a record for the JSON."""

import time

from .conformance import compare
from .search import Search, TooLarge, Violation

N_TRACES = 150
MOST_STATES_SHORT = 1_500_000


def run_plan(plan, with_liveness=True):
    """A dict of plain values, so that it can come from another process."""
    began = time.perf_counter()
    # A broken counter without a bound has to end the short searches soon; the largest has 650,000.
    most_states = min(plan.most_states, MOST_STATES_SHORT) if plan.short else plan.most_states
    search = Search(plan.build(), most_states, plan.most_levels)
    broken, asked = [], []
    try:
        broken = [violation.lines() for violation in search.run()]
        if not broken and search.complete == bool(plan.limit == "bounded"):
            broken.append(["the search ended early, or was called bounded and is not"])
        if not broken and plan.flown:
            broken = _hold_wiring(search, plan)
        if not broken and with_liveness and plan.asks is not None:
            for question in plan.asks(plan.settings):
                what, ticks = question.ask(search)
                asked.append({"what": question.what, "within_ticks": question.within, "suffices_ticks": ticks})
                if what:
                    broken.append([what])
    except TooLarge as too_large:
        broken.append([f"not searched: {too_large}"])
    return {
        "name": plan.name, "what": plan.what, "scope": plan.scope, "limit": plan.limit,
        "requirements": list(plan.requirements),
        "states": search.states, "transitions": search.transitions, "complete": search.complete,
        "pairs_run": search.network.pairs_run, "letters": len(search.network.letters), "asked": asked, "broken": broken,
        "ticks_deep": len(search.levels) - 1, "seconds": round(time.perf_counter() - began, 1),
    }  # fmt: skip


def _hold_wiring(search, plan):
    differs, where = compare(search, plan.settings, N_TRACES)
    if not differs:
        return []
    return [Violation(f"Controller.tick does not do what was searched: {differs}", where).lines()]


def lines_of(result):
    """What a person reads of one search."""
    out = [
        f"{result['name']} ({result['what']}): {result['states']:,} states, {result['transitions']:,} transitions, "
        f"{result['letters']} letters, {result['ticks_deep']} ticks deep, {result['seconds']} s; {result['scope']}"
    ]
    for question in result["asked"]:
        out.append(f"    {question['what']}: {question['suffices_ticks']} of {question['within_ticks']} ticks allowed")
    for violation in result["broken"]:
        out += ["  BROKEN"] + [f"    {line}" for line in violation]
    return out


def record(results, command, seconds):
    """The JSON of a run."""
    ids = sorted({name for result in results for name in result["requirements"]})
    requirements = {}
    for name in ids:
        watched = [result for result in results if name in result["requirements"]]
        states = sum(result["states"] for result in watched)
        searches = "search" if len(watched) == 1 else "searches"
        limits = [result["limit"] for result in watched if result["limit"]]
        told = "".join(f", {limits.count(limit)} {limit}" for limit in sorted(set(limits)))
        requirements[name] = {
            "holds": not any(result["broken"] for result in watched),
            "what": f"{len(watched)} {searches}{told}, {states:,} states",
            "searches": [result["name"] for result in watched],
        }
    return {
        "means": "search", "command": command, "holds": not any(result["broken"] for result in results),
        "seconds": seconds,
        "totals": {
            "searches": len(results),
            "states": sum(result["states"] for result in results),
            "transitions": sum(result["transitions"] for result in results),
            "questions": sum(len(result["asked"]) for result in results),
            "violations": sum(len(result["broken"]) for result in results),
        },
        "requirements": requirements,
        "searches": [{key: value for key, value in result.items() if key != "seconds"} for result in results],
    }  # fmt: skip
