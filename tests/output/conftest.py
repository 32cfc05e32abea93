"""What several tests of files need."""

from __future__ import annotations

import pytest

from tests.output.cuesheets import silent_class


@pytest.fixture
def placed_class():
    """A whole class at Larkfield Hall in which nothing is said."""
    return silent_class()
