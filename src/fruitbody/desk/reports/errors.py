"""Errors of the report room, told to people as whole sentences.

ReportError          something cannot be done with a report as asked
    StaleError       somebody else wrote, found or named something since the page was opened
"""

from __future__ import annotations


class ReportError(ValueError):
    """The report cannot be opened, kept, issued or amended as asked. The message says what to do."""


class StaleError(ReportError):
    """The page is older than what it would change."""
