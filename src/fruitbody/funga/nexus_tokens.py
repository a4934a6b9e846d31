"""NEXUS as tokens, commands and blocks, each with the line it stands on, so that a mistake can be named with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fruitbody.funga.problems import FungaError, Problem

PUNCTUATION = "(){}/,;:="


@dataclass(frozen=True, slots=True)
class Token:
    """A word, a quoted text or a mark of punctuation. line: from 1."""

    text: str
    line: int
    quoted: bool = False

    def says(self, word: str) -> bool:
        """Whether it is this word or mark; NEXUS does not mind the case of its own words."""
        return not self.quoted and self.text.upper() == word

    @property
    def name(self) -> str:
        """As a name: an underscore outside quotes is a blank."""
        return self.text if self.quoted else self.text.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Command:
    """A command up to its semicolon. name in capitals."""

    name: str
    line: int
    words: tuple[Token, ...]


@dataclass(frozen=True, slots=True)
class Block:
    name: str
    line: int
    commands: tuple[Command, ...]

    def command(self, name: str) -> Command | None:
        """The first command of this name."""
        return next((command for command in self.commands if command.name == name), None)


def mistake(file: str, line: int, words: str) -> FungaError:
    return FungaError([Problem(file, f"line {line}", words)])


def tokens(file: str, text: str) -> Iterator[Token]:
    """The tokens after `#NEXUS`, comments left out. Raises FungaError where a comment or a quote does not end."""
    line, index = 1, text.upper().index("#NEXUS") + len("#NEXUS")
    line += text.count("\n", 0, index)
    while index < len(text):
        here = text[index]
        if here == "[":
            end = _end_of_comment(file, text, index, line)
        elif here in "'\"":
            end = _end_of_quote(file, text, index, line)
            yield Token(text[index + 1 : end - 1].replace(here * 2, here), line, quoted=True)
        elif here.isspace() or here in PUNCTUATION:
            end = index + 1
            if not here.isspace():
                yield Token(here, line)
        else:
            end = index
            while end < len(text) and not text[end].isspace() and text[end] not in PUNCTUATION + "[":
                end += 1
            yield Token(text[index:end], line)
        line += text.count("\n", index, end)
        index = end


def _end_of_comment(file: str, text: str, start: int, line: int) -> int:
    depth = 0
    for index in range(start, len(text)):
        depth += {"[": 1, "]": -1}.get(text[index], 0)
        if depth == 0:
            return index + 1
    raise mistake(file, line, "a comment begins here that no “]” ends.")


def _end_of_quote(file: str, text: str, start: int, line: int) -> int:
    mark, index = text[start], start + 1
    while (index := text.find(mark, index)) >= 0:
        if text[index + 1 : index + 2] != mark:
            return index + 1
        index += 2
    raise mistake(file, line, f"a text in quotes begins here that no {mark} ends.")


def blocks(file: str, text: str) -> list[Block]:
    """Every block of a file. Raises FungaError naming the line where the file is broken."""
    found: list[Block] = []
    inside: list[Command] | None = None
    begin = Command("", 1, ())
    for command in _commands(file, tokens(file, text)):
        if command.name == "BEGIN":
            if inside is not None:
                raise mistake(file, command.line, f"a block begins before “END;” of the one in line {begin.line}.")
            if len(command.words) != 1:
                raise mistake(file, command.line, "write “BEGIN” with the name of one block and a semicolon.")
            inside, begin = [], command
        elif inside is None:
            raise mistake(file, command.line, f"“{command.name}” stands in no block.")
        elif command.name in ("END", "ENDBLOCK"):
            found.append(Block(begin.words[0].text.upper(), begin.line, tuple(inside)))
            inside = None
        else:
            inside.append(command)
    if inside is not None:
        raise mistake(file, begin.line, f"the block {begin.words[0].text} has no “END;”.")
    return found


def _commands(file: str, words: Iterator[Token]) -> Iterator[Command]:
    gathered: list[Token] = []
    for word in words:
        if word.says(";"):
            if gathered:
                yield Command(gathered[0].text.upper(), gathered[0].line, tuple(gathered[1:]))
            gathered = []
        else:
            gathered.append(word)
    if gathered:
        raise mistake(file, gathered[0].line, f"the command “{gathered[0].text}” has no semicolon at its end.")


def options(command: Command | None) -> dict[str, str]:
    """'NTAX=2 INTERLEAVE ITEMS=(MIN MAX)' as {'NTAX': '2', 'INTERLEAVE': '', 'ITEMS': 'MIN MAX'}."""
    found: dict[str, str] = {}
    words: Sequence[Token] = command.words if command else ()
    index = 0
    while index < len(words):
        key = words[index].text.upper()
        index += 1
        found[key] = ""
        if index < len(words) and words[index].says("="):
            end = index + 2
            if index + 1 < len(words) and words[index + 1].says("("):
                while end < len(words) and not words[end].says(")"):
                    end += 1
                end += 1
            found[key] = " ".join(word.text for word in words[index + 1 : end] if word.text not in "()")
            index = end
    return found
