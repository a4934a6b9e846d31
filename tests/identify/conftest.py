"""The real funga, and random but lawful findings on it."""

from __future__ import annotations

import pytest
from hypothesis import settings

from fruitbody import funga

settings.register_profile("here", deadline=None, max_examples=40, derandomize=True)
settings.load_profile("here")


@pytest.fixture(scope="session")
def known() -> funga.Funga:
    return funga.load()
