"""Measurements typed, pasted or read from a file: one spore per line, length and perhaps width in micrometres.

A first line of words names the columns (length_um, width_um, fruit_body, collection); without it the first number is
the length and the second the width. Commas, semicolons, tabs or spaces part the columns; a decimal comma is understood
where another sign parts them.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence

from fruitbody.examine.spores.errors import MeasurementError
from fruitbody.examine.spores.sample import LENGTH_RANGE_UM, Preparation, Sample, Spore

COLUMNS = ("length_um", "width_um", "fruit_body", "collection")
_SHORT = {"l": "length_um", "length": "length_um", "w": "width_um", "width": "width_um"}
MOST_LINES = 20_000

Line = tuple[int, list[str]]


def read_measurements(text: str, preparation: Preparation | None = None) -> Sample:
    """A sample in µm from pasted or stored text. Raises MeasurementError with a sentence per line at fault."""
    lines = _cells(text.lstrip("\ufeff"))
    if not lines:
        raise MeasurementError(
            ["There are no measurements. Write one spore per line: length and width in micrometres."]
        )
    if len(lines) > MOST_LINES:
        raise MeasurementError([f"There are more than {MOST_LINES} lines. Send one sample at a time."])
    columns, lines = _columns(lines)
    spores: list[Spore] = []
    problems: list[str] = []
    for number, cells in lines:
        try:
            spores.append(_spore(number, dict(zip(columns, cells, strict=False)), len(cells) > len(columns)))
        except MeasurementError as error:
            problems += error.problems
    if problems:
        raise MeasurementError(problems)
    if not spores:
        raise MeasurementError(["There is a line of headings but no measurement. Write one spore per line below it."])
    _all_or_none(spores)
    return Sample(tuple(spores), "µm", preparation or Preparation())


def _cells(text: str) -> list[Line]:
    """Numbered lines with their cells; empty lines and lines that begin with # are passed over."""
    text = re.sub(r"(?<=\d)[^\S\n]*(?:µm|μm|um)\b", "", text)
    numbered = [(i, line.strip()) for i, line in enumerate(text.splitlines(), start=1)]
    kept = [(i, line) for i, line in numbered if line and not line.startswith("#")]
    apart = _separator([line for _, line in kept])
    if apart == " ":
        return [(i, line.split()) for i, line in kept]
    return [(i, [cell.strip() for cell in next(csv.reader([line], delimiter=apart))]) for i, line in kept]


def _separator(lines: Sequence[str]) -> str:
    """Semicolons and tabs are never part of a number. A comma parts columns, unless it is seen to be a decimal one."""
    for sign in (";", "\t"):
        if any(sign in line for line in lines):
            return sign
    numbers = [line for line in lines if not re.search(r"[A-Za-z]{2}", line)]
    if numbers and all(re.fullmatch(r"\d+([.,]\d+)?(\s+\d+([.,]\d+)?)+", line) for line in numbers):
        return " "
    bare = bool(numbers) and all(re.fullmatch(r"\d+,\d+", line) for line in numbers)
    if bare and len(numbers) == len(lines):
        raise MeasurementError(
            ["The comma may be a decimal sign or part two columns. Write decimal points, or name the columns."]
        )
    if bare and not any("," in line for line in lines if line not in numbers):
        return " "
    return "," if any("," in line for line in lines) else " "


def _columns(lines: list[Line]) -> tuple[list[str], list[Line]]:
    """The names of the columns, and the lines below the headings."""
    number, first = lines[0]
    if any(_number(cell) is not None for cell in first):
        widest = max(len(cells) for _, cells in lines)
        return list(COLUMNS[: max(1, min(widest, len(COLUMNS)))]), lines
    names = [_SHORT.get(cell.lower(), cell.lower()) for cell in first]
    if "length_um" not in names:
        raise MeasurementError(
            [f"Line {number}: no column is called length_um. Known columns: {', '.join(COLUMNS)}; length_um is needed."]
        )
    twice = sorted({name for name in names if name in COLUMNS and names.count(name) > 1})
    if twice:
        raise MeasurementError([f"Line {number}: the column {twice[0]} stands there twice. Take one of them out."])
    return names, lines[1:]


def _spore(number: int, cells: dict[str, str], too_many: bool) -> Spore:
    if too_many:
        raise MeasurementError(
            [f"Line {number}: there are more values than columns. Write decimal points, or part columns by semicolons."]
        )
    length = _size(number, "length", cells.get("length_um", ""))
    text = cells.get("width_um", "")
    width = _size(number, "width", text) if text else None
    if width is not None and width > length:
        raise MeasurementError(
            [f"Line {number}: the width {width:g} µm is above the length {length:g} µm. Put the larger one first."]
        )
    return Spore(length, width, cells.get("fruit_body", ""), cells.get("collection", ""))


def _size(number: int, what: str, text: str) -> float:
    """A length or width in µm. Raises MeasurementError for what is no number or cannot be a spore."""
    if not text:
        raise MeasurementError([f"Line {number}: the {what} is missing. Write it in micrometres."])
    value = _number(text)
    if value is None:
        raise MeasurementError([f"Line {number}: “{text[:40]}” is no number. Write the {what} in µm, such as 9.3."])
    low, high = LENGTH_RANGE_UM
    if low <= value <= high:
        return value
    hint = ""
    if low <= value * 1000 <= high:
        hint = " It looks like millimetres: multiply by 1000."
    elif low <= value / 1000 <= high:
        hint = " It looks like nanometres: divide by 1000."
    raise MeasurementError(
        [f"Line {number}: a {what} of {value:g} µm cannot be; spores measure {low:g} to {high:g} µm.{hint}"]
    )


def _number(text: str) -> float | None:
    """A number with a decimal point or comma; None for anything else."""
    plain = text.strip().replace(",", ".")
    if not re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", plain, re.IGNORECASE):
        return None
    value = float(plain)
    return value if math.isfinite(value) else None


def _all_or_none(spores: Sequence[Spore]) -> None:
    without = sum(spore.width is None for spore in spores)
    if 0 < without < len(spores):
        raise MeasurementError(
            [f"{without} of {len(spores)} spores have no width. Give a width for every spore, or leave the column out."]
        )
