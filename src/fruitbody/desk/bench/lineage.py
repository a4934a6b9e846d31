"""How kinds that were split are called: under the finder's label B they are B1, B2 ...; the label itself never changes.

Pure: over kinds that are loaded already.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

LETTERS = 3
"""A label as short as this is a letter or a code, to which a part's number is put without a space."""


class Descends(Protocol):
    """What lineage needs of a kind: who it is, its label, whom it was split from, whom it was merged into."""

    pk: int
    finder_label: str
    split_from_id: int | None
    merged_into_id: int | None


@dataclass(slots=True)
class _Part:
    """A part that is about to be split off."""

    pk: int
    finder_label: str
    split_from_id: int | None
    merged_into_id: int | None = None


def labels(kinds: Iterable[Descends]) -> dict[int, str]:
    """The working label of every kind of one submission: B alone, B1 and B2 once B was split.

    A number is never given twice: B2 merged back and B split again gives B3. B whose parts all came back is B again.
    """
    by_id = {kind.pk: kind for kind in sorted(kinds, key=lambda kind: kind.pk)}
    families: dict[int, list[Descends]] = {}
    for kind in by_id.values():
        families.setdefault(_root(kind, by_id).pk, []).append(kind)
    found: dict[int, str] = {}
    for root, members in families.items():
        live = [kind for kind in members if kind.merged_into_id is None]
        for number, kind in enumerate(members, start=1):
            alone = kind.pk == root and len(live) <= 1
            space = "" if len(kind.finder_label) <= LETTERS else " "
            found[kind.pk] = kind.finder_label if alone else f"{kind.finder_label}{space}{number}"
    return found


def labels_once_split(kinds: Iterable[Descends], kind: Descends) -> tuple[str, str]:
    """How the kind and the part split off it will be called: B1 and B2. `kinds` are all of the submission."""
    every = list(kinds)
    part = _Part(max(one.pk for one in every) + 1, kind.finder_label, kind.pk)
    called = labels([*every, part])
    return called[kind.pk], called[part.pk]


def _root(kind: Descends, by_id: dict[int, Descends]) -> Descends:
    """The first of the family: whom the finder labelled."""
    while kind.split_from_id in by_id:
        kind = by_id[kind.split_from_id]
    return kind
