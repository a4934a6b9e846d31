"""Our CSV layout: a row per taxon, a column per field and per character. Which columns there are, and their cells.

A cell is read into the value that the TOML files have, and a taxon's value written as such a cell; the one undoes the
other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fruitbody.funga.cells import Complain
from fruitbody.funga.model import TakenFor, Taxon
from fruitbody.funga.taxa import BASIS_PARTS, LANGUAGES, NOT_HERE

BETWEEN_PAIRS = " || "
TEXTS = ("id", "name", "authority", "rank", "according_to", "rot", "hazard_words", "perishes", "perishes_note")
LISTS = ("synonyms", "way_of_life", "hazard", "says")
GENUS = ("genus", "family", "order", "genus_species")
FIELDS = (
    "id", "name", "authority", "rank", *GENUS, "according_to", "synonyms",
    *(f"vernacular:{language}" for language in LANGUAGES), "regions", "months", "way_of_life", "rot", "hazard",
    "hazard_words", "perishes", "perishes_note", *(f"what:{language}" for language in LANGUAGES), "says", "taken_for",
    *(f"basis:{part}" for part in BASIS_PARTS),
)  # fmt: skip
"""The columns of a taxon's fields, in the order in which they are written."""
CHARACTER = "character:"
"""What a column of a character may begin with; it must where the character is called like a field."""


@dataclass(frozen=True, slots=True)
class Fields:
    """What the fields of one row say: the taxon's table without its scores, and the table of its genus."""

    taxon: dict[str, Any]
    genus: dict[str, Any]


def read_fields(cells: Mapping[str, str], complain: Callable[[str, str], None]) -> Fields:
    """The tables that the cells of a row say, empty cells left out. `complain` takes a column and a sentence."""
    taxon: dict[str, Any] = {}
    genus: dict[str, Any] = {}
    for column in FIELDS:
        cell = cells.get(column, "").strip()
        if not cell:
            continue
        value = _value(column, cell, _of_column(complain, column))
        key, colon, part = column.partition(":")
        if column in GENUS:
            genus[{"genus": "name", "genus_species": "species"}.get(column, column)] = value
        elif colon:
            taxon.setdefault(key, {})[part] = value
        else:
            taxon[column] = value
    taxon.setdefault("hazard", [])
    return Fields(taxon, genus)


def _of_column(complain: Callable[[str, str], None], column: str) -> Complain:
    return lambda words: complain(column, words)


def _value(column: str, cell: str, complain: Complain) -> Any:
    key = column.partition(":")[0]
    if key in LISTS or key in ("vernacular", "basis"):
        return [item.strip() for item in cell.split("|") if item.strip()]
    if key == "regions":
        return _pairs(cell, complain)
    if key == "genus_species":
        return _counts(cell, complain)
    if key == "months":
        return _months(cell, complain)
    if key == "taken_for":
        return [pair for text in re.split(r"\|\||\n", cell) if text.strip() for pair in _taken_for(text, complain)]
    return cell


def _pairs(cell: str, complain: Complain) -> dict[str, str]:
    """'na-pacific: common; eu-north: rare' as a table."""
    found: dict[str, str] = {}
    for part in filter(str.strip, cell.split(";")):
        key, colon, value = (word.strip() for word in part.partition(":"))
        if not colon or not value:
            complain(f"“{part.strip()}” must be written like “na-pacific: common”, with “;” between two of them.")
        elif key in found:
            complain(f"“{key}” stands twice.")
        else:
            found[key] = value
    return found


def _counts(cell: str, complain: Complain) -> dict[str, int]:
    """'north-america: 300; europe: 110' as a table of whole numbers."""
    found = {}
    for key, value in _pairs(cell, complain).items():
        if value.isdecimal():
            found[key] = int(value)
        else:
            complain(f"“{value}” is no whole number of species.")
    return found


def _months(cell: str, complain: Complain) -> list[int]:
    """'8|9|10', and '11-2' for November to February."""
    months: list[int] = []
    for part in re.split(r"[|,;\s]+", re.sub(r"\s*[–-]\s*", "-", cell).strip()):
        found = re.fullmatch(r"(\d{1,2})(?:-(\d{1,2}))?", part)
        ends = [int(n) for n in found.groups() if n] if found else []
        if not ends or not all(1 <= n <= 12 for n in ends):
            complain(f"“{part}” is no month: use numbers from 1 to 12, like 8|9|10 or 8-10.")
            continue
        first, last = ends[0], ends[-1]
        months += [(first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1)]
    return list(dict.fromkeys(months))


def _taken_for(text: str, complain: Complain) -> Iterable[dict[str, Any]]:
    """'amanita-citrina: volva+smell = A rimmed bulb …'; 'without a sequence' in place of characters."""
    head, equals, note = text.partition("=")
    taxon, colon, settle = (word.strip() for word in head.partition(":"))
    if not colon or not taxon:
        complain(f"“{head.strip()}” must be written like “amanita-citrina: volva+smell”.")
        return
    settled = {"not_here": settle} if settle in NOT_HERE else {}
    names = [] if settled else [name.strip() for name in settle.split("+") if name.strip()]
    pair: dict[str, Any] = {"taxon": taxon, "settle": names, **settled}
    yield {**pair, "note": note.strip()} if equals and note.strip() else pair


def field_cells(taxon: Taxon, genus: Mapping[str, str]) -> dict[str, str]:
    """The cells of a taxon's fields. genus: the cells of `GENUS`, which are the same for all of its kinds."""
    cells = {column: str(getattr(taxon, column)) for column in TEXTS}
    cells |= {column: "|".join(getattr(taxon, column)) for column in LISTS}
    cells |= genus
    cells |= {f"vernacular:{language}": "|".join(names) for language, names in taxon.vernacular.items()}
    cells |= {f"what:{language}": words for language, words in taxon.what.items()}
    cells |= {f"basis:{part}": "|".join(sources) for part, sources in taxon.basis.items()}
    cells["regions"] = "; ".join(f"{region}: {frequency}" for region, frequency in taxon.regions.items())
    cells["months"] = "|".join(map(str, taxon.months))
    cells["taken_for"] = BETWEEN_PAIRS.join(_pair_cell(pair) for pair in taxon.taken_for)
    return cells


def _pair_cell(pair: TakenFor) -> str:
    words = f"{pair.taxon}: {pair.not_here or '+'.join(pair.settle)}"
    return f"{words} = {pair.note}" if pair.note else words
