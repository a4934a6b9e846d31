"""One CHARACTERS or DATA block of a NEXUS file: labels, symbols, and the entries of each taxon."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fruitbody.funga.nexus_tokens import Block, Command, Token, mistake, options

NOT_READ = ("EQUATE", "MATCHCHAR", "TOKENS", "TRANSPOSE", "NOLABELS", "STATESFORMAT")
CLOSING = {"(": ")", "{": "}"}


@dataclass(frozen=True, slots=True)
class Matrix:
    """columns: label and state labels; rows: taxon -> an entry per column (indices of states, a range, or None for
    missing and inapplicable); lines: taxon -> the line it begins on."""

    columns: tuple[tuple[Token, tuple[Token, ...]], ...]
    rows: Mapping[str, tuple[frozenset[int] | str | None, ...]]
    lines: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Format:
    """What the FORMAT command says. symbols: in order; cased: whether their case matters."""

    continuous: bool
    missing: str
    gap: str
    symbols: str
    cased: bool
    interleaved: bool


def read_matrix_block(file: str, block: Block, names: Container[str]) -> Matrix:
    """The matrix of a block. names: the taxa, as far as they are known before.

    Raises FungaError naming the line of the first mistake in it.
    """
    form = _format(file, block)
    command = block.command("MATRIX")
    if command is None:
        raise mistake(file, block.line, f"the block {block.name} has no MATRIX.")
    count = options(block.command("DIMENSIONS")).get("NCHAR", "")
    if not count.isdecimal() or count == "0":
        raise mistake(file, block.line, f"the block {block.name} does not say NCHAR in DIMENSIONS.")
    columns = _labels(file, block, int(count))
    rows: dict[str, list[frozenset[int] | str | None]] = {}
    lines: dict[str, int] = {}
    for name, entries in _rows(command, form, int(count), names):
        lines.setdefault(name.name, name.line)
        row = rows.setdefault(name.name, [])
        row += [_entry(file, entry, form, name) for entry in entries]
    for taxon, row in rows.items():
        if len(row) != len(columns):
            words = f"“{taxon}” has {len(row)} entries; NCHAR says {count}."
            raise mistake(file, lines[taxon], words)
    return Matrix(columns, {taxon: tuple(row) for taxon, row in rows.items()}, lines)


def _format(file: str, block: Block) -> Format:
    command = block.command("FORMAT")
    given = options(command)
    line = command.line if command else block.line
    for word in NOT_READ:
        if word in given:
            raise mistake(file, line, f"{word} is not read. Write the matrix without it.")
    kind = given.get("DATATYPE", "STANDARD").upper()
    if kind not in ("STANDARD", "CONTINUOUS"):
        raise mistake(file, line, f"DATATYPE={kind} is not read; it must be STANDARD or CONTINUOUS.")
    if kind == "CONTINUOUS" and given.get("ITEMS", "").upper().split() != ["MIN", "MAX"]:
        raise mistake(file, line, "a continuous matrix needs ITEMS=(MIN MAX): a range for each taxon.")
    cased = "RESPECTCASE" in given
    symbols = given.get("SYMBOLS", "01").replace(" ", "")
    return Format(
        continuous=kind == "CONTINUOUS",
        missing=given.get("MISSING", "?"),
        gap=given.get("GAP", "-"),
        symbols=symbols if cased else symbols.upper(),
        cased=cased,
        interleaved="INTERLEAVE" in given and given["INTERLEAVE"].upper() != "NO",
    )


def _labels(file: str, block: Block, count: int) -> tuple[tuple[Token, tuple[Token, ...]], ...]:
    """Label and state labels of every character, from CHARSTATELABELS or from CHARLABELS and STATELABELS."""
    labels: dict[int, Token] = {}
    states: dict[int, tuple[Token, ...]] = {}
    both, names, values = (block.command(c) for c in ("CHARSTATELABELS", "CHARLABELS", "STATELABELS"))
    for number, words in _numbered(file, both):
        slash = next((i for i, word in enumerate(words) if word.says("/")), len(words))
        if slash != 1:
            raise mistake(
                file, words[0].line, f"character {number} needs one label before “/”; quote one of several words."
            )
        labels[number], states[number] = words[0], tuple(words[slash + 1 :])
    labels |= dict(enumerate(names.words if names else (), start=1))
    states |= {number: tuple(words) for number, words in _numbered(file, values)}
    missing = [number for number in range(1, count + 1) if number not in labels]
    if missing or len(labels) != count:
        told = (
            f"character {missing[0]} has no label" if missing else f"{len(labels)} labels stand for {count} characters"
        )
        raise mistake(
            file, (both or names or values or block).line, f"{told}: name each with its states in CHARSTATELABELS."
        )
    return tuple((labels[number], states.get(number, ())) for number in range(1, count + 1))


def _numbered(file: str, command: Command | None) -> Iterator[tuple[int, list[Token]]]:
    """'1 form / a b, 2 ring / c d' as (1, […]), (2, […])."""
    part: list[Token] = []
    for word in (*(command.words if command else ()), Token(",", 0)):
        if not word.says(","):
            part.append(word)
            continue
        if part and (not part[0].text.isdecimal() or len(part) < 2):
            raise mistake(
                file, part[0].line, f"“{part[0].text}” must be the number of a character, followed by its label."
            )
        if part:
            yield int(part[0].text), part[1:]
        part = []


def _rows(
    command: Command, form: Format, count: int, names: Container[str]
) -> Iterator[tuple[Token, list[list[Token]]]]:
    """Label and entries of every row; of an interleaved matrix a row ends with its line, else before the next taxon."""
    words, index = command.words, 0
    while index < len(words):
        name, entries = words[index], list[list[Token]]()
        index += 1
        while index < len(words) and not _row_ends(
            words[index], name, form=form, names=names, full=len(entries) == count
        ):
            close = CLOSING.get(words[index].text) if not words[index].quoted else None
            if close:
                end = next((i for i in range(index, len(words)) if words[i].says(close)), len(words) - 1)
                entries.append(list(words[index + 1 : end]))
                index = end + 1
            elif form.continuous:
                entries.append([words[index]])
                index += 1
            else:
                entries += [[Token(symbol, words[index].line)] for symbol in words[index].text]
                index += 1
        yield name, entries


def _row_ends(word: Token, name: Token, *, form: Format, names: Container[str], full: bool) -> bool:
    if word.line == name.line:
        return full and not form.interleaved
    return full or form.interleaved or word.name in names


def _entry(file: str, entry: Sequence[Token], form: Format, name: Token) -> frozenset[int] | str | None:
    texts = [word.text for word in entry if not word.says(",")]
    line = entry[0].line if entry else name.line
    if texts in ([form.missing], [form.gap]):
        return None
    if form.continuous:
        if len(texts) != 2:
            raise mistake(file, line, f"{name.name}: “{' '.join(texts)}” must be a pair like (4 12), least and most.")
        return f"{texts[0]}–{texts[1]} [extremes]"
    symbols = "".join(texts) if form.cased else "".join(texts).upper()
    strange = [symbol for symbol in symbols if symbol not in form.symbols]
    if strange or not symbols:
        raise mistake(file, line, f"{name.name}: “{''.join(strange)}” is none of the symbols {form.symbols}.")
    return frozenset(form.symbols.index(symbol) for symbol in symbols)
