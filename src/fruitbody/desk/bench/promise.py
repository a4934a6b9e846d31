"""When a report is promised for: so many working days after the parcel came in."""

from __future__ import annotations

from datetime import date, timedelta

SATURDAY = 5


def working_days_after(day: date, days: int) -> date:
    """The date `days` working days (Monday to Friday) after `day`. Public holidays count as working days here."""
    while days > 0:
        day += timedelta(days=1)
        if day.weekday() < SATURDAY:
            days -= 1
    return day
