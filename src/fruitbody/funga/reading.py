"""One table of a TOML file, read field by field with precise complaints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fruitbody.funga.model import (
    STAGES,
    Character,
    CharacterKind,
    MeasureScore,
    Score,
    StateScore,
)
from fruitbody.funga.problems import Problem, unknown

Table = Mapping[str, Any]
SCORE_WORDS = ("mostly", "at_times", "seldom", "never")
MEASURE_WORDS = ("min", "low", "high", "max", "convention")
CONVENTIONS = ("unstated", "5-95", "extremes")


class Reader:
    """Takes fields from a table, notes every problem, and at the end complains of fields nobody asked for."""

    def __init__(self, file: str, where: str, table: Table, problems: list[Problem]) -> None:
        self.file, self.where, self.table, self.problems = file, where, table, problems
        self.taken: set[str] = set()

    def complain(self, words: str, at: str = "") -> None:
        self.problems.append(Problem(self.file, ", ".join(part for part in (self.where, at) if part), words))

    def _take(self, key: str, types: type | tuple[type, ...], default: Any, wanted: str) -> Any:
        self.taken.add(key)
        value = self.table.get(key, default)
        if isinstance(value, bool) and types is not bool:
            value = None
        if value is not default and not isinstance(value, types):
            self.complain(f"“{key}” must be {wanted}, not {self.table[key]!r}.")
            return default
        return value

    def text(self, key: str, *, default: str = "", required: bool = False) -> str:
        value: str = self._take(key, str, default, "a text in quotes")
        if required and not value:
            self.complain(f"“{key}” is missing.")
        return value

    def flag(self, key: str, *, default: bool = False) -> bool:
        return bool(self._take(key, bool, default, "true or false"))

    def number(self, key: str, default: float) -> float:
        return float(self._take(key, (int, float), default, "a number"))

    def table_of(self, key: str) -> Table:
        value: Table = self._take(key, dict, {}, "a table")
        return value

    def tables(self, key: str) -> list[Table]:
        value: list[Table] = self._take(key, list, [], "a list of tables")
        return value

    def texts(self, key: str, *, known: Iterable[str] | None = None, kind: str = "word") -> tuple[str, ...]:
        """A list of texts, each of them in `known` if that is given."""
        value = self._take(key, list, [], "a list of texts")
        return self._checked(key, value, known, kind)

    def _checked(self, key: str, value: list[Any], known: Iterable[str] | None, kind: str) -> tuple[str, ...]:
        if not all(isinstance(item, str) for item in value):
            self.complain(f"“{key}” must be a list of texts.")
            return ()
        if known is not None:
            allowed = tuple(known)
            for item in value:
                if item not in allowed:
                    self.problems.append(unknown(self.file, f"{self.where}, {key}", kind, item, allowed))
            return tuple(item for item in value if item in allowed)
        return tuple(value)

    def word(self, key: str, known: Iterable[str], *, default: str = "", kind: str = "word") -> str:
        value = self.text(key, default=default)
        if value and value not in tuple(known):
            self.problems.append(unknown(self.file, f"{self.where}, {key}", kind, value, known))
        return value

    def done(self) -> None:
        for key in self.table:
            if key not in self.taken:
                self.problems.append(unknown(self.file, self.where, "field", key, self.taken))


def read_scores(reader: Reader, characters: Mapping[str, Character]) -> dict[tuple[str, str], Score]:
    """The `scores` table of a taxon or hazard group: (character, stage) -> score; stage '' where it does not matter."""
    scores: dict[tuple[str, str], Score] = {}
    for character_id, table in reader.table_of("scores").items():
        character = characters.get(character_id)
        where = f"{reader.where}, {character_id}"
        if character is None:
            reader.problems.append(unknown(reader.file, reader.where, "character", character_id, characters))
            continue
        if not isinstance(table, Mapping):
            reader.complain("a score must be a table like { mostly = [...] } or { low = 1, high = 2 }.", character_id)
            continue
        staged = {k: v for k, v in table.items() if k in STAGES}
        if staged and len(staged) != len(table):
            reader.complain("either every entry is a stage (young, mature, past) or none is.", character_id)
            continue
        for stage, part in (staged or {"": table}).items():
            score = _read_score(Reader(reader.file, where, part, reader.problems), character)
            if score is not None:
                scores[character_id, stage] = score
    return scores


def _read_score(reader: Reader, character: Character) -> Score | None:
    if character.kind is CharacterKind.MEASURE:
        return _read_measure(reader, character)
    parts = {w: reader.texts(w, known=character.state_ids, kind=f"state of “{character.id}”") for w in SCORE_WORDS}
    reader.done()
    seen = [state for states in parts.values() for state in states]
    for state in sorted({s for s in seen if seen.count(s) > 1}):
        reader.complain(f"“{state}” stands twice.")
    if not any(parts.values()):
        reader.complain("the score is empty; leave it out where nothing is known.")
        return None
    return StateScore(**parts)


def _read_measure(reader: Reader, character: Character) -> MeasureScore | None:
    convention = reader.word("convention", CONVENTIONS, default="unstated", kind="convention")
    if "low" not in reader.table or "high" not in reader.table:
        reader.complain(f"a measure needs low and high, in {character.unit}.")
        return None
    low, high = reader.number("low", 0.0), reader.number("high", 0.0)
    least = reader.number("min", low) if "min" in reader.table else None
    most = reader.number("max", high) if "max" in reader.table else None
    reader.done()
    ordered = [v for v in (least, low, high, most) if v is not None]
    if ordered != sorted(ordered) or low <= 0:
        reader.complain(f"the range must run upwards from above zero: {ordered} {character.unit}.")
        return None
    if character.possible and not (character.possible[0] <= ordered[0] and ordered[-1] <= character.possible[1]):
        reader.complain(f"{ordered[0]:g} to {ordered[-1]:g} {character.unit} lies outside what is possible.")
        return None
    return MeasureScore(low, high, least, most, convention)
