"""Reads `hazards.toml`: syndromes with their published onsets, and the hazard groups."""

from __future__ import annotations

from collections.abc import Mapping

from fruitbody.funga.model import FROM_MEMORY, GRADES, Character, HazardGroup, Onset, Source, Syndrome
from fruitbody.funga.problems import Problem
from fruitbody.funga.reading import Reader, Table, read_scores

EVIDENCE = ("documented", "by relation", "suspected")
WHO = ("people", "dogs", "cats", "livestock")
WAYS = ("eaten", "raw", "with alcohol", "repeated", "breathed in", "touched")


def read_syndromes(table: Table, sources: Mapping[str, Source], problems: list[Problem]) -> dict[str, Syndrome]:
    syndromes: dict[str, Syndrome] = {}
    for code, entry in table.items():
        reader = Reader("hazards.toml", f"syndrome {code}", entry, problems)
        basis_key = "code_basis" if isinstance(entry.get("code_basis"), list) else "basis"
        code_basis = reader.text("code_basis") if basis_key == "basis" else ""
        basis = reader.texts(basis_key, known=(*sources, FROM_MEMORY), kind="source")
        reader.taken.update(("basis", "code_basis"))
        syndromes[code] = Syndrome(
            code=code,
            plain=reader.text("plain", required=True),
            plain_es=reader.text("plain_es"),
            organs=reader.text("organs"),
            cause=reader.text("cause"),
            onsets=tuple(_read_onset(reader, part, sources) for part in reader.tables("onsets")),
            late=reader.flag("late"),
            animals=reader.text("animals"),
            basis=basis or ((code_basis,) if code_basis else ()),
        )
        reader.done()
    return syndromes


def _read_onset(reader: Reader, entry: Table, sources: Mapping[str, Source]) -> Onset:
    part = Reader(reader.file, f"{reader.where}, onsets", entry, reader.problems)
    onset = Onset(
        source=part.word("source", (*sources, FROM_MEMORY), kind="source"),
        text=part.text("text", required=True),
        low_h=part.number("low_h", 0.0) if "low_h" in entry else None,
        high_h=part.number("high_h", 0.0) if "high_h" in entry else None,
    )
    part.done()
    return onset


def read_groups(
    table: Table, characters: Mapping[str, Character], sources: Mapping[str, Source], problems: list[Problem]
) -> dict[str, HazardGroup]:
    groups: dict[str, HazardGroup] = {}
    known_sources = (*sources, FROM_MEMORY)
    for key, entry in table.items():
        reader = Reader("hazards.toml", f"group {key}", entry, problems)
        groups[key] = HazardGroup(
            id=key,
            plain=reader.text("plain", required=True),
            plain_es=reader.text("plain_es"),
            syndrome=reader.text("syndrome", required=True),
            also=reader.texts("also"),
            grade=reader.word("grade", GRADES, default="sickening", kind="grade"),
            evidence=reader.word("evidence", EVIDENCE, default="documented", kind="evidence"),
            who=reader.texts("who", known=WHO, kind="word for who"),
            way=reader.texts("way", known=WAYS, kind="way"),
            genera=reader.texts("genera"),
            basis=reader.texts("basis", known=known_sources, kind="source"),
            note=reader.text("note"),
            scores=read_scores(reader, characters),
            never_basis=reader.texts("never_basis", known=sources, kind="published source"),
            settled_by=reader.texts("settled_by", known=characters, kind="character"),
        )
        reader.done()
    return groups
