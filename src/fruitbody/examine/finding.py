"""A finding: what was seen, on what, by whom. The one type that the bench writes and the engine reads.

FindingError          a finding cannot be read; a sentence that says what to do
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class FindingError(ValueError):
    """A finding that cannot be used as it stands. The message is a sentence that says what to do."""


class Answer(StrEnum):
    """The kinds of answer of a finding (practice.md A). Only the first two say something about the fruit body."""

    PRESENT = "present"
    ABSENT = "absent"
    NOT_LOOKED_FOR = "not-looked-for"
    COULD_NOT_TELL = "could-not-tell"
    CANNOT_BE_SEEN = "cannot-be-seen"


class Observer(StrEnum):
    FINDER = "finder"
    FRONT_DESK = "front-desk"
    DIAGNOSTICIAN = "diagnostician"
    SECOND_READER = "second-reader"
    OUTSIDE = "outside"


class SeenOn(StrEnum):
    MATERIAL = "material"
    PHOTO = "photo"
    TOLD = "told"


@dataclass(frozen=True, slots=True)
class Measured:
    """A length or ratio in the unit of its character.

    low: the value, or the smaller end of a range; high: None for one value, else the larger end.
    uncertainty: expanded (k = 2), same unit; None where none is stated.
    n: how many were measured; 1 or None reads `[low, high]` as one value between them, 2 or more as the
       smallest and largest of n fruit bodies. For spores the number of spores behind a mean.
    """

    low: float
    high: float | None = None
    uncertainty: float | None = None
    n: int | None = None


@dataclass(frozen=True, slots=True)
class Soft:
    """Soft evidence: a classifier's shares q(s), or a measured colour.

    shares: state id -> q(s), summing to 1; its training shares stand in `trained_on` (the background if empty).
    lab: CIELAB (D65, 2°) with `lab_uncertainty`, the standard uncertainty per axis.
    """

    shares: Mapping[str, float] = field(default_factory=dict)
    trained_on: Mapping[str, float] = field(default_factory=dict)
    lab: tuple[float, float, float] | None = None
    lab_uncertainty: float = 6.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing seen (or looked for) on a fruit body.

    states: state ids; several mean *one of*, or with `each` all at once (marks only).
    negated: it is not (one of) these.
    fruit_body: '' where it is about the kind as a whole; stage: 'young', 'mature', 'past' or ''.
    preparation: the photo, print or mount it was seen on, where findings share one; person: who saw it.
    """

    character: str
    states: tuple[str, ...] = ()
    measured: Measured | None = None
    soft: Soft | None = None
    answer: Answer = Answer.PRESENT
    negated: bool = False
    each: bool = False
    by: Observer = Observer.DIAGNOSTICIAN
    seen_on: SeenOn = SeenOn.MATERIAL
    fruit_body: str = ""
    part: str = ""
    stage: str = ""
    why: str = ""
    person: str = ""
    preparation: str = ""

    @property
    def tells(self) -> bool:
        """Whether the finding says anything about the fruit body, for the likelihood."""
        return self.answer in (Answer.PRESENT, Answer.ABSENT) and bool(self.states or self.measured or self.soft)

    def in_words(self) -> str:
        """A short text of the value, without unit: 'free or notched', 'not decurrent', '62'."""
        if self.answer not in (Answer.PRESENT, Answer.ABSENT):
            return self.answer.value.replace("-", " ")
        if self.measured is not None:
            high = "" if self.measured.high is None else f" to {self.measured.high:g}"
            return f"{self.measured.low:g}{high}"
        if self.soft is not None:
            return "by measured colour" if self.soft.lab else "by shares"
        words = (" and " if self.each else " or ").join(state.replace("-", " ") for state in self.states)
        return f"not {words}" if self.negated else words
