"""The notebook page: organ by organ, line by line, what the finder told and what the clinic found. Pure over rows."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from fruitbody.desk.bench.finding_words import value_words
from fruitbody.desk.bench.models import Finding
from fruitbody.funga.model import Character, CharacterKind, Funga

ORGANS = {
    "whole": "The whole",
    "cap": "Cap",
    "underside": "Underside",
    "stem": "Stem",
    "veil": "Ring and veil",
    "base": "Foot",
    "flesh": "Flesh, milk, smell",
    "deposit": "Spore deposit",
    "spores": "Spores",
    "microscopy": "Under the microscope",
    "reagents": "Reagents",
    "inside": "Balls, eggs, stinkhorns",
    "head": "Morels, saddles, cups",
    "place": "Where it grew",
}
FINDER = "finder"
MISSING = {
    "place": "place not known",
    "cap": "cap missing or spoilt",
    "underside": "underside missing or spoilt",
    "stem": "stem missing or spoilt",
    "base": "foot missing",
    "fresh": "not fresh",
    "cut": "flesh spoilt",
    "deposit": "no print",
    "microscope": "nothing for the microscope",
    "reagent": "nothing for reagents",
    "material": "no material",
}
"""Why something cannot be seen, by the `needs` word that is lost, short enough for a line."""


@dataclass(frozen=True, slots=True)
class Note:
    """A finding with its margin note. words: the value; of: on which fruit body, part, stage; margin: who and on what;
    aside: why it does not count as evidence, '' where it does; replaced: a later entry stands in its place."""

    row: Finding
    words: str
    of: str
    margin: str
    aside: str = ""
    replaced: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One character. told: by the finder; seen: at the clinic; earlier: what was replaced.

    lost: why it cannot be seen on this material, in words; asleep: another kind of body, so that it does not apply.
    """

    character: Character
    called: str
    told: tuple[Note, ...]
    seen: tuple[Note, ...]
    earlier: tuple[Note, ...]
    lost: str
    asleep: bool

    @property
    def is_measure(self) -> bool:
        return self.character.kind is CharacterKind.MEASURE

    @property
    def written(self) -> bool:
        return bool(self.told or self.seen or self.earlier)


@dataclass(frozen=True, slots=True)
class Organ:
    """lines: those that apply; asleep: those that do not, on the body that was found."""

    id: str
    title: str
    lines: tuple[Line, ...]
    asleep: tuple[Line, ...]

    @property
    def found(self) -> int:
        return sum(bool(line.seen) for line in self.lines)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the page is drawn from. rows: every finding this reader may know of, replaced ones too, in order of writing.

    lost: `needs` words; aside: id of a row -> why it does not count as evidence.
    """

    rows: Sequence[Finding]
    lost: Collection[str]
    aside: Mapping[int, str]


def organs(funga: Funga, sheet: Sheet) -> list[Organ]:
    """Organs and characters in the order of the funga's files."""
    asleep = sleeping(funga, current(sheet.rows))
    grouped: dict[str, list[Line]] = {}
    for character in funga.characters.values():
        grouped.setdefault(character.organ, []).append(_line(funga, character, sheet, character.id in asleep))
    return [
        Organ(
            organ,
            ORGANS.get(organ, organ.capitalize()),
            tuple(line for line in lines if not line.asleep or line.written),
            tuple(line for line in lines if line.asleep and not line.written),
        )
        for organ, lines in grouped.items()
    ]


def line_of(funga: Funga, character: Character, sheet: Sheet) -> Line:
    return _line(funga, character, sheet, character.id in sleeping(funga, current(sheet.rows)))


def current(rows: Iterable[Finding]) -> list[Finding]:
    """Those that nothing among these rows replaces."""
    everything = list(rows)
    replaced = {row.replaces_id for row in everything if row.replaces_id}
    return [row for row in everything if row.pk not in replaced]


def sleeping(funga: Funga, rows: Iterable[Finding]) -> set[str]:
    """Characters that do not apply, because all that was seen of what they depend on says otherwise."""
    said: dict[str, list[set[str]]] = {}
    for row in rows:
        states = {str(v) for v in (row.value if isinstance(row.value, list) else [row.value])}
        if row.answer == "present" and row.value is not None and not row.negated:
            said.setdefault(row.character, []).append(states)
    asleep: set[str] = set()
    for character in funga.characters.values():
        if not character.parent:
            continue
        seen = said.get(character.parent)
        wrong = bool(seen) and not any(states & set(character.enabled_by) for states in seen or ())
        if wrong or character.parent in asleep:
            asleep.add(character.id)
    return asleep


def _line(funga: Funga, character: Character, sheet: Sheet, asleep: bool) -> Line:
    own = [row for row in sheet.rows if row.character == character.id]
    live = {row.pk for row in current(own)}
    notes = [_note(funga, row, sheet.aside, replaced=row.pk not in live) for row in own]
    gone = [MISSING.get(need, need) for need in character.needs if need in sheet.lost]
    return Line(
        character=character,
        called=character.plain,
        told=tuple(n for n in notes if n.row.by_role == FINDER and not n.replaced),
        seen=tuple(n for n in notes if n.row.by_role != FINDER and not n.replaced),
        earlier=tuple(n for n in notes if n.replaced),
        lost=", ".join(gone),
        asleep=asleep,
    )


def _note(funga: Funga, row: Finding, aside: Mapping[int, str], *, replaced: bool) -> Note:
    of = [f"fruit body {row.fruit_body}" if row.fruit_body else "", row.part, row.stage, row.moisture]
    words = value_words(funga, row)
    if row.uncertainty:
        words += f" ± {row.uncertainty:g}"
    if row.n:
        words += f" (n = {row.n})"
    who = row.by.full_name if row.by else row.by_role.replace("-", " ")
    on = {"photo": "on a photo", "told": "as told"}.get(row.seen_on, "")
    margin = ", ".join(part for part in (who, on, row.method, row.instrument) if part)
    return Note(row, words, ", ".join(part for part in of if part), margin, aside.get(row.pk, ""), replaced)
