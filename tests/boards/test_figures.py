"""The comparison of a flight on the emulated board with the PC's sees what differs; the page says what was found."""

import copy
import json
from pathlib import Path

import pytest

from controller import codes
from host_sim.bench import BOOT_US
from host_sim.journal_read import Record, Run
from host_sim.scenario import load_scenario
from tests.boards import figures, figures_page, flown_twice
from tests.boards.figures_items import FLIGHTS, ITEMS

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def pc():
    """The shortest flight on the PC."""
    return flown_twice.OnPc(load_scenario(HERE / "flights" / "radio_lost.yaml"))


class Flown:
    """A board that did exactly what the PC did, until a test changes it."""

    def __init__(self, pc):
        self.commands, self.lights = list(pc.commands), list(pc.lights)
        run = Run(1, 20, "00000000", "0.1.0")
        self.kept = [
            Record(run, number, 0, kind, code, tick, 0, -1 if mbar is None else mbar, 0, 0, 0, 0)
            for number, (kind, code, tick, mbar) in enumerate(pc.journals[0])
        ]

    def records(self):
        """The journal."""
        return self.kept


def test_the_same_is_no_difference(pc):
    assert flown_twice.is_up_and_forced_down(pc)
    assert flown_twice.differences(Flown(pc), pc) == []


def test_a_tick_of_difference_is_none(pc):
    flown = Flown(pc)
    flown.kept = [record._replace(tick=record.tick + (record.kind != "sample")) for record in flown.kept]
    flown.commands = [(at + 0.03, level) for at, level in flown.commands]
    assert flown_twice.differences(flown, pc) == []


def changed(flown, **fields):
    """The record of the first forced command, changed."""
    at = next(n for n, r in enumerate(flown.kept) if (r.kind, r.code) == ("cause", codes.CAUSE_LINK))
    flown.kept[at] = flown.kept[at]._replace(**fields)


@pytest.mark.parametrize(
    "change, words",
    (
        (lambda f: f.commands.pop(), "up coil"),
        (lambda f: f.commands.append((8.0, 1)), "up coil"),
        (lambda f: f.commands.__setitem__(1, (f.commands[1][0] + 0.05, 0)), "up coil"),
        (lambda f: f.lights.pop(), "landing light"),
        (lambda f: f.kept.clear(), "journal: 0 boots"),
        (lambda f: changed(f, code=codes.CAUSE_LOW_AIR), "events"),
        (lambda f: changed(f, tick=9), "cause 4: tick 9"),
        (lambda f: f.kept.append(f.kept[-1]._replace(kind="alert", code=3)), "events"),
        (lambda f: f.kept.__setitem__(-1, f.kept[-1]._replace(pressure_mbar=5000)), "reading at tick"),
        (lambda f: f.kept.__setitem__(-1, f.kept[-1]._replace(pressure_mbar=-1)), "reading at tick"),
    ),
)
def test_what_differs_is_said(pc, change, words):
    flown = Flown(pc)
    assert flown.kept[-1].kind == "sample"
    change(flown)
    found = flown_twice.differences(flown, pc)
    assert len(found) == 1 and words in found[0], found


@pytest.mark.parametrize("name", FLIGHTS)
def test_every_flight_raises_the_gear_and_loses_it_again(name):
    pc = flown_twice.OnPc(load_scenario(HERE / "flights" / f"{name}.yaml"))
    assert flown_twice.is_up_and_forced_down(pc)


def test_the_page_is_made_of_what_was_kept():
    kept = json.loads(figures.KEPT.read_text())
    assert list(kept) == list(ITEMS)
    assert figures_page.PAGE.read_text() == figures_page.page(kept), "python -m tests.boards.figures --write"


def test_what_does_not_hold_or_misses_its_goal_stands_on_the_page():
    kept = json.loads(figures.KEPT.read_text())
    broken = copy.deepcopy(kept)
    broken["stage sick"]["wrong"] = ["it was fed"]
    assert "does not hold: it was fed" in figures_page.page(broken)
    assert "does not hold" not in figures_page.page(kept)
    for name in FLIGHTS:
        broken[f"flight {name}"]["figures"]["worst_us"] = figures_page.GOAL_TICK_US
    assert "meets it" in figures_page.page(broken).split("longest tick in three flights")[1].splitlines()[0]
    assert figures_page.NOT_YET in figures_page.page(kept)


def test_the_rings_are_the_installer_s():
    from host_sim.install.kinds import KINDS
    from host_sim.install.layout import INNER_BLOCKS, STOCK_BLOCKS

    assert figures_page.RING_SECTORS["RP2040"] == STOCK_BLOCKS - 2 - INNER_BLOCKS
    assert set(KINDS) == {name.lower() for name in figures_page.RING_SECTORS}


def test_flights_on_a_pc_take_at_least_the_boot_that_was_measured():
    kept = json.loads((HERE / "figures.json").read_text())
    assert kept["boot"]["figures"]["first_tick_us"] <= BOOT_US
