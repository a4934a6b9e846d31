"""Dates and moments as a report prints them."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from fruitbody.report.words import moment


@pytest.mark.parametrize(
    ("zone", "shown"),
    [
        ("America/New_York", "25 November 2026, 21:30 (America/New_York, UTC−05:00)"),
        ("Europe/Berlin", "26 November 2026, 03:30 (Europe/Berlin, UTC+01:00)"),
    ],
)
def test_a_moment_is_told_in_the_clinics_own_zone(zone: str, shown: str) -> None:
    """The offsets are those of the IANA time zone database; the day changes with them."""
    assert moment(datetime(2026, 11, 26, 2, 30, tzinfo=UTC), zone, "en") == shown


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a time zone"):
        moment(datetime(2026, 11, 26, 2, 30), "America/New_York", "en")  # noqa: DTZ001
