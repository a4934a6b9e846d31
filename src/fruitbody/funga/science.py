"""A digest of what results depend on: scores, frequencies, months, hazards, characters, background. Texts, names and
citations may be mended without making figures and fits stale."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, is_dataclass
from typing import Any

from fruitbody.funga.model import FROM_MEMORY, Character, Funga, HazardGroup, Taxon

CHARACTER = (
    "group", "kind", "order", "unit", "needs", "if_silent", "excludes", "measured_with", "parent", "enabled_by",
    "slip_finder", "slip_clinic", "near", "misread",
)  # fmt: skip


_KNOWN: dict[str, str] = {}


def science_digest(known: Funga) -> str:
    """SHA-256 over everything the engine computes with. The order of taxa and characters counts."""
    if known.digest not in _KNOWN:
        _KNOWN[known.digest] = _digest(known)
    return _KNOWN[known.digest]


def _digest(known: Funga) -> str:
    told = {
        "characters": [_character(character) for character in known.characters.values()],
        "taxa": [_taxon(taxon) for taxon in known.taxa.values()],
        "genera": [(g.name, g.family, dict(g.species)) for g in known.genera.values()],
        "groups": [(g.id, list(g.members)) for g in known.groups.values()],
        "hazards": [_hazard(group) for group in known.hazard_groups.values()],
        "regions": [(r.id, list(r.members), list(r.near)) for r in known.regions.values()],
        "lost": [(m.id, list(m.loses)) for m in (*known.material_kinds.values(), *known.conditions.values())],
        "background": {name: list(row) for name, row in known.background.items()},
    }
    return hashlib.sha256(json.dumps(told, default=_plain, sort_keys=True).encode()).hexdigest()


def _character(character: Character) -> list[Any]:
    states = [(s.id, s.stands_for, s.lab, s.spread) for s in character.states]
    return [character.id, states, *(getattr(character, name) for name in CHARACTER)]


def _taxon(taxon: Taxon) -> list[Any]:
    # Two published sources count as many do: the leak of a score knows none, one, or more.
    basis = {part: min(sum(s != FROM_MEMORY for s in sources), 2) for part, sources in taxon.basis.items()}
    scores = [(*key, score) for key, score in taxon.scores.items()]
    placed = [taxon.id, taxon.name, taxon.rank, taxon.genus, taxon.family, list(taxon.months), list(taxon.hazard)]
    return [*placed, dict(taxon.regions), basis, scores]


def _hazard(group: HazardGroup) -> list[Any]:
    scores = [(*key, score) for key, score in group.scores.items()]
    return [
        group.id,
        group.grade,
        list(group.genera),
        min(len(set(group.never_basis)), 2),
        scores,
        list(group.settled_by),
    ]


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    return dict(value)
