"""Errors of the notebook page, told to people as whole sentences.

NotebookError        something on the page cannot be kept as asked
    StaleLineError   somebody else wrote on this line meanwhile; `.others` holds their findings
    NamingError      a name that cannot be written as typed
    UnseenDangerError a dangerous group stands and was not acknowledged; `.groups` names them
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fruitbody.funga.terms import UnknownTermError

if TYPE_CHECKING:
    from fruitbody.desk.bench.models import Finding


class NotebookError(ValueError):
    """What was typed cannot be kept. The message is a sentence that says what to do."""


class StaleLineError(NotebookError):
    """The line was written on by somebody else after the page was opened."""

    def __init__(self, message: str, others: Sequence[Finding]) -> None:
        super().__init__(message)
        self.others = tuple(others)


class NamingError(NotebookError):
    """A name that cannot be written as typed."""


class UnseenDangerError(NotebookError):
    """A dangerous group stands beside the name and nobody has said that they saw it."""

    def __init__(self, groups: Sequence[str]) -> None:
        self.groups = tuple(groups)
        super().__init__(
            f"Not excluded beside this name: {'; '.join(self.groups)}. Tick that you have seen it, and write the name."
        )


def sentence_of(wrong: Exception) -> str:
    """What the person is told. A word that resembles none of ours gets the way to the list."""
    if isinstance(wrong, UnknownTermError) and not wrong.nearest:
        return f"{wrong} Write its first letters and choose from the list, or use the line under its organ."
    return str(wrong)
