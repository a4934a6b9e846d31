"""Writes a genus file as TOML, laid out as `docs/funga.md` says. The writing is tomlkit's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import InlineTable

HEAD = ("name", "family", "order", "species")
TAXON = (
    "id", "name", "authority", "rank", "according_to", "synonyms", "vernacular", "regions", "months", "way_of_life",
    "rot", "hazard", "hazard_words", "perishes", "perishes_note", "what", "says",
)  # fmt: skip


def genus_text(table: Mapping[str, Any]) -> str:
    """The file of one genus: {'genus': …, 'taxon': […]} as TOML."""
    document = tomlkit.document()
    document["genus"] = _table(table["genus"], HEAD)
    taxa = tomlkit.aot()
    for taxon in table["taxon"]:
        taxa.append(_taxon(taxon))
    document["taxon"] = taxa
    return tomlkit.dumps(document)


def _taxon(taxon: Mapping[str, Any]) -> tomlkit.items.Table:
    written = _table(taxon, TAXON)
    written["scores"] = _table(taxon["scores"], tuple(taxon["scores"]))
    if taxon.get("taken_for"):
        pairs = tomlkit.aot()
        for pair in taxon["taken_for"]:
            pairs.append(_table(pair, tuple(pair)))
        written["taken_for"] = pairs
    if taxon.get("basis"):
        written["basis"] = _table(taxon["basis"], tuple(taxon["basis"]))
    return written


def _table(entries: Mapping[str, Any], keys: tuple[str, ...]) -> tomlkit.items.Table:
    written = tomlkit.table()
    for key in keys:
        if key in entries:
            written[key] = _value(entries[key])
    return written


def _value(value: Any) -> Any:
    """Tables within a line, whole numbers without a point."""
    if isinstance(value, Mapping):
        inline: InlineTable = tomlkit.inline_table()
        for key, part in value.items():
            inline[key] = _value(part)
        return inline
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
