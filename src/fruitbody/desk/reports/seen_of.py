"""What was seen, as the report's page 2 tells it: findings of the clinic, what could not be seen, measures as strips.

What was told by the finder is not among it: that stays the client's own (`told_rows`).
"""

from __future__ import annotations

from collections.abc import Sequence

from fruitbody.desk.bench.engine import case_of
from fruitbody.desk.bench.finding_words import character_words, value_words
from fruitbody.desk.bench.models import Finding, Kind
from fruitbody.funga.model import Character, Funga, MeasureScore, Taxon
from fruitbody.identify.identify import SetAside, usable_findings
from fruitbody.report import Evidence, NotSeen, Strip

TOLD_ON_PAGE_1 = ("cap_width", "body_width", "stem_length", "body_height")
ON = {"material": "the pieces", "photo": "photograph", "told": "told"}


def is_told(row: Finding) -> bool:
    """Whether this is the client's word: told, or entered by the finder."""
    return row.seen_on == "told" or row.by_role == "finder"


def evidence_rows(funga: Funga, kind: Kind, rows: Sequence[Finding]) -> tuple[Evidence, ...]:
    """Findings that say something, organ by organ; those that this material makes worthless are not evidence."""
    worthless = _set_aside(funga, kind, rows)
    kept = [row for row in rows if not is_told(row) and row.answer in ("present", "absent") and row.pk not in worthless]
    return tuple(_evidence(funga, row) for row in _in_order(funga, kept))


def unseen_rows(funga: Funga, kind: Kind, rows: Sequence[Finding]) -> tuple[NotSeen, ...]:
    """What cannot be seen on this material, what was looked for in vain, and absences that say nothing here."""
    worthless = _set_aside(funga, kind, rows)
    unseen = []
    for row in _in_order(funga, [row for row in rows if not is_told(row)]):
        why = worthless.get(row.pk, "")
        if row.answer == "cannot-be-seen":
            why = row.why or "cannot be seen on this material"
        elif row.answer == "could-not-tell":
            why = f"looked, could not tell{f': {row.why}' if row.why else ''}"
        if why:
            unseen.append(NotSeen(organ=_organ(funga, row), character=character_words(funga, row), why=why))
    return tuple(dict.fromkeys(unseen))


def told_rows(funga: Funga, rows: Sequence[Finding]) -> list[tuple[str, str]]:
    """The finder's findings as (what, words)."""
    return [(character_words(funga, row), value_words(funga, row)) for row in rows if is_told(row)]


def strips(funga: Funga, rows: Sequence[Finding], taxon: Taxon | None) -> tuple[Strip, ...]:
    """Measures of the clinic on the material, each against the range of the taxon named."""
    made = []
    for row in _in_order(funga, [row for row in rows if not is_told(row) and row.seen_on == "material"]):
        found, character = numbers(row), funga.characters.get(row.character)
        score = _range(taxon, row)
        if found and character and score and row.answer == "present" and not row.negated:
            made.append(_strip(funga, row, character, score, found))
    return tuple(made)


def _strip(funga: Funga, row: Finding, character: Character, score: MeasureScore, found: tuple[float, float]) -> Strip:
    return Strip(
        character=character_words(funga, row),
        unit=_unit(character),
        low=score.low,
        high=score.high,
        least=score.min,
        most=score.max,
        found=found,
        uncertainty=row.uncertainty,
        n=row.n,
    )


def numbers(row: Finding) -> tuple[float, float] | None:
    """The measured value as (low, high), equal for one value; None for anything else."""
    values = row.value if isinstance(row.value, list) else [row.value]
    measured = [float(v) for v in values if isinstance(v, (int, float)) and not isinstance(v, bool)]
    return (measured[0], measured[-1]) if measured and len(measured) == len(values) else None


def _evidence(funga: Funga, row: Finding) -> Evidence:
    found, character = numbers(row), funga.characters.get(row.character)
    sized = found and row.character in TOLD_ON_PAGE_1 and row.seen_on == "material" and not row.negated
    value = value_words(funga, row)
    if found and not row.negated:
        value = " to ".join(f"{v:g}" for v in dict.fromkeys(found))
    return Evidence(
        organ=_organ(funga, row),
        character=character_words(funga, row),
        value=value,
        unit=_unit(character) if found and not row.negated and character else "",
        uncertainty=row.uncertainty,
        n=row.n,
        by=row.by_role.replace("-", " "),
        seen_on=ON.get(row.seen_on, row.seen_on),
        letter_mm=found if sized else None,
    )


def _set_aside(funga: Funga, kind: Kind, rows: Sequence[Finding]) -> dict[int, str]:
    """Row id -> why the material makes this finding worthless, asked of the engine row by row."""
    aside: dict[int, str] = {}
    for row in rows:
        case, unread = case_of(funga, kind, [row])
        refused: Sequence[SetAside] = usable_findings(funga, case)[1] or unread
        if refused:
            aside[row.pk] = refused[0].because
    return aside


def _range(taxon: Taxon | None, row: Finding) -> MeasureScore | None:
    if taxon is None:
        return None
    score = taxon.scores.get((row.character, row.stage)) or taxon.scores.get((row.character, ""))
    return score if isinstance(score, MeasureScore) else None


def _unit(character: Character) -> str:
    return "" if character.unit == "ratio" else character.unit


def _organ(funga: Funga, row: Finding) -> str:
    character = funga.characters.get(row.character)
    return character.organ if character else "other"


def _in_order(funga: Funga, rows: Sequence[Finding]) -> list[Finding]:
    """By organ in the order of the funga's files, so that each organ is told once."""
    organs = list(dict.fromkeys(character.organ for character in funga.characters.values()))

    def place(row: Finding) -> tuple[int, int, int]:
        character = funga.characters.get(row.character)
        return (organs.index(character.organ), character.order, row.pk) if character else (len(organs), 0, row.pk)

    return sorted(rows, key=place)
