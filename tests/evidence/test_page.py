"""The evidence page cannot hide a hole: an empty cell needs a reason, a reason needs an empty cell."""

import pytest

from .means import MEANS
from .page import COLUMNS, PAGE, PageError, page, reasons, rows
from .safety import requirements

IDS = list(requirements())


def result(name, holds=True, missing=()):
    entries = {requirement: {"holds": holds, "what": f"what {name} did"} for requirement in IDS}
    for requirement in missing:
        del entries[requirement]
    return {
        "means": name,
        "command": f"run {name}",
        "holds": holds,
        "totals": {"things": 12345},
        "requirements": entries,
    }


def everything(**changes):
    results = {means.name: result(means.name) for means in MEANS}
    return results | changes


def test_full_evidence_makes_a_row_for_each_requirement():
    text = page(everything(), {})
    for requirement in IDS:
        (line,) = [line for line in text.splitlines() if line.startswith(f"| {requirement} |")]
        for column in COLUMNS:
            assert f"what {column} did" in line
    assert "12,345 things" in text
    assert page(everything(), {}) == text


def test_empty_cell_without_a_reason_is_refused():
    with pytest.raises(PageError, match="SR-03: proof has no evidence and no reason"):
        rows(everything(proof=result("proof", missing=["SR-03"])), {})


def test_empty_cell_with_a_reason_shows_it():
    table = rows(everything(proof=result("proof", missing=["SR-03"])), {"SR-03": {"proof": "because"}})
    assert table["SR-03"]["proof"] == "*because*"


@pytest.mark.parametrize(
    ("why", "message"),
    [
        ({"SR-03": {"proof": "because"}}, "has evidence and a reason"),
        ({"SR-99": {"proof": "because"}}, "SR-99 is no requirement"),
        ({"SR-03": {"magic": "because"}}, "magic is no column"),
    ],
)
def test_reason_that_fits_nothing_is_refused(why, message):
    with pytest.raises(PageError, match=message):
        rows(everything(), why)


def test_means_that_does_not_hold_is_refused():
    with pytest.raises(PageError, match="SR-01: search does not hold"):
        rows(everything(search=result("search", holds=False)), {})


def test_means_that_did_not_run_says_so():
    results = everything()
    del results["mutation"]
    assert rows(results, {})["SR-01"]["mutation"] == "not run"


def test_reasons_name_requirements_and_columns():
    for requirement, why in reasons().items():
        assert requirement in IDS
        assert set(why) <= set(COLUMNS)
        assert all(len(reason) > 10 for reason in why.values())


def test_committed_page_is_whole():
    text = PAGE.read_text()
    assert "not run" not in text
    for requirement in IDS:
        (line,) = [line for line in text.splitlines() if line.startswith(f"| {requirement} |")]
        assert all(cell.strip() for cell in line.strip("|").split("|"))
