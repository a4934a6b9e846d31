"""What the engine looks up again and again of a funga, computed once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fruitbody.funga.model import GRAVE, DeclaredGroup, Frequency, Funga, Taxon

Array = NDArray[np.float64]
Ints = NDArray[np.int_]
FREQUENCY = {Frequency.ABUNDANT: 10.0, Frequency.COMMON: 3.0, Frequency.OCCASIONAL: 1.0, Frequency.RARE: 0.3}
NEIGHBOUR, ELSEWHERE = 0.3, 0.03


@dataclass(frozen=True, slots=True)
class Index:
    """taxa in row order; genus_of, family_of: index of each taxon's genus and family, [T]; family_of_genus [G];
    genus_counts [G]; regions: region id ('' for none) -> frequency weight, [T]; months: [13, T], row 0 without month;
    dangerous: 1.0 for taxa of a deadly or severe group, [T]; members: hazard group -> rows of its taxa;
    declared: declared groups with the rows of their taxa, the smallest first."""

    taxa: tuple[Taxon, ...]
    genera: tuple[str, ...]
    families: tuple[str, ...]
    genus_of: Ints
    family_of_genus: Ints
    genus_counts: Ints
    regions: Mapping[str, Array]
    months: Array
    dangerous: Array
    members: Mapping[str, tuple[int, ...]]
    declared: tuple[tuple[DeclaredGroup, Ints], ...]


class FungaKey:
    """Lets a funga be a cache key by its digest alone."""

    def __init__(self, funga: Funga) -> None:
        self.funga = funga

    def __hash__(self) -> int:
        return hash(self.funga.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FungaKey) and other.funga.digest == self.funga.digest


def index_of(funga: Funga) -> Index:
    """The index of a funga; kept for the next call."""
    return _index(FungaKey(funga))


@lru_cache(maxsize=4)
def _index(key: FungaKey) -> Index:
    funga = key.funga
    taxa = tuple(funga.taxa.values())
    genera = tuple(funga.genera)
    families = tuple(dict.fromkeys(genus.family for genus in funga.genera.values()))
    genus_of = np.array([genera.index(t.genus) for t in taxa], dtype=np.int_)
    return Index(
        taxa=taxa,
        genera=genera,
        families=families,
        genus_of=genus_of,
        family_of_genus=np.array([families.index(g.family) for g in funga.genera.values()], dtype=np.int_),
        genus_counts=np.bincount(genus_of, minlength=len(genera)),
        regions={r: np.array([region_weight(t, funga, r) for t in taxa]) for r in ("", *funga.regions)},
        months=np.array([[month_weight(t.months, month) for t in taxa] for month in (None, *range(1, 13))]),
        dangerous=np.array([float(is_dangerous(funga, t)) for t in taxa]),
        declared=_declared(funga),
        members={g: tuple(i for i, t in enumerate(taxa) if g in t.hazard) for g in funga.hazard_groups},
    )


def _declared(funga: Funga) -> tuple[tuple[DeclaredGroup, Ints], ...]:
    row = {taxon_id: i for i, taxon_id in enumerate(funga.taxa)}
    groups = [
        (group, np.array(sorted(row[m] for m in funga.members_of(group) if m in row), dtype=np.int_))
        for group in funga.groups.values()
    ]
    return tuple(sorted((pair for pair in groups if pair[1].size > 1), key=lambda pair: pair[1].size))


def region_weight(taxon: Taxon, funga: Funga, region: str) -> float:
    """Frequency weight in a region: listed 1, neighbour 0.3, else 0.03; without a region the greatest listed."""
    if not region:
        return max(FREQUENCY[f] for f in taxon.regions.values())
    if region in taxon.regions:
        return FREQUENCY[taxon.regions[region]]
    near = [FREQUENCY[f] for r, f in taxon.regions.items() if r in funga.regions[region].near]
    if near:
        return NEIGHBOUR * max(near)
    return ELSEWHERE * max(FREQUENCY[f] for f in taxon.regions.values())


def month_weight(months: tuple[int, ...], month: int | None) -> float:
    """0.9 × a circular kernel of ± 1 month over the listed months + 0.1/12; 1/12 where no month is given."""
    if month is None:
        return 1 / 12
    kernel = {0: 0.5, 1: 0.25, 11: 0.25}
    hit = sum(kernel.get((month - m) % 12, 0.0) for m in set(months))
    return 0.9 * hit / len(set(months)) + 0.1 / 12


def is_dangerous(funga: Funga, taxon: Taxon) -> bool:
    """Whether a taxon belongs to a deadly or severe hazard group."""
    return any(funga.hazard_groups[group].grade in GRAVE for group in taxon.hazard)
