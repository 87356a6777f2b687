"""Drawings, values and tables of boards/WIRING.md: nothing clashes, every value keeps its limit, nothing is out of date."""

import itertools
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from boards.esp32 import pins as esp32
from boards.rp2040 import pins as rp2040
from host_sim import aircraft as aircraft_module
from tests.boards import wiring, wiring_tables
from tests.boards.wiring_findings import findings
from tests.boards.wiring_parts import LOGIC, PARTS, PINS, ask
from tests.boards.wiring_symbols import Sheet, clashes
from tests.boards.wiring_tables import BOARDS, NO_PINS, USES, esp32_lines, filled, numbers, shipped_aircraft

FLASH_AND_USB = {1, 3, *range(6, 12)}


@pytest.mark.parametrize("draw", wiring.SHEETS, ids=lambda draw: draw.__name__)
def test_nothing_clashes_in_a_drawing(draw):
    assert clashes(draw()) == []


def test_files_are_up_to_date():
    old = [path.name for path, text in wiring.made().items() if not path.is_file() or path.read_text("utf-8") != text]
    assert old == [], "run python -m tests.boards.wiring"


def test_no_drawing_is_left_over_or_unseen():
    made = {f"{draw.__name__}.svg" for draw in wiring.SHEETS}
    assert {path.name for path in (wiring.ROOM / "drawings").iterdir()} == made
    page = wiring.PAGE.read_text("utf-8")
    assert [name for name in made if f"](drawings/{name})\n" not in page] == []


@pytest.mark.parametrize("draw", wiring.SHEETS, ids=lambda draw: draw.__name__)
def test_a_drawing_is_sound_xml_and_fits_a_phone(draw):
    root = ElementTree.fromstring(draw().svg())
    assert root.tag.endswith("svg")
    # 360 px of a phone: letters of 13 units then have 9 px.
    assert float(root.get("width")) <= 520
    assert min(float(text.get("font-size")) for text in root.iter("{http://www.w3.org/2000/svg}text")) >= 13


def _crossed(sheet):
    sheet.wire((10, 100), (200, 100))


def _overprinted(sheet):
    sheet.say(100, 62, "another word here")


def _covered(sheet):
    sheet.ground(110, 50)


def _run_through(sheet):
    sheet.part("resistor", (260, 80), (260, 150))
    sheet.wire((240, 115), (300, 115))


def _off_the_page(sheet):
    sheet.say(500, 180, "far too long for this")


@pytest.mark.parametrize("spoil", [_crossed, _overprinted, _covered, _run_through, _off_the_page])
def test_each_kind_of_clash_is_found(spoil):
    sheet = Sheet("spoilt", "A drawing", 200)
    sheet.say(60, 60, "one word")
    sheet.say(60, 104, "two words")
    assert clashes(sheet) == []
    spoil(sheet)
    assert len(clashes(sheet)) >= 1


def test_every_value_keeps_its_limit():
    found = findings(PARTS, shipped_aircraft())
    assert len(found) > 70
    assert [item for item in found if not item.holds] == []


def test_a_weak_pull_down_at_the_gate_is_noticed():
    broken = [item for item in findings({**PARTS, "gate_down": "47 kohm"}, shipped_aircraft()) if not item.holds]
    assert {(item.where, item.what) for item in broken} == {("valve", "gate, pin left at its pull-up")}


@pytest.mark.parametrize(
    ("part", "value", "what"),
    [
        ("clamp_drop", "0.31 V", "pin with 8.4 V on the wire"),
        ("clamp_leak", "100 uA", "wire off, by what the diode leaks"),
    ],
)
def test_a_clamp_that_drops_or_leaks_more_is_noticed(part, value, what):
    broken = [item for item in findings({**PARTS, part: value}, shipped_aircraft()) if not item.holds]
    assert {(item.where, item.what) for item in broken} == {("pulses", what)}


def test_an_esp32s_pin_keeps_a_margin_below_what_it_bears():
    """More than a diode's drop gains from a warm room to frost, 2 mV a kelvin (from memory), is in its 0.25 V already."""
    margin_v = ask(PINS["esp32"]["bears"]) - ask(LOGIC) - ask(PARTS["clamp_drop"])
    assert margin_v.to("V").magnitude >= 0.04


@pytest.mark.deep
def test_no_part_is_of_any_value():
    """Ten times or a tenth of each part breaks a limit, or nothing would check it."""
    fleet = shipped_aircraft()
    free = []
    for name, text in PARTS.items():
        number, _, unit = text.partition(" ")
        spoilt = (f"{float(number) * factor} {unit}" for factor in (10, 0.1))
        if all(item.holds for value in spoilt for item in findings({**PARTS, name: value}, fleet)):
            free.append(name)
    assert free == []


def test_an_aircraft_with_another_divider_is_noticed():
    craft = shipped_aircraft()[0]
    other = replace(craft, sensors=tuple(replace(spec, divider_bottom_ohm=15_000.0) for spec in craft.sensors))
    broken = [item for item in findings(PARTS, [other]) if not item.holds]
    assert [(item.where, item.what) for item in broken] == [("files", "divider_bottom")]


def test_an_aircraft_file_takes_the_lines_for_an_esp32(tmp_path):
    """The shipped file with those lines: a sensor at 0 and at full span reads the codes that the dividers give."""
    lines, text = esp32_lines(), (aircraft_module.AIRCRAFT_DIR / "curlew24.yaml").read_text("utf-8")
    for old, key in (
        ("ratio: 0.5 ", "ratio"),
        ("divider_top: 10 kohm", "divider_top"),
        ("divider_bottom: 18 kohm", "divider_bottom"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, f"{key}: {lines[key]} ")
    path = tmp_path / "esp32.yaml"
    path.write_text(text, "utf-8")
    values = aircraft_module.load_aircraft(path).settings
    share = 15 / 33 / 3.3 * 4096
    assert values.sensor_a_zero_counts == round(0.5 * share)
    assert values.sensor_a_full_counts == round(4.5 * share)
    assert abs(values.rail_nominal_counts - 5 * share) < 1


def test_every_pin_of_both_boards_is_in_the_table():
    for _, board in BOARDS:
        names = {name for name in vars(board) if name.isupper()} - NO_PINS
        assert names == {name for name, *_ in USES}
        for name, uses, *_ in USES:
            assert len(numbers(board, name)) == len(uses), name


def _taken(board):
    return [number for name, *_ in USES for number in numbers(board, name) if number is not None]


def test_no_pin_is_used_twice():
    for _, board in BOARDS:
        assert len(_taken(board)) == len(set(_taken(board)))


def test_pins_can_do_what_they_are_for():
    analogue = {"RP2040": {26, 27, 28, 29}, "ESP32": set(range(32, 40))}
    for chip, board in BOARDS:
        for name, _, way, _ in USES:
            for number in numbers(board, name):
                if number is not None and way == "analogue":
                    assert number in analogue[chip], name
                if number is not None and chip == "ESP32" and way == "out":
                    assert number < 34, f"{name}: an ESP32's pins from 34 on are inputs"
    assert {0, 12} & set(_taken(esp32)) == set()
    assert FLASH_AND_USB & set(_taken(esp32)) == set()
    assert all(number <= 29 for number in _taken(rp2040))


def test_a_changed_pin_is_out_of_date(monkeypatch):
    page = wiring.PAGE.read_text("utf-8")
    assert filled(page) == page
    monkeypatch.setattr(rp2040, "LAMP", 22)
    assert filled(page) != page


def test_a_missing_block_is_named():
    with pytest.raises(ValueError, match="blocks"):
        filled("<!-- made: pins -->\n<!-- end -->\n")
    page = "".join(f"<!-- made: {name} -->\n" for name in wiring_tables.BLOCKS)
    with pytest.raises(ValueError, match="no end"):
        filled(page)


def test_check_says_what_is_old(monkeypatch, tmp_path, capsys):
    (tmp_path / "boards" / "drawings").mkdir(parents=True)
    page = tmp_path / "boards" / "WIRING.md"
    page.write_text(wiring.PAGE.read_text("utf-8"), "utf-8")
    monkeypatch.setattr(wiring, "ROOM", tmp_path / "boards")
    monkeypatch.setattr(wiring, "PAGE", page)
    assert wiring.main(["--check"]) == 1
    assert "power.svg: out of date" in capsys.readouterr().out
    assert wiring.main([]) == 0
    assert wiring.main(["--check"]) == 0


def test_hardware_is_said_to_be_unmeasured_or_measured_with_a_date():
    """A cell is 'not measured', or has a number and a year."""
    lines = wiring.PAGE.read_text("utf-8").split("## Measured on hardware")[1].splitlines()
    rows = [line.strip("| ").split(" | ") for line in lines if line.startswith("| ")][1:]
    cells = list(itertools.chain.from_iterable(row[1:] for row in rows))
    assert len(rows) >= 9 and len(cells) == 2 * len(rows)
    assert [cell for cell in cells if cell != "not measured" and "20" not in cell] == []


def test_coil_minus_is_a_danger_and_stands_in_the_text():
    assert ask(PARTS["coil_longest"]).to("s").magnitude <= 2
    page = wiring.PAGE.read_text("utf-8")
    assert "**coil − on\nground means UP**" in page
    danger = [wire.name for wire in wiring_tables.WIRES if wire.danger]
    assert "spring-return: coil −, to the transistor" in danger


def test_every_row_of_a_table_has_the_cells_of_its_head():
    lines = wiring.PAGE.read_text("utf-8").splitlines()
    tables = [list(rows) for is_row, rows in itertools.groupby(lines, lambda line: line.startswith("|")) if is_row]
    assert len(tables) >= 7
    for rows in tables:
        assert {row.count("|") for row in rows} == {rows[0].count("|")}, rows[0]
        assert set(rows[1]) <= set("|-"), rows[1]
