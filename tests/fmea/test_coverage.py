"""Diagnostic coverage and safe failure fraction against values reckoned by hand."""

import pytest

from .coverage import BORNE, DETECTED, SAFE, UNDETECTED, coverage_of


@pytest.mark.parametrize(
    "safe, detected, undetected, diagnostic, word, share",
    [
        (0, 0, 0, None, "", None),
        (5, 0, 0, None, "", 100),
        (0, 3, 2, 60, "low", 60),
        (5, 59, 41, 59, "none", 60),
        (0, 9, 1, 90, "medium", 90),
        (0, 989, 11, 98, "medium", 98),
        (10, 99, 1, 99, "high", 99),
        (0, 0, 4, 0, "none", 0),
    ],
)
def test_coverage(safe, detected, undetected, diagnostic, word, share):
    one = coverage_of([SAFE] * safe + [DETECTED] * detected + [UNDETECTED] * undetected)
    assert (one.diagnostic_percent, one.class_word, one.safe_percent) == (diagnostic, word, share)
    assert one.modes == safe + detected + undetected


def test_another_word_is_refused():
    with pytest.raises(ValueError, match="not a verdict: perhaps"):
        coverage_of([SAFE, "perhaps"])


def test_what_is_borne_counts_as_safe_and_not_as_detected():
    one = coverage_of([BORNE] * 3 + [DETECTED] * 6 + [UNDETECTED])
    assert (one.diagnostic_percent, one.safe_percent, one.modes) == (85, 90, 10)
