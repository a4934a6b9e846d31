"""What the writer of a report typed, a frozen value that is kept as JSON. None: not typed, the prepared text holds."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

FOR_WHOM = ("lawn", "tree", "house", "people", "animals")


@dataclass(frozen=True, slots=True)
class KindWords:
    """On one kind. means: for whom -> sentences; a key that is missing was not typed."""

    answer: str = ""
    opinion: str | None = None
    means: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LetterWords:
    """answer: to the question asked; does_not_answer: why this clinic does not; kinds: by the row's id.

    changed (a line each), why: against the version before, from version 2 on.
    """

    answer: str | None = None
    does_not_answer: str = ""
    kinds: Mapping[int, KindWords] = field(default_factory=dict)
    changed: str = ""
    why: str = ""

    def of(self, kind_id: int) -> KindWords:
        return self.kinds.get(kind_id, KindWords())


def read_letter(kept: Mapping[str, Any]) -> LetterWords:
    """From the JSON of the row; an empty one is a letter in which nothing was typed."""
    kinds = {
        int(key): KindWords(
            answer=str(words.get("answer") or ""),
            opinion=words.get("opinion"),
            means={whom: str(text) for whom, text in (words.get("means") or {}).items() if whom in FOR_WHOM},
        )
        for key, words in (kept.get("kinds") or {}).items()
    }
    return LetterWords(
        answer=kept.get("answer"),
        does_not_answer=str(kept.get("does_not_answer") or ""),
        kinds=kinds,
        changed=str(kept.get("changed") or ""),
        why=str(kept.get("why") or ""),
    )


def letter_json(words: LetterWords) -> dict[str, Any]:
    kept = asdict(words)
    kept["kinds"] = {str(key): value for key, value in kept["kinds"].items()}
    return kept


def digest_of(plain: Any) -> str:
    """A short digest of JSON values, to see whether something changed since a page was opened."""
    return hashlib.sha256(json.dumps(plain, sort_keys=True, default=str).encode()).hexdigest()[:16]
