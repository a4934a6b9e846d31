"""Everything that one photo tells about size, in one call: references, scale, subjects, quality, a length."""

from __future__ import annotations

from dataclasses import dataclass

from fruitbody.examine.photo.budget import BudgetError, Length
from fruitbody.examine.photo.lengths import Height, Point, between
from fruitbody.examine.photo.outline import Subject, find_subjects
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.quality import Quality, judge
from fruitbody.examine.photo.references import References, find_references


@dataclass(frozen=True, slots=True)
class SubjectSize:
    """Width and height of a subject's box across the view; None without a scale. subject: outline and suggestions."""

    subject: Subject
    width: Length | None
    height: Length | None


@dataclass(frozen=True, slots=True)
class Measured:
    """warnings: whole sentences, most important first. between: the asked length, None without a scale."""

    references: References
    subjects: tuple[SubjectSize, ...]
    quality: Quality
    between: Length | None
    warnings: tuple[str, ...]


def measure(
    picture: Picture,
    *,
    reference: str = "auto",
    ends: tuple[Point, Point] | None = None,
    height_mm: float | None = None,
    near: Point | None = None,
    bar_mm: float | None = None,
) -> Measured:
    """Measure one photo.

    reference: see `references.KINDS` and coins. ends: of a line to measure, px. height_mm: at what height above the
    reference's ground the part is, as the finder told. near: a point on the coin. bar_mm: the card's check bar.
    Raises ValueError for an unknown reference, BudgetError for an impossible line.
    """
    if ends is not None:
        for x, y in ends:
            if not (0 <= x < picture.width and 0 <= y < picture.height):
                raise ValueError(
                    f"The point {x:g},{y:g} lies outside the picture of {picture.width} by {picture.height} pixels."
                )
    references = find_references(picture, reference, near=near, bar_mm=bar_mm)
    subjects = find_subjects(picture, [r.outline_px for r in references.every if len(r.outline_px) > 2])
    height = Height.of(height_mm)
    used = references.used
    quality = judge(picture, [s.box for s in subjects], reference=used is not None)
    found = between(picture, used, *ends, height=height) if used is not None and ends is not None else None
    sizes = tuple(_sized(picture, references, s, height) for s in subjects)
    said = [*picture.warnings, *references.warnings]
    if used is not None and not height.told and (found is not None or sizes):
        said.append(
            "At what height beside the mushroom did the reference lie? Until that is told, 15 mm either way is "
            "assumed, which is the largest part of the uncertainty."
        )
    said += [words for words in quality.sentences if used is not None or "cannot tell its size" not in words]
    return Measured(references, sizes, quality, found, tuple(dict.fromkeys(said)))


def _sized(picture: Picture, references: References, subject: Subject, height: Height) -> SubjectSize:
    x0, y0, x1, y1 = subject.box
    if references.used is None or x1 - x0 < 4 or y1 - y0 < 4:
        return SubjectSize(subject, None, None)
    y, x = (y0 + y1) / 2, (x0 + x1) / 2
    try:
        wide = between(picture, references.used, (x0, y), (x1, y), height=height)
        high = between(picture, references.used, (x, y0), (x, y1), height=height)
    except BudgetError:  # nobody asked for this line; a part that cannot lie there has no size
        return SubjectSize(subject, None, None)
    return SubjectSize(subject, wide, high)
