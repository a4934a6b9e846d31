"""Writes taxa in our CSV layout: a template to fill, and the whole funga for a spreadsheet."""

from __future__ import annotations

import csv
import io

from fruitbody.funga.cells import score_cell, scores_by_character
from fruitbody.funga.layout import CHARACTER, FIELDS, GENUS, field_cells
from fruitbody.funga.model import Character, CharacterKind, Funga, Genus
from fruitbody.funga.terms import plain_key


def csv_text(known: Funga) -> str:
    """Every taxon as a row, every field and every character but the stage as a column. Declared groups stay out."""
    characters = [c for c in known.characters.values() if c.kind is not CharacterKind.STAGE]
    headings = {character.id: heading(character) for character in characters}
    written = io.StringIO()
    table = csv.DictWriter(written, [*FIELDS, *headings.values()], restval="", lineterminator="\n")
    table.writeheader()
    for taxon in known.taxa.values():
        cells = field_cells(taxon, _genus_cells(known.genera[taxon.genus]))
        for character, stages in scores_by_character(taxon).items():
            cells[headings[character]] = score_cell(stages, known.characters[character])
        table.writerow(cells)
    return written.getvalue()


def heading(character: Character) -> str:
    """The heading of a character's column: its id, with a word before it where a field is called so too."""
    return f"{CHARACTER}{character.id}" if plain_key(character.id) in map(plain_key, FIELDS) else character.id


def _genus_cells(genus: Genus) -> dict[str, str]:
    species = "; ".join(f"{where}: {count}" for where, count in genus.species.items())
    return dict(zip(GENUS, (genus.name, genus.family, genus.order, species), strict=True))
