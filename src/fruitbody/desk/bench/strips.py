"""Evidence strips: the range of a taxon as a bar, the finding as a mark, as numbers for a drawing. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from fruitbody.examine.finding import Finding
from fruitbody.funga.model import MeasureScore

STRIP_WIDTH, STRIP_EDGE = 120.0, 4.0


@dataclass(frozen=True, slots=True)
class Strip:
    """An evidence strip, in units of its drawing 120 wide: the thin line, the bar, the mark and its uncertainty."""

    line_x: float
    line_width: float
    bar_x: float
    bar_width: float
    mark_x: float
    mark_width: float
    words: str


def strip_against(score: MeasureScore, finding: Finding) -> Strip | None:
    """The strip of one finding against a range of the funga; None where it measured nothing."""
    measured = finding.measured
    if measured is None:
        return None
    found = (measured.low, measured.high if measured.high is not None else measured.low)
    least = score.low if score.min is None else score.min
    most = score.high if score.max is None else score.max
    return strip_of(score.low, score.high, least, most, found)


def strip_of(low: float, high: float, least: float, most: float, mark: tuple[float, float]) -> Strip:
    """Places on the drawing: linear from below the smallest to above the largest of all that is drawn."""
    start, end = min(least, mark[0]), max(most, mark[1])
    spare = (end - start) * 0.08 or 1.0
    start, end = start - spare, end + spare

    def x(value: float) -> float:
        return round(STRIP_EDGE + (STRIP_WIDTH - 2 * STRIP_EDGE) * (value - start) / (end - start), 1)

    return Strip(
        line_x=x(least),
        line_width=round(x(most) - x(least), 1),
        bar_x=x(low),
        bar_width=max(round(x(high) - x(low), 1), 1.0),
        mark_x=x(mark[0]),
        mark_width=max(round(x(mark[1]) - x(mark[0]), 1), 2.5),
        words=f"known {low:g} to {high:g}, found {mark[0]:g}" + (f" to {mark[1]:g}" if mark[1] > mark[0] else ""),
    )
