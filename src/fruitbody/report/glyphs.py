"""Text that a page can show: what no font has is marked and listed, never lost.

The typesetter itself is asked which characters it can set, so the answer holds for exactly the fonts at hand.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

import typst

from fruitbody.report.typesetter import compiled

# Characters that every font of the set has; the rest is asked for.
_PLAIN: Final = frozenset(chr(c) for c in range(0x20, 0x7F)) | {"\n"}
_KEPT_FORMAT: Final = frozenset("\u00ad\u200b\u2060")  # soft hyphen, break allowed, break forbidden: they show nothing
_SPACES: Final = {"\t": " ", "\r": "\n", "\x0b": "\n", "\x0c": "\n", "\u2028": "\n", "\u2029": "\n"}
_JOINING: Final = frozenset("\u200c\u200d\ufe0e\ufe0f")

_PUNCTUATION: Final = frozenset("‘’“”«»–—…·×±µ−⟦⟧")

_PROBE: Final = b"""#set document(title: "probe")
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))
#for c in json(bytes(sys.inputs.data)) [#c #emph(c) #strong(c) #strong(emph(c)) \\ ]
"""


@dataclass(slots=True)
class Marks:
    """The marks set in place of characters that cannot be printed, in order of appearance.

    fonts: folders with fonts beside the built-in ones. latin_only: mark everything beyond Latin without asking.
    """

    fonts: tuple[str, ...] = ()
    latin_only: bool = False
    runs: dict[str, str] = field(default_factory=dict)

    def clean(self, value: Any) -> Any:
        """`value` (text, or lists and dicts with text) with every run that cannot be set replaced by its mark."""
        units = {unit for text in _texts(value) for unit in _units(text)}
        return self._map(value, self._unshown(units))

    def listed(self) -> tuple[tuple[str, str], ...]:
        """(mark, what it stands for): code and Unicode name of each character, such as 'U+1F344 MUSHROOM'."""
        return tuple((mark, ", ".join(map(described, run))) for run, mark in self.runs.items())

    def _unshown(self, units: set[str]) -> frozenset[str]:
        """Characters that cannot be set, and characters with marks above or below that cannot be set together."""
        characters = set("".join(units)) - _PLAIN
        if self.latin_only:
            return frozenset(c for c in characters if not _latin(c))
        refused = frozenset(c for c in characters if _refused(c))
        alone = refused | _unset(tuple(sorted(characters - refused)), self.fonts)
        joint = (unit for unit in units if len(unit) > 1 and alone.isdisjoint(unit))
        return alone | _unset_by_halves(tuple(sorted(joint)), self.fonts)

    def _map(self, value: Any, unshown: frozenset[str]) -> Any:
        if isinstance(value, str):
            return self._text(value, unshown)
        if isinstance(value, dict):
            return {key: self._map(item, unshown) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [self._map(item, unshown) for item in value]
        return value

    def _text(self, text: str, unshown: frozenset[str]) -> str:
        out, run = list[str](), ""
        for unit in (*_units(_spaced(text)), ""):
            if unit and (unit in unshown or not unshown.isdisjoint(unit) or (run and unit in _JOINING)):
                run += unit
                continue
            if run:
                out.append(self.runs.setdefault(run, f"⟦{len(self.runs) + 1}⟧"))
                run = ""
            out.append(unit)
        return "".join(out)


def described(character: str) -> str:
    """'U+1F344 MUSHROOM'; characters without a name give their code alone."""
    return f"U+{ord(character):04X} {unicodedata.name(character, '')}".rstrip()


def _spaced(text: str) -> str:
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n"))
    return "".join(_SPACES.get(c, c) for c in text)


def _refused(character: str) -> bool:
    """Control, direction, private, unassigned and broken characters: they have no shape of their own to print."""
    category = unicodedata.category(character)
    return category in ("Cc", "Cs", "Co", "Cn") or (category == "Cf" and character not in _KEPT_FORMAT)


def _texts(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield _spaced(value)
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from _texts(item)


def _units(text: str) -> Iterator[str]:
    """The text in pieces: a character with the combining marks that follow it."""
    unit = ""
    for character in text:
        if unit and not unicodedata.category(character).startswith("M"):
            yield unit
            unit = ""
        unit += character
    if unit:
        yield unit


def _latin(character: str) -> bool:
    return character != "\u00ad" and (0xA1 <= ord(character) <= 0x24F or character in _PUNCTUATION)


@lru_cache(maxsize=256)
def _unset(characters: tuple[str, ...], fonts: tuple[str, ...]) -> frozenset[str]:
    """Those of `characters` that the typesetter cannot set: named in its message, else found by halving."""
    message = _complaint(characters, fonts) if characters else ""
    named = frozenset(c for c in characters if f'`"{c}"`' in message or f'`"\\u{{{ord(c):x}}}"`' in message)
    if message and not named:
        return _unset_by_halves(characters, fonts)
    return named | _unset(tuple(c for c in characters if c not in named), fonts) if named else named


@lru_cache(maxsize=256)
def _unset_by_halves(units: tuple[str, ...], fonts: tuple[str, ...]) -> frozenset[str]:
    if not units or not _complaint(units, fonts):
        return frozenset()
    if len(units) == 1:
        return frozenset(units)
    half = len(units) // 2
    return _unset_by_halves(units[:half], fonts) | _unset_by_halves(units[half:], fonts)


def _complaint(characters: tuple[str, ...], fonts: tuple[str, ...]) -> str:
    try:
        compiled(_PROBE, characters, fonts=fonts, timestamp=0)
    except typst.TypstError as error:
        return error.diagnostic or error.message or "refused"
    return ""
