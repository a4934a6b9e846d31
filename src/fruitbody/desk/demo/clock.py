"""Lets the demo's actions happen at the hours that the scenario says, so that Today has something to order."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from unittest.mock import patch

from django.utils import timezone


@contextmanager
def hours_ago(hours: float) -> Iterator[None]:
    """Inside, the desk's clock stands `hours` before now."""
    moment = timezone.now() - timedelta(hours=hours)
    with patch("django.utils.timezone.now", return_value=moment):
        yield
