"""The whole matrix: every break against every means that claims one of its requirements. Minutes."""

import pytest

from . import __main__ as command


@pytest.mark.deep
def test_every_break_is_rejected_by_every_means_that_claims_it():
    assert command.main([]) == 0
