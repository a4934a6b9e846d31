"""What is wrong with a data file, said so that it can be mended: file, place, what is wrong, nearest valid word.

FungaError            the data cannot be read as a funga; holds every Problem found
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fruitbody.funga.terms import nearest


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, in one sentence."""

    file: str
    where: str
    words: str

    def __str__(self) -> str:
        place = f"{self.file}: {self.where}" if self.where else self.file
        return f"{place}: {self.words}"


class FungaError(ValueError):
    """The funga's files hold mistakes; `problems` names each."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def unknown(file: str, where: str, kind: str, term: object, known: Iterable[str]) -> Problem:
    """The problem of a word that stands in no list, with the nearest that does."""
    close = nearest(str(term), known)
    hint = f" The nearest known: {', '.join(close)}." if close else ""
    return Problem(file, where, f"there is no {kind} “{term}”.{hint}")
