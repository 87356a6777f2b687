"""Aircraft that pictures and pages have to cope with, with their Sizing and Advice, each made once a process."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import yaml

from host_sim.aircraft import AIRCRAFT_DIR, load_aircraft
from host_sim.budget.advice import advise
from host_sim.budget.size import size

ADVISED = dict.fromkeys(("lock_min", "force_below", "warn_below", "retract_above"), "advised")
HOSTILE = '<b>&"x'
REASON = "hung with weights & drawn <out> twenty times"


def _one_leg(told):
    """One leg, no brakes, eight cycles, no ratings, and a name that is none for a page."""
    told["name"] = HOSTILE
    told["gear"]["legs"] = {"nose": told["gear"]["legs"]["nose"]}
    told["tank"]["volume"] = "500 mL"
    del told["measured"]
    told["use"] = {"cycles": "8"}
    told["brakes"] = "none"
    del told["rated"]
    told["settings"].update(ADVISED)


def _low(told):
    """Less than advised with a reason, more cycles than the tank gives."""
    told["use"] = {"cycles": "6", "up_for": "12 min"}
    told["settings"]["lock_min"] = "3.6 bar gauge"
    told["reasons"] = {"lock_min": REASON}


ODD = {"one leg": _one_leg, "low": _low}
SHIPPED = {"curlew": "curlew24.yaml", "tern": "tern30.yaml"}


@cache
def aircraft(name):
    """An Aircraft of SHIPPED or ODD."""
    if name in SHIPPED:
        return load_aircraft(AIRCRAFT_DIR / SHIPPED[name])
    text = (AIRCRAFT_DIR / SHIPPED["curlew"]).read_text(encoding="utf-8")
    told = yaml.load(text, Loader=yaml.BaseLoader)
    ODD[name](told)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "odd.yaml"
        path.write_text(yaml.safe_dump(told, sort_keys=False), encoding="utf-8")
        return load_aircraft(path)


@cache
def sizing(name):
    """Its Sizing."""
    return size(aircraft(name).installed, aircraft(name).settings)


@cache
def advice(name):
    """Its Advice."""
    return advise(aircraft(name).installed, aircraft(name).settings)
