"""A campaign in plain lines and as out/evidence/nuisance.json."""

import json
from pathlib import Path

from .bound import rule_of_three
from .corners import needed

OUT = Path(__file__).parents[2] / "out" / "evidence" / "nuisance.json"
NOT_SHOWN = (
    "The distribution is invented, and every flight is simulated on a PC: the bound is for such flights only. It says "
    "nothing of a real model, of faults beyond these nuisances, or of a world that the simulator does not know."
)
# Requirement: (what its row says, causes and kinds of event that would speak against it, corners that speak for it).
ROWS = {
    "SR-02": (
        "no retraction refused with air, radio and supply in order",
        ("refused",),
        ("reads low, retraction near the permit", "brake tap right before the up stroke", "low source, gear up"),
    ),
    "SR-03": (
        "not forced while the truth is above the floor by the stated error",
        ("low air",),
        ("reads low, truth near the floor, gear up", "noise at its peak, slow", "colder by 8 K, gear up"),
    ),
    "SR-04": (
        "no burst seen in strokes, brake taps, noise, a cold climb",
        ("burst", "air lost in stroke"),
        (
            "brake tap right before the up stroke",
            "brake tap in the up stroke",
            "brake tap right after the up stroke",
            "noise at its peak, sample to sample",
            "climb of 300 m",
        ),
    ),
    "SR-05": (
        "not forced by sensor gaps, or by sensors at opposite ends of their error",
        ("pressure unknown",),
        ("sensor gap, gear up", "sensors at opposite ends"),
    ),
    "SR-06": (
        "not forced by dropouts up to the limit, alone or adding up",
        ("link lost",),
        (
            "dropout just below the limit, gear up",
            "dropout in the up stroke",
            "dropout in the down stroke",
            "two dropouts that count as one",
            "two dropouts just far enough apart",
            "DOWN during a dropout",
        ),
    ),
    "SR-09": (
        "interference that ticks see for less than a run moves nothing",
        ("dropped", "unasked"),
        ("interference a frame short of a run, gear up", "interference a frame short of a run, gear down"),
    ),
    "SR-11": (
        "the second path never acts first",
        ("second path",),
        ("reads low, truth near the floor, gear up", "dropout just below the limit, gear up", "sensor gap, gear up"),
    ),
    "SR-13": (
        "not forced by servo draw, dips or a low source above the limit",
        ("supply low",),
        ("supply dip of most of its confirm time, gear up", "low source, gear up"),
    ),
    "SR-17": (
        "nothing that lasts less than its confirm time counts",
        ("forced",),
        (
            "supply dip of most of its confirm time, gear up",
            "sensor gap, gear up",
            "two dropouts just far enough apart",
        ),
    ),
    "SR-31": ("late ticks by themselves hold nothing down", ("tick late",), ("late tick, gear up",)),
    "SR-33": ("a clock off by up to a tenth holds nothing down", ("clock wrong",), ("clock off by 5 %",)),
}


def lines(summary, seconds):
    """What was flown and what came of it, a list of lines."""
    s = summary
    said = [
        f"{s.flights} flights from seed {s.first_seed} on, {s.counted} healthy to their end, {s.hours:.2f} flight hours"
        f" judged ({seconds:.0f} s).",
        f"{s.moves} retractions that the truth allowed, {s.granted} granted; {s.excused_moves} asked for with something"
        " amiss and not judged.",
        f"Longest silence of the radio: {1000 * s.longest_silence_s:.0f} ms.",
    ]
    said += [f"Left the healthy range, judged up to there: {n} flights, {why}." for why, n in sorted(s.left.items())]
    said += [f"Seen after that, not judged: {n} times {what}." for what, n in sorted(s.excused.items())]
    width = max(map(len, needed(1)))
    said += [f"  {name:{width}} {s.corners[name]:5} of {n} needed" for name, n in needed(s.flights).items()]
    said += [f"TOO SELDOM: {name}: {count}, needed {n}" for name, count, n in s.missed]
    said += [f"EVENT: seed {row[0]}, {row[1]:.2f} s, {row[2]}: {row[3]}{again(row[0])}" for row in s.events]
    said.append(
        f"{s.with_event} flights with an event. 95 % upper bound per flight {s.bound_per_flight:.5f} (exact; the rule of"
        f" three gives {rule_of_three(max(1, s.counted)):.5f} for none), per flight hour {s.bound_per_hour:.3f}."
    )
    said.append(NOT_SHOWN)
    said.append("Nuisance flights hold." if s.holds else "Nuisance flights DO NOT hold.")
    return said


def again(seed):
    """How to fly a seed again."""
    return f" (again: python -m tests.nuisance --flight {seed})"


def requirements(summary):
    """{requirement: {"holds", "what"}}."""
    missed = {name for name, _, _ in summary.missed}
    rows = {}
    for requirement, (what, against, corners) in ROWS.items():
        said = [word for _, _, kind, detail in summary.events for word in (kind, *detail.split("+"))]
        rows[requirement] = {
            "holds": not any(word in against for word in said) and not missed.intersection(corners),
            "what": f"{what}: {summary.counted} nuisance flights",
        }
    return rows


def write_json(summary, command, seconds):
    """Write out/evidence/nuisance.json."""
    s = summary
    data = {
        "means": "nuisance",
        "command": command,
        "holds": s.holds,
        "seconds": round(seconds, 1),
        "totals": {
            "flights": s.flights,
            "flights_judged": s.counted,
            "flights_with_event": s.with_event,
            "retractions_allowed": s.moves,
            "retractions_granted": s.granted,
        },
        "requirements": requirements(s),
        "flight_hours": round(s.hours, 3),
        "bound_per_flight_95": round(s.bound_per_flight, 7),
        "bound_per_flight_rule_of_three": round(rule_of_three(max(1, s.counted)), 7),
        "bound_per_hour_95": round(s.bound_per_hour, 5),
        "does_not_show": NOT_SHOWN,
        "corners": {name: {"met": s.corners[name], "needed": n} for name, n in needed(s.flights).items()},
        "events": [{"seed": seed, "t_s": t_s, "kind": kind, "detail": detail} for seed, t_s, kind, detail in s.events],
        "left": dict(sorted(s.left.items())),
        "excused": dict(sorted(s.excused.items())),
    }
    OUT.parent.mkdir(parents=True, exist_ok=True)
    OUT.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
