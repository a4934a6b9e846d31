"""One measured spore, and the sample it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fruitbody.examine.spores.errors import SporeError

LENGTH_RANGE_UM = (0.9, 120.0)
"""Lengths and widths of spores that can be; anything else is a slip of the unit or of the decimal point."""

CONVENTION = "Length and width are measured in side view; the hilar appendage and the ornament are left out."


@dataclass(frozen=True, slots=True)
class Spore:
    """length, width: full axes, in µm, or in pixels where the sample has no scale; width None where only lengths were
    measured. fruit_body, collection: which one it came from, '' where there is but one."""

    length: float
    width: float | None = None
    fruit_body: str = ""
    collection: str = ""

    @property
    def q(self) -> float | None:
        return None if self.width is None else self.length / self.width


@dataclass(frozen=True, slots=True)
class Preparation:
    """What must be known to compare a sample with a description. All in words, '' where not recorded.

    mountant: water, KOH 3 %, ...; state: fresh or dried, with the temperature in °C if known, for drying shifts the
    size; source: print (preferred), gill, stem; view: side, face, polar; sterigmata: per basidium, for two-spored
    basidia bear larger spores; outline: a state of spore_shape.
    """

    mountant: str = ""
    state: str = ""
    dried_at_c: float | None = None
    source: str = ""
    view: str = "side"
    sterigmata: int | None = None
    outline: str = ""


@dataclass(frozen=True, slots=True)
class Sample:
    """Spores in one unit ('µm' or 'px') with what was recorded about them. SporeError where they disagree."""

    spores: tuple[Spore, ...]
    unit: str = "µm"
    preparation: Preparation = field(default_factory=Preparation)

    def __post_init__(self) -> None:
        if not self.spores:
            raise SporeError("There is no spore in this sample. Measure or type at least one.")
        if len({spore.width is None for spore in self.spores}) > 1:
            raise SporeError("Some spores have a width and others have none. Give a width for every spore or for none.")

    def by_fruit_body(self) -> Mapping[tuple[str, str], tuple[Spore, ...]]:
        """The spores of each (collection, fruit body), in the order in which they first appear."""
        return grouped(self.spores)

    @property
    def collections(self) -> int:
        return len({spore.collection for spore in self.spores})


def grouped(spores: Iterable[Spore]) -> dict[tuple[str, str], tuple[Spore, ...]]:
    groups: dict[tuple[str, str], tuple[Spore, ...]] = {}
    for spore in spores:
        key = (spore.collection, spore.fruit_body)
        groups[key] = (*groups.get(key, ()), spore)
    return groups
